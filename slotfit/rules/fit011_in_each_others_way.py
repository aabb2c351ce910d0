"""FIT011: receptacles in each other's way."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """At most one of two receptacles that block each other."""
    for site in problem.sites:
        for other in getattr(site.receptacle, "blocked_by", ()):
            rival = sibling(site.id, other)
            here, there = seating.by_site.get(site.id, []), seating.by_site.get(rival, [])
            if here and there:
                yield AtMost(
                    Ground(
                        RULE.id,
                        f"{site.id} and {rival} are in each other's way",
                        written(site.receptacle.span("blocked_by")),
                    ),
                    tuple((seat.key, 1) for seat in (*here, *there)),
                    1,
                    "parts",
                )


def sibling(site: str, receptacle: str) -> str:
    """The site of another receptacle of the same board."""
    owner, slash, _ = site.rpartition("/")
    return f"{owner}{slash}{receptacle}"


RULE = PlanRule(
    id="FIT011",
    title="receptacles in each other's way",
    why="Some receptacles cannot be used together for want of room.",
    source="board file, `blocked_by`",
    state=state,
)
