"""Preferences as objectives: consecutive ones in one sum while their ranges allow it."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field

from slotfit.costs import weight
from slotfit.model.plan import StageValue
from slotfit.solve.engine import Model, Term
from slotfit.solve.frame import Frame
from slotfit.solve.prefer import STAGES

PACKED_RANGE = 10**7
"""Consecutive stages share one objective while the product of their ranges stays below this; with
more, most builds take as long and a few many times longer."""

WIDER_RANGE = 1 << 40
"""The same where no tie is broken afterwards: a quarter faster where any part may be left out."""

UNITS = {
    "optional-parts": "weight left out",
    "dark-endpoints": "endpoints",
    "bandwidth": "MB/s short",
    "unproven-facts": "facts",
    "locality": "parts",
    "cooling": "gaps",
    "moves": "parts",
    "reserve": "GB/s taken",
}


@dataclass
class Step:
    """Some consecutive stages in one objective."""

    names: list[str] = field(default_factory=list)
    terms: list[list[Term]] = field(default_factory=list)
    ranges: list[tuple[int, int]] = field(default_factory=list)

    @property
    def size(self) -> int:
        """The product of the ranges: what the objective counts up to."""
        product = 1
        for low, high in self.ranges:
            product *= high - low + 1
        return product

    @property
    def weights(self) -> list[int]:
        """What one unit of each stage weighs: more than all later stages together."""
        found = [1]
        for low, high in reversed(self.ranges[1:]):
            found.append(found[-1] * (high - low + 1))
        return found[::-1]

    def add(self, name: str, terms: list[Term], span: tuple[int, int]) -> None:
        """One more stage, after the others."""
        self.names.append(name)
        self.terms.append(terms)
        self.ranges.append(span)

    def objective(self) -> list[Term]:
        """The stages in one sum."""
        return [
            (variable, cost * unit)
            for terms, unit in zip(self.terms, self.weights, strict=True)
            for variable, cost in terms
        ]

    def reached(self, values: Sequence[int]) -> list[int]:
        """What each stage comes to."""
        return [worth(terms, values) for terms in self.terms]

    def bounds(self, values: Sequence[int], bound: int) -> list[int]:
        """
        What a bound of the objective proves of each stage, for plans as good in the earlier ones.

        A stage's bound is what the objective's leaves it when all later ones are at their most;
        of the stages after one that is not proven nothing is known but their least value.
        """
        found = [low for low, _ in self.ranges]
        for number, unit in enumerate(self.weights):
            rest = zip(self.ranges[number + 1 :], self.weights[number + 1 :], strict=True)
            most = sum(high * its_unit for (_, high), its_unit in rest)
            found[number] = max(found[number], -((most - bound) // unit))
            value = worth(self.terms[number], values)
            if value > found[number]:
                break
            bound -= value * unit
        return found


def worth(terms: Iterable[Term], values: Sequence[int]) -> int:
    """The sum's value."""
    return sum(cost * values[variable] for variable, cost in terms)


def pack(model: Model, sums: Iterable[tuple[str, list[Term]]], most: int) -> list[Step]:
    """Named sums in as few steps as can be, none of which counts further than `most`."""
    steps: list[Step] = []
    for name, terms in sums:
        low, high = model.range_of(terms)
        if not steps or steps[-1].size * (high - low + 1) > most:
            steps.append(Step())
        steps[-1].add(name, terms, (low, high))
    return steps


def preferred(frame: Frame, *, wider: bool = False) -> list[Step]:
    """The build's preferences, in as few steps as the range allows."""
    sums = ((stage, STAGES[stage](frame)) for stage in frame.problem.preferences)
    return pack(frame.model, sums, WIDER_RANGE if wider else PACKED_RANGE)


def stage_value(name: str, value: int, bound: int, frame: Frame) -> StageValue:
    """Optional parts were counted as weight earned; shown is weight left out."""
    if name == "optional-parts":
        total = sum(weight(item) for item in frame.problem.items)
        value, bound = value + total, bound + total
    return StageValue(name, value, bound, UNITS[name])
