"""WISH006: parts that are to be apart together."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import combinations

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, place_in, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """At most one of each two in one place."""
    for group in problem.apart:
        for this, other in combinations(group.parts, 2):
            seats = [*seating.by_item.get(this, []), *seating.by_item.get(other, [])]
            places = dict.fromkeys(place_in(group.by, seat) for seat in seats)
            for place in places:
                here = tuple((s.key, 1) for s in seats if place_in(group.by, s) == place)
                if place is not None:
                    yield AtMost(
                        Ground(
                            RULE.id,
                            f"{this} and {other} are to be on different "
                            f"{group.by.replace('-', ' ')}s",
                            written(group.span()),
                        ),
                        here,
                        1,
                        "parts",
                    )


RULE = PlanRule(
    id="WISH006",
    title="parts that are to be apart together",
    why="The build file asks for them apart, so that one fault does not take both.",
    source="build file, `apart`",
    state=state,
    severity="asks",
)
