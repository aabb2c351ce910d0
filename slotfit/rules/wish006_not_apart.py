"""WISH006: parts that are to be apart together."""

from collections.abc import Iterator
from itertools import combinations

from slotfit.listing import natural
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, place_in


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """At most one of each two in one place."""
    for group in problem.apart:
        for this, other in combinations(sorted(group.parts, key=natural), 2):
            seats = [*seating.by_part.get(this, []), *seating.by_part.get(other, [])]
            facts = (Cited("wish", this, group, ""),)
            reason = RULE.no("together", {"part": this, "other": other}, facts, by=group.by)
            for place in dict.fromkeys(place_in(group.by, seat) for seat in seats):
                here = tuple((s.key, 1) for s in seats if place_in(group.by, s) == place)
                if place is not None:
                    yield AtMost(reason, here, 1, "parts")


RULE = PlanRule(
    id="WISH006",
    title="parts that are to be apart together",
    why="The build file asks for them apart, so that one fault does not take both.",
    source="build file, `apart`",
    says={
        "together": Wording(
            "{part} and {other} are to be on different {by}s",
            words={"by": lambda scope: scope.replace("-", " ")},
        )
    },
    state=state,
    severity="asks",
)
