"""Which board is better, by the ordered preferences, and what decides it."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from slotfit.choose.compare import Found, Result

REQUIRED = "required-parts"
"""What comes before every preference: that everything required has a seat."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Everything in which one board's plan differs from another's, the deciding one first."""

    worse: str
    better: str
    stage: str
    worse_value: int
    better_value: int
    worse_too: tuple[str, ...]
    """Later preferences in which the worse one is worse as well."""
    better_there: tuple[str, ...]
    """Later preferences in which the worse one is better."""
    proven: bool
    """Both plans are proven best; else time may have decided."""

    @property
    def only(self) -> bool:
        """They differ in nothing else; nobody can say so where one lacks required parts."""
        return self.stage != REQUIRED and not (self.worse_too or self.better_there)


def score(found: Found) -> dict[str, int]:
    """Preference -> value, in their order; smaller is better."""
    return {REQUIRED: len(found.missing)} | {one.stage: one.value for one in found.stages}


def order(result: Result) -> tuple[object, ...]:
    """A sort key: by the preferences; then what did not fit, what time ran out on, mistakes."""
    if result.found:
        return (0, *score(result.found).values())
    return (3 if result.mistake else 1 if result.impossible else 2,)


def ranked(results: Sequence[Result]) -> list[Result]:
    """Best first; ties in the order given; those without an answer last."""
    return sorted(results, key=order)


def places(results: Sequence[Result]) -> dict[str, int]:
    """The place of each board that has an answer; boards that tie share one."""
    scores = {one.name: [*score(one.found).values()] for one in results if one.found}
    return {
        name: 1 + sum(other < mine for other in scores.values()) for name, mine in scores.items()
    }


def difference(one: Result, other: Result) -> Difference | None:
    """How two boards differ; None if they tie in every preference, or one has no answer."""
    if not one.found or not other.found:
        return None
    first, second = score(one.found), score(other.found)
    apart = [name for name in first if first[name] != second.get(name)]
    if not apart:
        return None
    stage, *later = apart
    worse, better = (one, other) if first[stage] > second[stage] else (other, one)
    high, low = (first, second) if worse is one else (second, first)
    return Difference(
        worse=worse.name,
        better=better.name,
        stage=stage,
        worse_value=high[stage],
        better_value=low[stage],
        worse_too=tuple(name for name in later if high[name] > low[name]),
        better_there=tuple(name for name in later if high[name] < low[name]),
        proven=one.found.proven and other.found.proven,
    )


def dominated_by(result: Result, results: Sequence[Result]) -> str | None:
    """
    A board than which this one is better in nothing: no preference, no future, and not its price.

    Only proven plans count, and one of two that tie does not dominate the other.
    """
    for other in results:
        apart = difference(result, other)
        if (
            apart
            and apart.proven
            and apart.worse == result.name
            and not apart.better_there
            and not has_more_to_offer(result, other)
        ):
            return other.name
    return None


def has_more_to_offer(one: Result, other: Result) -> bool:
    """Whether it is known to cost less, or to take futures that the other does not."""
    cheaper = one.price is not None and other.price is not None and one.price < other.price
    mine, theirs = (result.found and result.found.outlook for result in (one, other))
    return cheaper or bool(mine and theirs and set(mine.fits) - set(theirs.fits))
