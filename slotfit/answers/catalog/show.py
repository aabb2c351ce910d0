"""A board of the catalog for a terminal: its slot rows drawn, its receptacles, its divisions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass
from typing import Any

from slotfit.answers.names import link_text, segments_text
from slotfit.answers.text_layout import WIDTH, columns, fill, heading, hung, joined
from slotfit.model.board import Arrangement, Board, BoardReceptacle, LaneGroup, Row, Uplink, Width
from slotfit.model.entity import Entity
from slotfit.model.machine import DriveBay
from slotfit.model.part import Demand, ExtraPlug, Link, PartReceptacle, PartSpec, Plug, Power
from slotfit.model.spread import Spread
from slotfit.model.units import unit_named
from slotfit.standards.forms import WITHOUT_LANES

APART = {"kind", "id", "name", "part_class", "about", "invented", "sources"}
"""Fields that stand in the heading, not in the table of figures."""


LIVE = {True: ", while it runs", False: ", not while it runs", None: ""}
"""Whether a place takes a part while the machine runs, in words."""


def facts(entity: Entity, without: set[str]) -> Iterator[tuple[str, str, str]]:
    """Field, value and source of everything that is said, in the order of the model."""
    sources: dict[str, str] = getattr(entity, "sources", {})
    for name, info in type(entity).model_fields.items():
        if name in APART | without or name not in entity.model_fields_set:
            continue
        value = getattr(entity, name)
        if value is not None and value != ():
            key = info.alias or name
            yield key, value_words(name, value), sources.get(key, "")


def value_words(name: str, value: Any) -> str:
    """One value, with its unit."""
    match value:
        case Entity():
            return entity_words(value)
        case bool():
            return "yes" if value else "no"
        case int() | float():
            return figure_words(value, unit_named(name))
        case dict():
            return ", ".join(f"{count} x {what}" for what, count in value.items()) or "none"
        case tuple():
            texts = ", ".join(value_words("", one) for one in value)
            return f"{texts} {unit_named(name)}".strip() or "none"
        case _:
            return str(value)


def entity_words(value: Entity) -> str:
    """What is described inside a description."""
    match value:
        case Plug():
            return value.form + (f" x{value.width}" if value.width else "")
        case Power():
            return power_words(value)
        case Demand():
            return f"{value.in_gb_s:g} GB/s in, {value.out_gb_s:g} GB/s out"
        case DriveBay():
            return f"{value.id} ({value.size} inch{LIVE[value.live_swap]})"
        case _:
            return str(value)


def power_words(power: Power) -> str:
    """`13 W from its receptacle, 190 W through pcie-6 and pcie-8`."""
    text = f"{figure_words(power.slot_w)} from its receptacle"
    if power.aux:
        text += f", {figure_words(power.aux_w)} through {' and '.join(power.aux)}"
    return text + (" (75 W class)" if power.graphics else "")


def figure_words(figure: float | None, unit: str = "W") -> str:
    """`13 W`; `12 W (16 W at worst)`; `? W`."""
    if isinstance(figure, Spread):
        return f"{figure.typical:g} {unit} ({figure:g} {unit} at worst)"
    return f"{'?' if figure is None else f'{figure:g}'} {unit}".rstrip()


@dataclass(frozen=True, slots=True)
class Box:
    """A run of lanes that belong together."""

    at: int
    lanes: int
    label: str


MOST_COLUMNS = 76
"""Drawings that are wider, or wider than the terminal, become a list."""


def boxes_drawn(boxes: Sequence[Box], lanes: int, indent: str = "  ") -> Iterator[str]:
    """
    Two lines: the first lane of each box, and the boxes; lanes in no box are dots.

    >>> print("\\n".join(boxes_drawn([Box(0, 4, "a"), Box(4, 4, "b")], 12)))
      lane 0          4                8
      [ x4 a         ][ x4 b         ] . . . .
    """
    room = min(WIDTH.get() - 4, MOST_COLUMNS)
    cell = width_of_a_lane(boxes, lanes, room)
    if cell * lanes > room:
        for box in boxes:
            yield from hung(f"{indent}lane {box.at}: ", f"x{box.lanes} {box.label}")
        return
    ruler, line, lane = "", "", 0
    for box in sorted(boxes, key=lambda box: box.at):
        line += " ." * (box.at - lane) if box.at > lane else ""
        ruler = ruler.ljust(len(line)) + (f"lane {box.at}" if not ruler else str(box.at))
        line += f"[ {f'x{box.lanes} {box.label}':<{box.lanes * cell - 4}} ]"
        lane = box.at + box.lanes
    if lane < lanes:
        ruler = ruler.ljust(len(line)) + f" {lane}"
        line += " ." * (lanes - lane)
    yield indent + ruler
    yield indent + line


def width_of_a_lane(boxes: Sequence[Box], lanes: int, room: int) -> int:
    """Columns a lane, so that every label finds room in its box; `room`: columns for all."""
    needed = max(
        (-(-(len(f"x{box.lanes} {box.label}") + 4) // box.lanes) for box in boxes), default=2
    )
    return max(needed, min(room // max(lanes, 1), 4))


WIRED, UNWIRED, UNKNOWN = "#", ".", "?"
LEGEND = "# a wired lane   . connector without a lane   ? not known"
BOARD_DRAWN = {"processors", "hubs", "rows", "lane_groups", "receptacles"}

Ways = dict[str, list[tuple[LaneGroup, Arrangement]]]
"""Receptacle -> every arrangement that gives it lanes."""


def board_lines(board: Board) -> Iterator[str]:
    """Rows seen from above, everything else that takes a part, then how lanes can be divided."""
    ways = ways_of(board)
    yield from heading("Slot rows, seen from above")
    wide = max((len(one.id) for one in board.receptacles), default=0)
    for row in board.rows:
        yield f"  {row.id}, {row.positions} position{'s' * (row.positions > 1)}"
        yield from row_lines(board, row, ways, wide)
    loose = [one for one in board.receptacles if one.row is None]
    if loose:
        yield "  in no row"
        for one in loose:
            yield from receptacle_lines("", one, ways, wide)
    yield from fill(LEGEND, "  ")
    yield from origins(board)
    yield from divisions(board)


def ways_of(board: Board) -> Ways:
    found: Ways = {one.id: [] for one in board.receptacles}
    for group in board.lane_groups:
        for way in group.arrangements:
            for name, given in way.gives.items():
                if given:
                    found[name].append((group, way))
    return found


def row_lines(board: Board, row: Row, ways: Ways, wide: int) -> Iterator[str]:
    """One line a position; a position without a receptacle is a gap."""
    for place in range(row.positions):
        here = [one for one in board.receptacles if one.row == row.id and one.position == place]
        for one in here:
            yield from receptacle_lines(str(place), one, ways, wide)
        if not here:
            yield f"  {place:>3}"


def receptacle_lines(place: str, one: BoardReceptacle, ways: Ways, wide: int) -> Iterator[str]:
    yield from hung(f"  {place:>3} {bar(one, ways):<18}  {one.id:<{wide}}  ", about(one, ways))


def printed(one: BoardReceptacle) -> str:
    """The name beside it, where that is another word than its id."""
    if one.label is None or plain(one.label) == plain(one.id):
        return ""
    return f"'{one.label}': "


def plain(name: str) -> str:
    return name.lower().replace("_", "").replace(" ", "")


def bar(one: BoardReceptacle, ways: Ways) -> str:
    """The connector, filled to its wired lanes; a longer one for other forms is cut at 16."""
    if one.form in WITHOUT_LANES:
        return ""
    lanes = wired(one, ways)
    width = min(one.width or max(lanes or 0, 1), 16)
    if lanes is None:
        return f"[{UNKNOWN * width}]"
    filled = min(lanes, width)
    return f"[{WIRED * filled}{UNWIRED * (width - filled)}]"


def wired(one: BoardReceptacle, ways: Ways) -> int | None:
    """Most lanes that ever arrive; None if nobody has said."""
    if not ways[one.id]:
        return 0
    sure = [way for _, way in ways[one.id] if way.proof is not None] or []
    counts = [
        sum(width if isinstance(width, int) else 1 for width in way.gives[one.id]) for way in sure
    ]
    return max(counts, default=None)


def about(one: BoardReceptacle, ways: Ways) -> str:
    """`cem x16, gen 4 x16 from cpu0, 75 W`."""
    texts = [f"{printed(one)}{one.form}" + (f" x{one.width}" if one.width else "")]
    if ways[one.id]:
        group = ways[one.id][0][0]
        texts.append(lanes_words(group, one, ways))
        texts.append(group.from_ or "from where is not known")
    elif one.form != "opening":
        texts.append("no lanes")
    if one.power_w is not None:
        texts.append(f"{one.power_w:g} W")
    if one.live_swap is not None:
        texts.append(f"takes a part{LIVE[one.live_swap].replace(',', '')}")
    return ", ".join(texts)


def lanes_words(group: LaneGroup, one: BoardReceptacle, ways: Ways) -> str:
    """`gen 4 x8`, or the bus that its segments name."""
    lanes = wired(one, ways)
    if lanes is None:
        return "lanes not known"
    if group.bus == "usb":
        return "USB"
    words = {width for _, way in ways[one.id] for width in way.gives[one.id]}
    if group.bus == "pcie" and all(isinstance(word, str) for word in words):
        return " or ".join(sorted(str(word).upper() for word in words))
    return link_text(group.bus, group.generation, lanes)


def origins(board: Board) -> Iterator[str]:
    """Processors, and what stands between them and the lanes."""
    yield from heading("Where lanes come from")
    for processor in board.processors:
        label = f" ({processor.label})" if processor.label else ""
        takes = f": takes {' or '.join(processor.takes)}" if processor.takes else ""
        yield f"  {processor.id}{label}{takes}"
    for hub in board.hubs:
        link = link_text("pcie", hub.generation, hub.lanes)
        yield from fill(f"{hub.id}: {link} up to {hub.from_}, shared by all behind it", "  ")
        for one in hub.uplinks:
            link = link_text("pcie", one.generation, one.lanes)
            yield from fill(f"{link}{only_with(one)}", "    ")


def divisions(board: Board) -> Iterator[str]:
    """Lane groups with more than one arrangement, and what each gives."""
    divided = [group for group in board.lane_groups if len(group.arrangements) > 1]
    yield from heading("Ways to divide lanes")
    if not divided:
        yield from fill("None: every receptacle has its lanes to itself.", "  ")
        return
    rows = [
        (gives(way), proof(way), chosen(way) + only_with(way))
        for group in divided
        for way in group.arrangements
    ]
    yield from columns(("gives", "proof", "chosen by"), rows)


def gives(way: Arrangement) -> str:
    """`slot1 x8+x8, slot2 nothing`; eight SATA lanes are counted."""
    shown = (f"{name} {counted(given)}" for name, given in way.gives.items())
    return ", ".join(shown) + (" (in some order)" if way.order == "unknown" else "")


def counted(given: Sequence[Width]) -> str:
    words = {width for width in given if isinstance(width, str)}
    if len(words) == 1 and len(given) > 1:
        return f"{len(given)} {words.pop().upper()}"
    return segments_text(given)


def only_with(owner: Arrangement | Uplink) -> str:
    """Which processor and firmware it needs."""
    needs = owner.needs
    with_ = f", with {' or '.join(needs.processor)}" if needs and needs.processor else ""
    return with_ + (f", from firmware {needs.firmware} on" if needs and needs.firmware else "")


def chosen(way: Arrangement) -> str:
    match way.chosen_by:
        case "setting":
            return way.setting or "a setting"
        case "presence":
            return "what is plugged in"
        case "jumper":
            return way.setting or "a jumper"
        case _:
            return "nothing can"


def proof(way: Arrangement) -> str:
    return way.proof or "nobody has said"


PART_DRAWN = {"plug", "links", "wiring", "receptacles", "extra_plugs"}
"""Fields that the drawing and the table below it show."""


def part_lines(part: PartSpec) -> Iterator[str]:
    """Its plugs with their lanes, then what it takes."""
    yield from heading("Plug and lanes")
    yield from plug_lines(part, part)
    for plug in part.extra_plugs:
        yield from heading(f"Further plug {plug.id}")
        yield from plug_lines(part, plug)
    if part.receptacles:
        yield from heading("Receptacles")
        rows = [receptacle_row(part, one) for one in part.receptacles]
        head = ("name", "form", "gets", "lengths", "supplies", "takes a part")
        yield from columns(*without_empty(head, rows))


def without_empty(
    head: tuple[str, ...], rows: Sequence[tuple[str, ...]]
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """A table without the columns in which nothing stands."""
    kept = [number for number in range(len(head)) if any(row[number] for row in rows)]
    return tuple(head[n] for n in kept), [tuple(row[n] for n in kept) for row in rows]


def plug_lines(part: PartSpec, owner: PartSpec | ExtraPlug) -> Iterator[str]:
    yield f"  {value_words('plug', owner.plug)}"
    lanes = max((link.at + link.lanes for link in owner.links), default=0)
    if not lanes:
        yield "  no lanes: takes only power and room"
        return
    boxes = [Box(link.at, link.lanes, end_of(part, link)) for link in owner.links]
    wide = owner.plug.width if owner.plug.form == "cem" and owner.plug.width else lanes
    yield from boxes_drawn(boxes, max(wide, lanes))
    rated = {rate_of(link, owner.generation or part.generation) for link in owner.links}
    yield from fill(f"each link trains at {' or '.join(sorted(rated))} at most", "  ")


def end_of(part: PartSpec, link: Link) -> str:
    """Where a link leads."""
    if link.to:
        return f"to {' and '.join(link.to)}"
    return part.wiring if part.wiring != "passive" else "endpoint"


def rate_of(link: Link, generation: int | None) -> str:
    return link_text(link.bus, link.generation or generation, link.lanes)


def receptacle_row(part: PartSpec, one: PartReceptacle) -> tuple[str, ...]:
    lengths = ", ".join(f"{mm}" for mm in one.drive_lengths or ())
    return (
        one.label or one.id,
        form_words(one),
        gets(part, one),
        f"{lengths} mm" if lengths else "",
        f"{one.power_w:g} W" if one.power_w is not None else "",
        LIVE[one.live_swap].removeprefix(", "),
    )


def form_words(one: PartReceptacle) -> str:
    return one.form + (f" x{one.width}" if one.width else "")


def gets(part: PartSpec, one: PartReceptacle) -> str:
    """The lanes behind it: its own, or those of the link that leads to it."""
    if one.form in WITHOUT_LANES:
        return ""
    if one.lanes:
        return link_text(one.bus, one.generation or part.generation, one.lanes)
    owners: tuple[PartSpec | ExtraPlug, ...] = (part, *part.extra_plugs)
    feeding = [link for owner in owners for link in owner.links if one.id in link.to]
    return ", ".join(f"x{link.lanes} from lane {link.at}" for link in feeding) or "no lanes"


def show_text(entity: Entity, where: str, asked: str) -> str:
    """One description, `where` being its file, and `asked` the word by which it was asked for."""
    return joined(show_lines(entity, where, asked))


def show_lines(entity: Entity, where: str, asked: str) -> Iterator[str]:
    named = vars(entity)
    yield from hung("", f"{named['id']}: {named['name'] or named['id']}")
    yield from hung("", f"{named.get('part_class') or named['kind']}, {where}")
    if named["about"]:
        yield ""
        yield from fill(named["about"])
    drawn: set[str] = set()
    if named["kind"] in ("part", "board"):
        lines, drawn = drawing_of(entity)
        yield from lines
    yield from figures(entity, drawn)
    yield from other_sources(entity, drawn)
    yield ""
    yield from hung("", f"What is not known of it: slotfit catalog lint {asked}")


def drawing_of(entity: Entity) -> tuple[Iterator[str], set[str]]:
    """The drawing, and the fields it shows."""
    if vars(entity)["kind"] == "part":
        return part_lines(entity), PART_DRAWN  # type: ignore[arg-type]
    return board_lines(entity), BOARD_DRAWN  # type: ignore[arg-type]


def figures(entity: Entity, drawn: set[str]) -> Iterator[str]:
    """Field, value and where it comes from."""
    rows = [
        (key, f"{value}: {source}" if source else value)
        for key, value, source in facts(entity, drawn)
    ]
    yield from beside("Figures", rows)


def other_sources(entity: Entity, drawn: set[str]) -> Iterator[str]:
    """Sources of what the drawing shows, and of single receptacles."""
    shown = {key for key, _, _ in facts(entity, drawn)}
    yield from beside(
        "Sources", [row for row in vars(entity)["sources"].items() if row[0] not in shown]
    )


def beside(title: str, rows: Sequence[tuple[str, str]]) -> Iterator[str]:
    """A list with its names in a column; nothing if it is empty."""
    if rows:
        yield from heading(title)
    wide = max((len(name) for name, _ in rows), default=0)
    for name, text in rows:
        yield from hung(f"  {name:<{wide}}  ", text)
