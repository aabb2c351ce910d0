"""The preferences in words."""

from __future__ import annotations

from slotfit.model.plan import Plan, StageValue
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.render.view import StageView
from slotfit.render.words import gb_s

SAYS = {
    "optional-parts": (
        "every optional part is placed",
        "optional parts of weight 1 are left out",
        "optional parts of weight {} are left out",
    ),
    "dark-endpoints": (
        "every endpoint comes alive",
        "1 endpoint stays dark",
        "{} endpoints stay dark",
    ),
    "bandwidth": ("every demand is met", "{} GB/s short of demand", "{} GB/s short of demand"),
    "unproven-facts": (
        "rests on nothing unproven",
        "rests on 1 fact nobody has proven",
        "rests on {} facts nobody has proven",
    ),
    "locality": (
        "every part is near the processor it should be near",
        "1 part hangs on another processor than it should",
        "{} parts hang on another processor than they should",
    ),
    "cooling": (
        "no card takes another's air",
        "1 gap where a neighbour takes the air",
        "{} gaps where a neighbour takes the air",
    ),
    "moves": ("nothing moves from where it is today", "1 part moves", "{} parts move"),
    "reserve": (
        "no lanes of the board are taken",
        "receptacles that could carry {} GB/s are taken",
        "receptacles that could carry {} GB/s are taken",
    ),
}
"""What a value of 0, of 1, and of more is called."""

HEADLINES = {
    Status.PROVEN: "Everything required is placed, and no better plan exists",
    Status.UNPROVEN: "Everything required is placed; time ran out before it was proven best",
    Status.IMPOSSIBLE: "No plan exists: the required parts do not all fit",
    Status.UNKNOWN: "Time ran out before a plan was found; none is ruled out either",
}


def headline(status: Status, plan: Plan) -> str:
    """The answer in one sentence, without its full stop."""
    text = HEADLINES[status]
    if status is Status.PROVEN and plan.facts:
        one = len(plan.facts) == 1
        text += f"; it rests on {len(plan.facts)} fact{'' if one else 's'} nobody has proven"
    return text


def stage_view(problem: Problem, stage: StageValue) -> StageView:
    """One preference in words."""
    amount = gb_s(stage.value) if stage.stage == "bandwidth" else str(stage.value)
    text = SAYS[stage.stage][min(stage.value, 2)].format(amount)
    if stage.stage == "moves" and not problem.today:
        text = "nothing is said of today's layout"
    if not stage.proven:
        text += f" (not proven: {stage.bound} may be possible)"
    return StageView(stage.stage, stage.value, stage.bound, stage.unit, text)
