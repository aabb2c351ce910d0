"""LANE014: refuted arrangement chosen for nobody."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, arrangement
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, division


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:  # noqa: ARG001 - one shape
    """A setting known not to work is never chosen where another is left."""
    for key, group in problem.lane_groups.items():
        refuted = [way for way in group.arrangements if way.proof == "refuted"]
        if len(refuted) == len(group.arrangements):
            continue
        for way in refuted:
            facts = (Cited("arrangement", str(way.id), way, "proof"),)
            reason = RULE.no("refuted", {}, facts, division=division(way), group=str(key))
            yield AtMost(reason, ((arrangement(key, str(way.id)), 1),), 0)


RULE = PlanRule(
    id="LANE014",
    title="refuted arrangement chosen for nobody",
    why="A lane group is always divided somehow, even while no part asks for it; not that way.",
    source="board file, `proof: refuted`",
    says={"refuted": Wording("{division} of {group} is known not to work")},
    state=state,
)
