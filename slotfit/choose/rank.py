"""Which board is better, by the ordered preferences, and what decides it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slotfit.choose.compare import Result
from slotfit.model.plan import Status


@dataclass(frozen=True, slots=True)
class Difference:
    """The first preference in which two boards differ."""

    better: str
    worse: str
    stage: str
    """A preference, or `required-parts`."""
    better_value: int
    worse_value: int


def tried(results: Sequence[Result]) -> list[Result]:
    """Those that have an answer."""
    return [result for result in results if result.view and not result.mistake]


def score(result: Result) -> tuple[int, ...]:
    """Smaller is better: first whether everything required fits, then stage by stage."""
    unproven = int(result.status is Status.UNKNOWN)
    return (unproven, int(not result.complete), *(value for _, value in result.values))


def ranked(results: Sequence[Result]) -> list[Result]:
    """Best first; ties in the order given; those without an answer last."""
    good = tried(results)
    rest = [result for result in results if result not in good]
    return sorted(good, key=score) + rest


def difference(one: Result, other: Result) -> Difference | None:
    """What decides between two; None if they tie in every preference."""
    first, second = score(one), score(other)
    if first == second:
        return None
    better, worse = (one, other) if first < second else (other, one)
    names = ["answered", "required-parts", *(stage for stage, _ in better.values)]
    if not better.complete and not worse.complete:
        names = [*names[:2], *(stage for stage, _ in better.values)]
    for name, low, high in zip(names, score(better), score(worse), strict=False):
        if low != high:
            return Difference(better.name, worse.name, name, low, high)
    return None


def dominated_by(result: Result, results: Sequence[Result]) -> str | None:
    """A board that is as good in every preference and better in one; None if there is none."""
    mine = score(result)
    for other in tried(results):
        theirs = score(other)
        if other is result or len(theirs) != len(mine) or theirs == mine:
            continue
        if all(a <= b for a, b in zip(theirs, mine, strict=True)):
            return other.name
    return None
