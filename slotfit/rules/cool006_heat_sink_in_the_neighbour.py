"""COOL006: heat sink that reaches into the neighbour."""

from collections.abc import Iterator
from math import ceil

from slotfit.hardware.room import Position, bodies_by_position, positions
from slotfit.model.clause import AtMost, Clause
from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule
from slotfit.standards.cem import BOARD_MM, BOARD_SOURCE, PITCH_MM, PITCH_SOURCE


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No card where the heat sink of the card before it stands."""
    bodies = bodies_by_position(problem, seating.seats)
    for seat in seating.seats:
        for place in reached(problem, seat):
            others = [one for one in bodies.get(place, []) if is_another(seat, one)]
            if others:
                yield one_of(problem, seat, others)


def reached(problem: Problem, seat: Seat) -> Iterator[Position]:
    """Positions beyond its own that the highest thing on the card stands in."""
    spec, covered = problem.part[seat.part].spec, positions(problem, seat)
    if covered and spec.component_mm is not None:
        owner, row, last = covered[-1]
        for step in range(beyond(spec, len(covered), spec.component_mm)):
            yield owner, row, last + 1 + step


def beyond(spec: PartSpec, covered: int, component_mm: float) -> int:
    """So many positions; none for what is no card."""
    if spec.plug.form != "cem":
        return 0
    return max(0, ceil((component_mm + BOARD_MM) / PITCH_MM) - covered)


def is_another(seat: Seat, other: Seat) -> bool:
    """Whether both could be chosen, but for this."""
    return other.part != seat.part and other.receptacle != seat.receptacle


def one_of(problem: Problem, seat: Seat, others: list[Seat]) -> Clause:
    """Not the card here and another body in its way; it weighs as much as all the others."""
    spec = problem.part[seat.part].spec
    facts = (Cited("part", seat.part, spec, "component_mm"),)
    names = {"part": seat.part, "receptacle": seat.receptacle}
    keys = tuple(dict.fromkeys(other.key for other in others))
    reason = RULE.no("high", names, facts, high=spec.component_mm)
    terms = ((seat.key, len(keys)), *((key, 1) for key in keys))
    return AtMost(reason, terms, len(keys), "bodies")


RULE = PlanRule(
    id="COOL006",
    title="heat sink that reaches into the neighbour",
    why="A heat sink higher than the pitch of the slots stands where the next card's back is, "
    "whatever the bracket's width says.",
    source=f"{PITCH_SOURCE}; {BOARD_SOURCE}",
    says={
        "high": Wording(
            "{part} in {receptacle} stands {high:g} mm above its own board, into the next card"
        )
    },
    state=state,
)
