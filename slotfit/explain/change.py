"""One thing to give up or to buy: what it lifts, and the problem it leaves."""

from __future__ import annotations

from collections.abc import Callable, Sequence
from dataclasses import dataclass
from functools import cached_property

from slotfit.explain.kinds import BY_ID, RANK
from slotfit.explain.lifting import Lifts
from slotfit.explain.told import Step
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem
from slotfit.natural_order import natural

Wording = Callable[[Plan | None], str]
"""What to do, as an order; with the plan it leads to, if there is one yet."""

Amend = Callable[[Problem], Problem]
"""The problem once it is done."""


@dataclass(frozen=True)
class Option:
    """One way to do it."""

    words: Wording
    made: Amend
    write: str = ""
    mind: str = ""
    called: str = ""
    """The thing to buy, where there are several to choose from."""


@dataclass(frozen=True)
class Change:
    """One thing to give up or to buy."""

    kind: str
    subject: str
    """The part, machine or group that it is about."""
    label: str
    """What to do, before it is known how; tells changes of a kind to one subject apart."""
    find: Callable[[], tuple[Option, ...]]
    """The ways to do it, what changes least first; looked up when they are asked for."""
    lifts: Lifts
    """Names of the reasons that it does away with, and perhaps of some more."""
    stands_for: tuple[Item, ...] = ()
    """Items that are there only if this is done; the first is the part itself."""
    nearness: tuple[float, ...] = ()
    """Of several changes of a kind to one subject: the smaller, the less it changes."""

    @cached_property
    def options(self) -> tuple[Option, ...]:
        """The ways to do it, what changes least first."""
        return self.find()

    @property
    def name(self) -> str:
        """Its atom in the solver's model."""
        return f"change {self.kind} {self.subject}: {self.label}"

    @property
    def order(self) -> tuple[object, ...]:
        """What is given up most readily first."""
        return (RANK[self.kind], natural(self.subject), self.nearness, natural(self.label))

    def step(self, option: Option, plan: Plan | None, others: Sequence[str] = ()) -> Step:
        """The same, told."""
        return Step(self.kind, option.words(plan), option.write, option.mind, tuple(others))

    def unplaced(self) -> Step:
        """The same, told before it is tried."""
        if not self.options:
            return Step(self.kind, self.label)
        return self.step(self.options[0], None)


def single(
    kind: str,
    subject: str,
    option: Option,
    lifts: Lifts,
    stands_for: tuple[Item, ...] = (),
    nearness: tuple[float, ...] = (),
) -> Change:
    """A change that is done in one way only."""
    label = option.words(None)
    return Change(kind, subject, label, lambda: (option,), lifts, stands_for, nearness)


def fixed(text: str) -> Wording:
    """Words that do not hang on the plan."""
    return lambda plan: text  # noqa: ARG005 - one shape for all wordings


def untouched(problem: Problem, kind: str, *names: str) -> bool:
    """Whether the build file rules this out: by a part's name, or by a word for the kind."""
    closed = {*BY_ID[kind].closed_by, *names}
    return not closed.isdisjoint(problem.untouchable)
