"""A board of the catalog for a terminal: its slot rows drawn, its receptacles, its divisions."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.model.board import Arrangement, Board, BoardReceptacle, LaneGroup, Row, Width
from slotfit.render.text_layout import columns, heading, hung
from slotfit.render.words import link_text, segments_text

WIRED, UNWIRED, UNKNOWN = "#", ".", "?"
LEGEND = "# a wired lane   . connector without a lane   ? not known"
DRAWN = {"processors", "hubs", "rows", "lane_groups", "receptacles"}

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
    yield f"  {LEGEND}"
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
    if one.form in ("opening", "cooling-mount"):
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
    """`cem x16, 16 GT/s x16 from cpu0, 75 W`."""
    texts = [f"{printed(one)}{one.form}" + (f" x{one.width}" if one.width else "")]
    if ways[one.id]:
        group = ways[one.id][0][0]
        texts.append(lanes_words(group, one, ways))
        texts.append(group.from_ or "from where is not known")
    elif one.form != "opening":
        texts.append("no lanes")
    if one.power_w is not None:
        texts.append(f"{one.power_w:g} W")
    return ", ".join(texts)


def lanes_words(group: LaneGroup, one: BoardReceptacle, ways: Ways) -> str:
    """`16 GT/s x8`, or the bus that its segments name."""
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
        yield f"  {processor.id}{label}"
    for hub in board.hubs:
        link = link_text("pcie", hub.generation, hub.lanes)
        yield f"  {hub.id}: {link} up to {hub.from_}, shared by all behind it"


def divisions(board: Board) -> Iterator[str]:
    """Lane groups with more than one arrangement, and what each gives."""
    divided = [group for group in board.lane_groups if len(group.arrangements) > 1]
    yield from heading("Ways to divide lanes")
    if not divided:
        yield "  None: every receptacle has its lanes to itself."
        return
    rows = [
        (gives(way), proof(way), chosen(way)) for group in divided for way in group.arrangements
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
