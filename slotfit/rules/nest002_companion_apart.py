"""NEST002: one plug of a part without the other."""

from collections.abc import Iterator

from slotfit.model.clause import Clause, Needs
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Both plugs seated in one machine, or neither."""
    for item in problem.items:
        if item.companion_of is None:
            continue
        pair = (item.id, item.companion_of)
        names = {"body": item.companion_of, "plug": item.id}
        reason = RULE.no("apart", names, (Cited("plug", item.id, item.part, ""),))
        for this, other in (pair, pair[::-1]):
            for seat in seating.by_item.get(this, []):
                seats = in_machine(seating.by_item.get(other, []), seat.offer.machine)
                yield Needs(reason, seat.key, seats)


def in_machine(seats: list[Seat], machine: str) -> tuple[str, ...]:
    """Keys of the seats in one machine."""
    return tuple(seat.key for seat in seats if seat.offer.machine == machine)


RULE = PlanRule(
    id="NEST002",
    title="one plug of a part without the other",
    why="A part with two plugs works with both connected, in the same machine.",
    source="part description, `extra_plugs`",
    says={"apart": Wording("{body} works only with its plug {plug} connected too")},
    state=state,
)
