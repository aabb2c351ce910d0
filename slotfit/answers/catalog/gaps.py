"""What a file leaves open, and which questions of the day hang on it: the rules know."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cache
from typing import Literal

from slotfit.errors import Mistake
from slotfit.load.expand import EVEN, carries_lanes, lane_orders, most_lanes, named
from slotfit.model.board import Board, BoardReceptacle
from slotfit.model.build import Build
from slotfit.model.entity import Entity, Span
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.rule import Gap, GapOf, Question
from slotfit.rulebook import RULES
from slotfit.standards.forms import FORMS
from slotfit.standards.source import Trust

Sort = Literal["mistake", "implausible", "unsourced", "unknown"]

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
    rests_on: Mapping[Trust, tuple[str, ...]] = field(default_factory=dict)
    """What its figures rest on -> the keys, or ids on a board, that have them."""

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


OF_STAGES: tuple[tuple[str, Gap], ...] = (
    (
        "bandwidth",
        Gap(
            "part",
            "demand",
            lambda part: part.demand is None and part.has_endpoint and part.wiring != "switch",
            "what it moves when it works is not said, so its rate counts only after unproven facts",
            "what you expect of it, in gigabytes per second; a network port of 10 Gb/s moves 1.25",
            changes=("place", "compare"),
        ),
    ),
    (
        "moves",
        Gap(
            "build",
            "today",
            lambda build: not build.today,
            "where parts sit now is not said, so the way from there cannot be planned and moves "
            "are not counted",
            "`today: {part: machine/receptacle}`; `slotfit read` writes it down from a running "
            "machine",
            changes=("sequence", "place"),
        ),
    ),
)
"""Preference -> what it cannot weigh while it is not said; no rule forbids anything by it."""


@cache
def asked_of(kind: GapOf) -> tuple[tuple[str, Gap], ...]:
    """What rules and preferences ask of one kind of thing, each with who asks."""
    of_rules = ((rule.id, gap) for rule in RULES for gap in rule.gaps)
    return tuple((asker, gap) for asker, gap in (*of_rules, *OF_STAGES) if gap.of == kind)


def gaps_of(name: str, thing: Entity, file: str, *kinds: GapOf) -> Iterator[Remark]:
    """What is not known of a thing that is of these kinds; `name` is how to call it."""
    for kind in kinds:
        for asker, gap in asked_of(kind):
            if gap.when(thing):
                where = thing.span(gap.field) or file
                path = f"{name}: {gap.field}" if name else gap.field
                yield Remark("unknown", where, path, gap.then, gap.changes, asker, gap.find_out)


def file_gaps(entity: Entity, file: str) -> Iterator[Remark]:
    """Everything not said of what a file describes, a board's short forms not spelled out."""
    match entity:
        case Board():
            yield from board_gaps(entity, file)
        case PartSpec():
            yield from gaps_of("", entity, file, "part")
        case Chassis():
            yield from gaps_of("", entity, file, "chassis")
        case PowerSupply():
            yield from gaps_of("", entity, file, "power supply")
        case Build():
            for machine in entity.machines:
                yield from gaps_of(machine.id, machine, file, "machine")
            for part in entity.parts:
                yield from gaps_of(part.id, part, file, "build part")
            yield from gaps_of("", entity, file, "build")


def board_gaps(board: Board, file: str) -> Iterator[Remark]:
    """Everything not said of a board and of what is on it."""
    yield from gaps_of("", board, file, "board")
    in_groups = {
        name for group in board.lane_groups for way in group.arrangements for name in way.gives
    }
    far = far_slots(board)
    # Where there is one processor and no hub, lanes come from nowhere else.
    sources: tuple[GapOf, ...] = (
        ("lane source",) if len(board.processors) + len(board.hubs) > 1 else ()
    )
    for one in board.receptacles:
        kinds = [*receptacle_kinds(one, short=one.id not in in_groups)]
        kinds += ["far slot"] if one.id in far else []
        kinds += sources if one.id not in in_groups and carries_lanes(one) else ()
        yield from gaps_of(one.id, one, file, *kinds)
    for group in board.lane_groups:
        yield from gaps_of(group.id, group, file, "lane group", *sources)
        for way in group.arrangements:
            name = f"{group.id} {way.setting or way.id or ''}".strip()
            yield from gaps_of(name, way, file, "arrangement")


def receptacle_kinds(one: BoardReceptacle, *, short: bool) -> Iterator[GapOf]:
    """What a receptacle is; `short`: its lanes are described in the short form."""
    pcie = carries_lanes(one) and one.bus == "pcie"
    wired = pcie and "pcie" in FORMS[one.form].buses
    if short:
        if wired:
            yield "short receptacle"
        if pcie and (one.lanes or most_lanes(one)) in EVEN:
            yield "divisible receptacle"
        if order_open(one):
            yield "unevenly split receptacle"
    yield "receptacle"
    if wired:
        yield "pcie receptacle"


def order_open(one: BoardReceptacle) -> bool:
    """Whether a listed division may lie either way round."""
    return any(
        len(lane_orders(named(split.split), one.label_order, one.reversed)) > 1
        for split in one.splits or ()
    )


def far_slots(board: Board) -> set[str]:
    """Slots that hang on any processor but the first, which is always fitted."""
    first = board.processors[0].id
    above = {hub.id: hub.from_ for hub in board.hubs}
    origin = {
        name: group.from_
        for group in board.lane_groups
        for way in group.arrangements
        for name in way.gives
    }
    return {
        one.id
        for one in board.receptacles
        if one.form == "cem" and top(above, one.from_ or origin.get(one.id)) not in (None, first)
    }


def top(above: Mapping[str, str], origin: str | None) -> str | None:
    """The processor at the top, through however many hubs; a loop of hubs is no way up."""
    for _ in above:
        origin = above.get(origin or "", origin)
    return origin
