"""NEST004: plugs of one wide port on two controllers."""

from collections.abc import Iterator

from slotfit.model.clause import Clause, Needs
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A plug that joins another hangs on the same controller as that one."""
    for part in problem.parts:
        if part.joins is None:
            continue
        others = seating.by_part.get(part.joins, [])
        names = {"plug": part.id, "other": part.joins}
        reason = RULE.no("apart", names, (Cited("plug", part.id, part.spec, ""),))
        for seat in seating.by_part.get(part.id, []):
            # The nearest hop is the controller; its own seat is the same for both.
            same = tuple(
                one.key for one in others if one.upstream.hops[:1] == seat.upstream.hops[:1]
            )
            yield Needs(reason, seat.key, same)


RULE = PlanRule(
    id="NEST004",
    title="plugs of one wide port on two controllers",
    why="Lanes join to a wide port only between the same two devices; what leads elsewhere is a "
    "port of its own.",
    source="a SAS wide port's lanes share one address, from memory",
    says={"apart": Wording("{plug} and {other} make one wide port and lead to one controller")},
    state=state,
)
