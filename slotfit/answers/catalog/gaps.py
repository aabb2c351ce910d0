"""What a board file leaves open, and which questions of the day hang on it."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from typing import Any, Literal

from slotfit.errors import Mistake
from slotfit.load.expand import EVEN, carries_lanes, divides, lane_orders, most_lanes, named
from slotfit.model.board import Board, BoardReceptacle, LaneGroup
from slotfit.model.entity import Entity, Span
from slotfit.standards.forms import FORMS

Sort = Literal["mistake", "implausible", "unsourced", "unknown"]

Question = Literal["place", "check", "sequence", "compare"]

QUESTIONS: dict[Question, str] = {
    "place": "which slot for each card?",
    "check": "will this part work here?",
    "sequence": "what do I pull first?",
    "compare": "would another board be better?",
}
"""Command -> the question it answers."""


@dataclass(frozen=True, slots=True)
class Remark:
    """A mistake, an unlikely figure, a figure without a source, or a fact not known yet."""

    sort: Sort
    where: Span | str
    path: str
    """The field, such as `slot3: splits`; empty for the whole file."""
    text: str
    changes: tuple[Question, ...] = ()
    """Questions whose answer may change once an unknown fact is known."""
    rule: str = ""
    """The rule that doubts until then."""
    find_out: str = ""

    @property
    def counts(self) -> bool:
        """Whether something is to be mended; what is merely unknown is no fault."""
        return self.sort != "unknown"


@dataclass(frozen=True, slots=True)
class Report:
    """Everything there is to say of one file, line by line."""

    file: str
    kind: str
    id: str
    remarks: tuple[Remark, ...]

    def of(self, sort: Sort) -> list[Remark]:
        """The remarks of one sort."""
        return [one for one in self.remarks if one.sort == sort]

    @property
    def is_clean(self) -> bool:
        """Whether nothing is to be mended."""
        return not any(one.counts for one in self.remarks)


def of_mistake(mistake: Mistake) -> Remark:
    """What the loader refuses."""
    return Remark("mistake", mistake.where, mistake.path, mistake.text)


@dataclass(frozen=True, slots=True)
class Gap:
    """A fact that may be missing, and what hangs on it."""

    field: str
    rule: str
    changes: tuple[Question, ...]
    when: Callable[[Any], bool]
    """Whether the fact is missing and would matter, for the thing it is a fact of."""
    then: str
    """What is not known without it, as a sentence without its full stop."""
    find_out: str


def gaps_in(
    things: Iterable[tuple[str, Entity]], gaps: Iterable[Gap], file: str
) -> Iterator[Remark]:
    """What is not known of each thing; the text before a thing is how to call it."""
    rows = tuple(gaps)
    for name, thing in things:
        for gap in rows:
            if gap.when(thing):
                where = thing.span(gap.field) or file
                path = f"{name}: {gap.field}" if name else gap.field
                yield Remark("unknown", where, path, gap.then, gap.changes, gap.rule, gap.find_out)


WIDEST = 16
"""Lanes of the longest card edge connector; a slot of that length needs no open end."""


def board_gaps(board: Board, file: str) -> Iterator[Remark]:
    """Everything not said of a board as it is written, its short forms not spelled out."""
    yield from gaps_in([("", board)], BOARD_GAPS, file)
    in_groups = {
        name for group in board.lane_groups for way in group.arrangements for name in way.gives
    }
    for one in board.receptacles:
        rows = RECEPTACLE_GAPS if one.id in in_groups else (*LANE_GAPS, *RECEPTACLE_GAPS)
        yield from gaps_in([(one.id, one)], rows, file)
        if one.row is None and one.form == "cem":
            yield from gaps_in([(one.id, one)], (NO_ROW,), file)
    for group in board.lane_groups:
        yield from gaps_in([(group.id, group)], GROUP_GAPS, file)
        ways = [
            (f"{group.id} {way.setting or way.id or ''}".strip(), way) for way in group.arrangements
        ]
        yield from gaps_in(ways, WAY_GAPS, file)
    if len(board.processors) > 1:
        yield from gaps_in(others(board), (UNPOWERED,), file)
    if len(board.processors) + len(board.hubs) > 1:
        yield from gaps_in(with_lanes(board, in_groups), (NO_ORIGIN,), file)


def others(board: Board) -> list[tuple[str, BoardReceptacle]]:
    """Slots that hang on any processor but the first, which is always fitted."""
    first = board.processors[0].id
    above = {hub.id: hub.from_ for hub in board.hubs}
    origin = {
        name: group.from_
        for group in board.lane_groups
        for way in group.arrangements
        for name in way.gives
    }
    return [
        (one.id, one)
        for one in board.receptacles
        if one.form == "cem" and top(above, one.from_ or origin.get(one.id)) not in (None, first)
    ]


def top(above: Mapping[str, str], origin: str | None) -> str | None:
    """The processor at the top, through however many hubs; a loop of hubs is no way up."""
    for _ in above:
        origin = above.get(origin or "", origin)
    return origin


def with_lanes(board: Board, in_groups: set[str]) -> list[tuple[str, Entity]]:
    """Whatever must say where its lanes come from: lane groups, and receptacles in none."""
    groups: list[tuple[str, Entity]] = [(group.id, group) for group in board.lane_groups]
    short = [one for one in board.receptacles if one.id not in in_groups and carries_lanes(one)]
    return [*((one.id, one) for one in short), *groups]


def splits_open(one: BoardReceptacle) -> bool:
    """Whether nobody has said what divisions there are, and some are common at this width."""
    lanes = one.lanes or most_lanes(one)
    return one.splits is None and carries_lanes(one) and one.bus == "pcie" and lanes in EVEN


def order_open(one: BoardReceptacle) -> bool:
    """Whether a listed division may lie either way round."""
    return any(
        len(lane_orders(named(split.split), one.label_order, one.reversed)) > 1
        for split in one.splits or ()
    )


def has_pcie(one: BoardReceptacle) -> bool:
    return carries_lanes(one) and one.bus == "pcie" and "pcie" in FORMS[one.form].buses


def is_pcie(group: LaneGroup) -> bool:
    return group.bus == "pcie"


MANUAL = "the manual's slot table or block diagram"

LANE_GAPS = (
    Gap(
        "lanes",
        "LANE006",
        ("place", "check", "compare"),
        lambda one: one.lanes is None and has_pcie(one),
        "how many lanes are wired is not said, so how wide anything trains here is not known",
        f"{MANUAL}; a label such as `x8 (in x16)` means 8 wired lanes",
    ),
    Gap(
        "generation",
        "LANE009",
        ("place", "check", "compare"),
        lambda one: one.generation is None and has_pcie(one),
        "the generation is not said, so how fast anything trains here is not known",
        MANUAL,
    ),
    Gap(
        "splits",
        "LANE006",
        ("check", "place", "compare"),
        splits_open,
        "divisions are not said, so whether a passive carrier shows more than one drive here "
        "cannot be answered",
        "the manual's chapter on firmware settings (bifurcation), or the menu itself; write "
        "`splits: []` if there is none",
    ),
    Gap(
        "label_order",
        "LANE007",
        ("check", "place"),
        order_open,
        "which lanes are the wide ones in an uneven division is not said, so which sockets of a "
        "passive carrier stay dark cannot be answered",
        "`label_order` and `reversed` from the manual; else put one drive in the carrier's first "
        "socket and see whether it appears",
    ),
)
"""Of a receptacle that is described in the short form."""

RECEPTACLE_GAPS = (
    Gap(
        "width",
        "FIT002",
        ("place", "check"),
        lambda one: one.form == "cem" and one.width is None,
        "the connector's length is not said, so which cards go in is not known",
        f"{MANUAL}, or measure: about 25 mm is x1, 39 mm x4, 56 mm x8, 89 mm x16",
    ),
    Gap(
        "open_end",
        "FIT002",
        ("place", "check"),
        lambda one: one.form == "cem" and one.open_end is None and (one.width or WIDEST) < WIDEST,
        "whether the slot's end is open is not said, so longer cards are in doubt",
        "look at the end farther from the bracket: most have a wall there (`open_end: false`)",
    ),
    Gap(
        "behind_mm",
        "FIT009",
        ("place", "check"),
        lambda one: one.form == "cem" and one.open_end is True and one.behind_mm is None,
        "how much room is behind the open end is not said, so longer cards are in doubt",
        "hold a ruler behind the slot",
    ),
    Gap(
        "power_w",
        "POW001",
        ("place", "check"),
        lambda one: one.form == "cem" and one.power_w is None,
        "what the slot supplies is not said, so cards that draw more than the standard promises "
        "are in doubt",
        "the manual's slot table; on a running machine the PowerLimit of SltCap in `lspci -vv`",
    ),
    Gap(
        "drive_lengths",
        "FIT010",
        ("place", "check"),
        lambda one: one.form.startswith("m2-") and one.drive_lengths is None,
        "for which lengths there is a stand-off is not said, so every module is in doubt",
        "the distances are printed beside the holes; 80 for a 2280 module",
    ),
    Gap(
        "run_mm",
        "CAB001",
        ("place", "check"),
        lambda one: one.run_mm is None and is_header(one),
        "how far a cable must run from here is not said, so whether one is long enough is in doubt",
        "lay a string along the way to the drives, bends included",
    ),
    Gap(
        "isolation",
        "ISO001",
        ("place",),
        lambda one: one.isolation is None and has_pcie(one),
        "what shares its isolation group is not said; it matters only for a part that is handed to "
        "a virtual machine",
        "/sys/kernel/iommu_groups on a running machine",
    ),
)

NO_ROW = Gap(
    "row",
    "FIT015",
    ("place", "check"),
    lambda one: one.row is None,
    "its place in a row is not said, so whether there is room for a thick card is in doubt",
    "count slot pitches (20.32 mm) along the rear edge: `rows` and `row`, `position`",
)

UNPOWERED = Gap(
    "powered_without_processor",
    "POW005",
    ("place",),
    lambda one: one.powered_without_processor is None,
    "whether the slot has power while its processor is absent is not said; it matters only with "
    "fewer processors than sockets, and to parts that take nothing but power",
    "the manual's notes on fewer processors",
)

NO_ORIGIN = Gap(
    "from",
    "CPU001",
    ("place", "check", "compare"),
    lambda one: one.from_ is None,
    "which processor or hub its lanes come from is not said, so distance, shared links and empty "
    "sockets cannot be counted",
    "the manual's block diagram; on a running machine `slotfit read`, or fit a card and look where "
    "`lspci -t` hangs it",
)

GROUP_GAPS = (
    Gap(
        "generation",
        "LANE009",
        ("place", "check", "compare"),
        lambda group: group.generation is None and is_pcie(group),
        "the generation is not said, so how fast anything trains on these lanes is not known",
        MANUAL,
    ),
)

WAY_GAPS = (
    Gap(
        "proof",
        "LANE006",
        ("check", "place", "compare"),
        lambda way: way.proof == "menu-only" or (way.proof is None and divides(way)),
        "nobody has seen this division work, so answers that need it rest on it",
        "if the manual lists it, write `proof: documented`; else choose it and look what the "
        "machine lists, then write `proof: seen` or `proof: refuted`",
    ),
    Gap(
        "order",
        "LANE007",
        ("check", "place"),
        lambda way: way.order == "unknown",
        "which lanes are the wide ones is not known, so which sockets stay dark cannot be answered",
        "put one drive in the carrier's first socket and see whether it appears",
    ),
)

BOARD_GAPS = (
    Gap(
        "size",
        "FIT013",
        ("place", "compare"),
        lambda board: board.size is None,
        "the board's outline is not said, so whether a chassis has stand-offs for it is in doubt",
        "the first page of specifications in the manual; `proprietary` if it is none of the others",
    ),
)


def is_header(one: BoardReceptacle) -> bool:
    """Whether cables start here that lead to something inside the machine."""
    return one.form in CABLED


CABLED = {
    "oculink-4",
    "slimsas-4",
    "slimsas-8",
    "mcio-4",
    "mcio-8",
    "mcio-16",
    "sff-8643",
    "sff-8087",
}
