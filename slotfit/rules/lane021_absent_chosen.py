"""LANE021: arrangement chosen that is not there."""

from collections.abc import Iterator

from slotfit.model.clause import AtMost, Clause, arrangement
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, division


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:  # noqa: ARG001 - one shape
    """What needs another processor or firmware is chosen for nobody."""
    for key, ways in problem.withheld.items():
        entry = problem.machine[key.machine].entry
        for way in ways:
            facts = (
                Cited("arrangement", str(way.id), way, "needs"),
                Cited("machine", entry.id, entry, "firmware"),
                Cited("machine", entry.id, entry, "processors"),
            )
            reason = RULE.no("absent", {}, facts, division=division(way), group=str(key))
            yield AtMost(reason, ((arrangement(key, str(way.id)), 1),), 0)


RULE = PlanRule(
    id="LANE021",
    title="arrangement chosen that is not there",
    why="A division that came with later firmware, or that another processor makes, is in no menu "
    "of this machine.",
    source="board file, `needs` of an arrangement",
    says={
        "absent": Wording(
            "{division} of {group} is not there with the processor and firmware fitted"
        )
    },
    state=state,
)
