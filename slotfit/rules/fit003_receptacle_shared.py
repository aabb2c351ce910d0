"""FIT003: two parts in one receptacle."""

from collections.abc import Iterator, Mapping, Sequence

from slotfit.listing import listed
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Cited, No, Told, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One part a receptacle."""
    for receptacle, seats in seating.by_receptacle.items():
        if len({seat.part for seat in seats}) > 1:
            facts = (Cited("receptacle", receptacle, problem.receptacle[receptacle].spec, ""),)
            reason = RULE.no("one", {"receptacle": receptacle}, facts)
            yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "parts")


def together(reasons: Sequence[No], _: Mapping[str, Part]) -> list[Told]:
    """`slot1 to slot3 take one part each`."""
    if len(reasons) == 1:
        return [Told((reasons[0],), reasons[0].text)]
    names = listed(name for reason in reasons for _, name in reason.names)
    return [Told(tuple(reasons), f"{names} take one part each")]


RULE = PlanRule(
    id="FIT003",
    title="two parts in one receptacle",
    why="A receptacle takes one part.",
    source="what a connector is: our own word",
    says={"one": Wording("{receptacle} takes one part", together=together)},
    state=state,
)
