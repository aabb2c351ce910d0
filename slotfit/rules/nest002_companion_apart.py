"""NEST002: one plug of a part without the other."""

from collections.abc import Iterator

from slotfit.model.clause import Clause, Needs
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Both plugs seated in one machine, or neither."""
    for part in problem.parts:
        if part.companion_of is None:
            continue
        pair = (part.id, part.companion_of)
        names = {"body": part.companion_of, "plug": part.id}
        reason = RULE.no("apart", names, (Cited("plug", part.id, part.spec, ""),))
        for this, other in (pair, pair[::-1]):
            for seat in seating.by_part.get(this, []):
                seats = in_machine(seating.by_part.get(other, []), seat.upstream.machine)
                yield Needs(reason, seat.key, seats)


def in_machine(seats: list[Seat], machine: str) -> tuple[str, ...]:
    """Keys of the seats in one machine."""
    return tuple(seat.key for seat in seats if seat.upstream.machine == machine)


RULE = PlanRule(
    id="NEST002",
    title="one plug of a part without the other",
    why="A part with two plugs works with both connected, in the same machine.",
    source="part description, `extra_plugs`",
    says={"apart": Wording("{body} works only with its plug {plug} connected too")},
    state=state,
)
