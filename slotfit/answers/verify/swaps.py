"""
The fewest changes that tell suspects apart: each is made alone, and the fault goes with it or not.

A change splits the suspects in two. All orders are tried, so the plan is the best there is: the one
that leaves the fewest together, then with the fewest changes at worst, then in all, then the
cheapest and least risky. Nothing here knows what a suspect is.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Sequence
from dataclasses import dataclass
from functools import cache
from typing import Generic, TypeVar

Suspect = TypeVar("Suspect", bound=Hashable)


@dataclass(frozen=True, slots=True)
class SwapChoice(Generic[Suspect]):
    """One change: with what it takes along the fault goes, if it is there."""

    do: str
    takes: frozenset[Suspect]
    cost: int
    """What it takes of work and of risk: 1 a plug, 2 a drive, 3 a card, more what must be had."""
    goes: str
    """How it is seen that the fault went with it."""


@dataclass(frozen=True, slots=True)
class Branch(Generic[Suspect]):
    """Suspects that are left, and the change that comes next; None: no change tells them apart."""

    suspects: frozenset[Suspect]
    change: SwapChoice[Suspect] | None = None
    goes: Branch[Suspect] | None = None
    stays: Branch[Suspect] | None = None

    def steps(self, suspect: Suspect) -> int:
        """Changes until nothing more can be told, if this suspect is to blame."""
        if self.change is None or self.goes is None or self.stays is None:
            return 0
        way = self.goes if suspect in self.change.takes else self.stays
        return 1 + way.steps(suspect)

    def left(self, suspect: Suspect) -> frozenset[Suspect]:
        """Who is still suspected then."""
        if self.change is None or self.goes is None or self.stays is None:
            return self.suspects
        return (self.goes if suspect in self.change.takes else self.stays).left(suspect)

    def walk(self) -> Iterator[Branch[Suspect]]:
        """Every branch with a change, the first first."""
        if self.change and self.goes and self.stays:
            yield self
            yield from self.goes.walk()
            yield from self.stays.walk()


Worth = tuple[int, int, int, int]
"""Left together, most changes, changes in all, cost; the least is the best."""


def plan_swaps(
    suspects: frozenset[Suspect], changes: Sequence[SwapChoice[Suspect]]
) -> Branch[Suspect]:
    """The best order of changes."""

    @cache
    def best(left: frozenset[Suspect]) -> tuple[Worth, Branch[Suspect]]:
        options = [((len(left) - 1, 0, 0, 0), Branch(left))]
        for change in changes:
            goes, stays = left & change.takes, left - change.takes
            if goes and stays:
                (one, with_it), (other, without) = best(goes), best(stays)
                worth = (
                    one[0] + other[0],
                    1 + max(one[1], other[1]),
                    len(left) + one[2] + other[2],
                    change.cost * len(left) + one[3] + other[3],
                )
                options.append((worth, Branch(left, change, with_it, without)))
        return min(options, key=lambda option: option[0])

    return best(suspects)[1]
