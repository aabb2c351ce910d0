"""The preferences in words."""

from __future__ import annotations

from slotfit.model.plan import Plan, StageValue, Status
from slotfit.model.problem import Problem
from slotfit.render.view import StageView
from slotfit.render.words import gb_s

SAYS = {
    "optional-parts": ("all optional parts placed", "optional parts of weight {} left out"),
    "dark-endpoints": ("every endpoint comes alive", "{} endpoints stay dark"),
    "bandwidth": ("every demand is met", "{} GB/s short of demand"),
    "unproven-facts": ("rests on nothing unproven", "rests on {} unproven facts"),
    "locality": ("every part is near its processor", "{} parts on another processor"),
    "cooling": ("no card takes another's air", "{} gaps without air"),
    "moves": ("nothing moves from where it is today", "{} parts move"),
    "reserve": ("no receptacle of the board is taken", "receptacles worth {} GB/s taken"),
}

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
    good, bad = SAYS[stage.stage]
    amount = gb_s(stage.value) if stage.stage == "bandwidth" else str(stage.value)
    text = good if stage.value == 0 else bad.format(amount)
    if stage.stage == "moves" and not problem.today:
        text = "nothing is said of today's layout"
    if not stage.proven:
        text += f" (not proven: {stage.bound} may be possible)"
    return StageView(stage.stage, stage.value, stage.bound, stage.unit, text)
