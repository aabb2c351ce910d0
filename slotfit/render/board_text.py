"""A board of the catalog for a terminal: its slot rows drawn, its receptacles, its divisions."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.board import Arrangement, Board, BoardReceptacle, LaneGroup, Row
from slotfit.render.text_layout import columns, fill, heading
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
    for row in board.rows:
        yield f"  {row.id}, {row.positions} positions"
        yield from row_lines(board, row, ways)
    loose = [one for one in board.receptacles if one.row is None]
    if loose:
        yield "  in no row"
        for one in loose:
            yield receptacle_line("", one, ways)
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


def row_lines(board: Board, row: Row, ways: Ways) -> Iterator[str]:
    """One line a position; a position without a receptacle is a gap."""
    for place in range(row.positions):
        here = [one for one in board.receptacles if one.row == row.id and one.position == place]
        for one in here:
            yield receptacle_line(str(place), one, ways)
        if not here:
            yield f"  {place:>3}"


def receptacle_line(place: str, one: BoardReceptacle, ways: Ways) -> str:
    name = one.label or one.id
    shown = f"{name} ({one.id})" if one.label and one.label.lower() != one.id else name
    return f"  {place:>3} {bar(one, ways):<18}  {shown:<16}  {about(one, ways)}"


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
    texts = [one.form + (f" x{one.width}" if one.width else "")]
    if ways[one.id]:
        group = ways[one.id][0][0]
        lanes = wired(one, ways)
        texts.append(f"{lanes_words(group, lanes)} from {group.from_ or '?'}")
    elif one.form != "opening":
        texts.append("no lanes")
    if one.power_w is not None:
        texts.append(f"{one.power_w:g} W")
    return ", ".join(texts)


def lanes_words(group: LaneGroup, lanes: int | None) -> str:
    if lanes is None:
        return "lanes not known"
    if group.bus == "usb":
        return "USB"
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
    """Lane groups with more than one arrangement."""
    rows = [
        (group.id, gives(way), chosen(way), proof(way))
        for group in board.lane_groups
        if len(group.arrangements) > 1
        for way in group.arrangements
    ]
    yield from heading("Ways to divide lanes")
    if not rows:
        yield from fill("None: every receptacle has its lanes to itself.", "  ")
        return
    yield from columns(("lane group", "gives", "chosen by", "proof"), rows)


def gives(way: Arrangement) -> str:
    shown = (f"{name} {segments_text(given)}" for name, given in way.gives.items())
    return ", ".join(shown) + (" (in some order)" if way.order == "unknown" else "")


def chosen(way: Arrangement) -> str:
    match way.chosen_by:
        case "setting":
            return way.setting or "a setting"
        case "presence":
            return "what is plugged in"
        case "jumper":
            return f"jumper {way.setting}" if way.setting else "a jumper"
        case _:
            return "nothing can"


def proof(way: Arrangement) -> str:
    return way.proof or "nobody has said"
