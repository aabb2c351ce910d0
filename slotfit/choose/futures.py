"""Likely futures: how many of them a board could take."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass, replace

from slotfit import api
from slotfit.choose.additions import added, keeping, with_parts
from slotfit.choose.left_out import Most
from slotfit.choose.probes import Probe, together
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.render.compare.view import OutlookView


@dataclass(frozen=True)
class Outlook:
    """Additions that may come, and how likely they are against other futures."""

    name: str
    weight: float
    additions: tuple[Probe, ...]

    @property
    def probe(self) -> Probe:
        """All of its additions at once."""
        return together(self.additions, self.name)


def robustness(most: Most, outlooks: Sequence[Outlook], seconds: float) -> OutlookView:
    """Which futures fit beside the plan; none where the parts of today do not all fit."""
    plan = most.placed.answer.plan
    if plan is None or most.missing:
        return outlook_of(outlooks, {one.name: False for one in outlooks})
    base = keeping(most.placed.problem, plan)
    return outlook_of(outlooks, {one.name: takes(base, one, seconds) for one in outlooks})


def takes(base: Problem, outlook: Outlook, seconds: float) -> bool | None:
    """Whether the additions of a future fit; None if time ran out. Anything may move for them."""
    asked = with_parts(base, added(base, outlook.probe, 1))
    status = api.place(replace(asked, preferences=()), seconds).answer.status
    return None if status is Status.UNKNOWN else status is not Status.IMPOSSIBLE


def outlook_of(outlooks: Sequence[Outlook], fits: Mapping[str, bool | None]) -> OutlookView:
    """The futures by what became of them."""
    total = sum(one.weight for one in outlooks)
    by_answer = {
        answer: tuple(one.name for one in outlooks if fits[one.name] is answer)
        for answer in (True, False, None)
    }
    weight = sum(one.weight for one in outlooks if fits[one.name])
    return OutlookView(by_answer[True], by_answer[False], by_answer[None], weight / total)
