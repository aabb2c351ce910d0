"""Likely futures: how many of them a board could take."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace

from slotfit import api
from slotfit.choose.headroom import added, with_parts
from slotfit.choose.probes import Probe, together
from slotfit.model.plan import Status
from slotfit.model.problem import Problem


@dataclass(frozen=True)
class Outlook:
    """Additions that may come, and how likely they are against other futures."""

    name: str
    weight: float
    additions: tuple[Probe, ...]


@dataclass(frozen=True)
class Robustness:
    """What of the futures a board can take: names that fit, that do not, that stayed open."""

    fits: tuple[str, ...]
    fails: tuple[str, ...]
    open: tuple[str, ...]
    share: float
    """Weight of those that fit out of all."""


def robustness(problem: Problem, futures: Sequence[Outlook], seconds: float) -> Robustness:
    """Each future placed from scratch: everything may go elsewhere for it."""
    outcome = {future.name: takes(problem, future, seconds) for future in futures}
    total = sum(future.weight for future in futures)
    fitting = sum(future.weight for future in futures if outcome[future.name] is True)
    return Robustness(
        fits=tuple(name for name, fits in outcome.items() if fits is True),
        fails=tuple(name for name, fits in outcome.items() if fits is False),
        open=tuple(name for name, fits in outcome.items() if fits is None),
        share=fitting / total if total else 1.0,
    )


def takes(problem: Problem, future: Outlook, seconds: float) -> bool | None:
    """Whether all required parts and the additions fit; None if time ran out."""
    probe = together(future.additions)
    asked = replace(with_parts(problem, added(probe, 1)), preferences=())
    status = api.place(asked, seconds).answer.status
    if status is Status.IMPOSSIBLE:
        return False
    return None if status is Status.UNKNOWN else True
