"""What only the whole of a board can tell: names that lead nowhere, lanes given twice."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.errors import Mistake
from slotfit.load.complaints import Complaints
from slotfit.load.connector import connector_lanes
from slotfit.load.connector_checks import check_form
from slotfit.load.hints import listed
from slotfit.load.splits import named
from slotfit.load.written import Written
from slotfit.model.board import Arrangement, Board, BoardReceptacle, LaneGroup
from slotfit.model.entity import Entity
from slotfit.standards.pcie import LEGAL_WIDTHS

SHORT_FORM = ("from", "generation", "lanes", "splits", "label_order", "reversed")
"""Keys of a receptacle that stand for a lane group."""


def board_mistakes(
    board: Board, written: Written, lost: frozenset[str] = frozenset()
) -> list[Mistake]:
    """Everything wrong with a board beyond its single fields; `lost` ids count as known."""
    found = Complaints(written, lost)
    check_unique(board, found)
    check_sources(board, found)
    check_hub_cycles(board, found)
    for group in board.lane_groups:
        check_group(board, group, found)
    check_given_once(board, found)
    for receptacle in board.receptacles:
        check_receptacle(board, receptacle, found)
    check_row_places(board, found)
    return found.mistakes


def check_unique(board: Board, found: Complaints) -> None:
    processors = [(one.id, one) for one in board.processors]
    hubs = [(one.id, one) for one in board.hubs]
    found.unique([*processors, *hubs], "processors or hubs")
    found.unique([(row.id, row) for row in board.rows], "rows")
    found.unique([(group.id, group) for group in board.lane_groups], "lane groups")
    found.unique([(one.id, one) for one in board.receptacles], "receptacles")
    for group in board.lane_groups:
        named_ones = [(one.id, one) for one in group.arrangements if one.id is not None]
        found.unique(named_ones, f"arrangements of {group.id}")


def check_sources(board: Board, found: Complaints) -> None:
    """`from` of hubs, lane groups and receptacles."""
    ends = ends_of(board)
    below: list[tuple[Entity, str | None]] = [
        *((hub, hub.from_) for hub in board.hubs),
        *((group, group.from_) for group in board.lane_groups),
        *((receptacle, receptacle.from_) for receptacle in board.receptacles),
    ]
    for entity, above in below:
        if above is not None:
            found.name(entity, "from", above, ends, "processor or hub")


def ends_of(board: Board) -> list[str]:
    """What lanes can come from."""
    return [*(one.id for one in board.processors), *(hub.id for hub in board.hubs)]


def check_hub_cycles(board: Board, found: Complaints) -> None:
    processors = {one.id for one in board.processors}
    above = {hub.id: hub.from_ for hub in board.hubs}
    for hub in board.hubs:
        way, here = [hub.id], hub.from_
        while here in above and here not in (*way, *processors):
            way.append(here)
            here = above[here]
        if here == hub.id and here not in processors:
            circle = " from ".join([*way, hub.id])
            found.add(hub, "from", f"goes round in a circle: {circle}; it must end at a processor")


def check_group(board: Board, group: LaneGroup, found: Complaints) -> None:
    slots = {one.id: one for one in board.receptacles}
    for arrangement in group.arrangements:
        for name in arrangement.gives:
            path = f"gives.{name}"
            known = found.name(arrangement, path, name, slots, "receptacle")
            if known and name in slots:
                check_segments(arrangement, slots[name], found)


def check_segments(
    arrangement: Arrangement, receptacle: BoardReceptacle, found: Complaints
) -> None:
    """Widths that links have, and no more of them than the connector has lanes."""
    path = f"gives.{receptacle.id}"
    segments = arrangement.gives[receptacle.id]
    for number, width in enumerate(segments):
        if isinstance(width, int) and width not in LEGAL_WIDTHS:
            found.add(arrangement, f"{path}[{number}]", odd_width(width))
    lanes = connector_lanes(receptacle)
    # SATA and SAS have contacts of their own in a U.2 bay (SFF-8639, as quoted).
    other = 0 if receptacle.form == "u2" else 1
    total = sum(width if isinstance(width, int) else other for width in segments)
    if lanes is not None and total > lanes:
        text = f"gives {total} lanes, and the connector has {lanes}; write what arrives there, "
        text += "and what the menu says in `setting`"
        found.add(arrangement, path, text)


def odd_width(width: int) -> str:
    return f"no link is {width} lanes wide; widths are {listed(map(str, LEGAL_WIDTHS), 'and')}"


def check_given_once(board: Board, found: Complaints) -> None:
    """A receptacle takes its lanes from one lane group, spelled out or in short form."""
    slots = {one.id: one for one in board.receptacles}
    owner: dict[str, LaneGroup] = {}
    for group in board.lane_groups:
        for arrangement, name in gifts(group):
            first = owner.setdefault(name, group)
            if first is not group:
                text = f"{name} gets its lanes from lane group {first.id} already"
                found.add(arrangement, f"gives.{name}", text)
                break
    for name, group in owner.items():
        doubled = [key for key in SHORT_FORM if name in slots and is_written(slots[name], key)]
        for key in doubled:
            text = f"lane group {group.id} says what {name} gets; leave out `{key}` here"
            found.add(slots[name], key, text)


def gifts(group: LaneGroup) -> Iterator[tuple[Arrangement, str]]:
    for arrangement in group.arrangements:
        for name in arrangement.gives:
            yield arrangement, name


def is_written(receptacle: BoardReceptacle, key: str) -> bool:
    return ("from_" if key == "from" else key) in receptacle.model_fields_set


def check_receptacle(board: Board, receptacle: BoardReceptacle, found: Complaints) -> None:
    check_form(receptacle, found)
    check_short_form(board, receptacle, found)
    check_row(board, receptacle, found)
    names = {one.id for one in board.receptacles}
    for number, name in enumerate(receptacle.blocked_by):
        path = f"blocked_by[{number}]"
        if name == receptacle.id:
            found.add(receptacle, path, "a receptacle cannot block itself")
        else:
            found.name(receptacle, path, name, names, "receptacle")


def check_short_form(board: Board, receptacle: BoardReceptacle, found: Complaints) -> None:
    given = {name for group in board.lane_groups for _, name in gifts(group)}
    if receptacle.id in given:
        return
    lanes, connector = receptacle.lanes, connector_lanes(receptacle)
    if lanes and connector and lanes > connector:
        found.add(receptacle, "lanes", f"{lanes} lanes are wired to a connector of {connector}")
    if receptacle.splits and lanes is None:
        text = "how many lanes are wired is not said; add `lanes`"
        found.add(receptacle, "splits", text)
    check_splits(receptacle, found)


def check_splits(receptacle: BoardReceptacle, found: Complaints) -> None:
    seen: set[str] = set()
    for number, split in enumerate(receptacle.splits or ()):
        path, segments = f"splits[{number}]", named(split.split)
        if split.split in seen:
            found.add(receptacle, path, f"{split.split} is listed twice")
        seen.add(split.split)
        for width in sorted(set(segments) - set(LEGAL_WIDTHS)):
            found.add(receptacle, path, odd_width(width))
        if receptacle.lanes is not None and sum(segments) > receptacle.lanes:
            text = (
                f"{split.split} is {sum(segments)} lanes, and {receptacle.lanes} are wired; write "
                f'what arrives, and the menu\'s words beside it: {{split: ..., setting: "..."}}'
            )
            found.add(receptacle, path, text)


def check_row(board: Board, receptacle: BoardReceptacle, found: Complaints) -> None:
    rows = {row.id: row for row in board.rows}
    if receptacle.row is None:
        if "position" in receptacle.model_fields_set:
            found.add(receptacle, "position", "in which row? add `row`")
    elif found.name(receptacle, "row", receptacle.row, rows, "row"):
        row = rows.get(receptacle.row)
        if row is not None and receptacle.position >= row.positions:
            text = f"row {row.id} has positions 0 to {row.positions - 1}"
            found.add(receptacle, "position", text)


def check_row_places(board: Board, found: Complaints) -> None:
    """Two slots may share a position only if the board says that they are in each other's way."""
    first: dict[tuple[str, int], BoardReceptacle] = {}
    for one in board.receptacles:
        if one.form != "cem" or one.row is None:
            continue
        other = first.setdefault((one.row, one.position), one)
        said = one.id in other.blocked_by or other.id in one.blocked_by
        if other is not one and not said:
            text = (
                f"{other.id} is at position {one.position} of row {one.row} already; if only one "
                f"of them can be used, add `blocked_by: [{other.id}]`"
            )
            found.add(one, "position", text)
