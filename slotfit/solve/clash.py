"""
Which of many reasons clash: a set that cannot hold, with nothing idle in it.

Each reason is some clauses behind one switch. The solver's own core is only a head start: it is
shrunk by leaving out one reason after another and solving again, on a model without an objective
(with one the solver names every assumption). Decision 0011 has the figures.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from slotfit.model.clause import Clause
from slotfit.solve.clock import Clock
from slotfit.solve.engine import Model, Result, Solution
from slotfit.solve.needed import About, Choice, Named, about, also_needed
from slotfit.solve.post import post, post_atoms


@dataclass(frozen=True)
class Stated:
    """What a plan has to keep: truths that nobody can change, and reasons by name."""

    atoms: tuple[str, ...]
    hard: tuple[Clause, ...]
    soft: Mapping[str, tuple[Clause, ...]]


@dataclass(frozen=True, slots=True)
class Core:
    """Reasons that clash."""

    names: tuple[str, ...]
    minimal: bool
    """Without any one of them the rest was seen to hold; False where time ran out."""


@dataclass
class Bench:
    """The model with a switch for each reason."""

    stated: Stated
    clock: Clock
    model: Model
    x: dict[str, int]
    switch: dict[str, int]

    def attempt(self, names: Iterable[str]) -> Solution:
        """Whether these reasons, and the hard clauses, hold together."""
        self.model.assume([self.switch[name] for name in names])
        return self.clock.solve(self.model)

    def named(self, found: Solution, asked: Iterable[str]) -> tuple[str, ...]:
        """The core in words, in the order asked."""
        core = frozenset(found.core)
        return tuple(name for name in asked if self.switch[name] in core)

    def choice(self, found: Solution) -> Choice:
        """The atoms that an answer chooses."""
        return frozenset(atom for atom, variable in self.x.items() if found.values[variable])

    @cached_property
    def said(self) -> About:
        """Every clause, by the atoms it speaks of."""
        return about(self.named_clauses())

    def named_clauses(self) -> Iterator[Named]:
        """Every clause with the reason it belongs to."""
        yield from ((None, clause) for clause in self.stated.hard)
        for name, clauses in self.stated.soft.items():
            yield from ((name, clause) for clause in clauses)


def bench(stated: Stated, clock: Clock) -> Bench:
    """Post everything once; each attempt only changes what is assumed."""
    model = Model()
    x = post_atoms(model, stated.atoms)
    for clause in stated.hard:
        post(model, x, clause)
    switch = {name: model.variable() for name in stated.soft}
    for name, clauses in stated.soft.items():
        for clause in clauses:
            post(model, x, clause, switch[name])
    return Bench(stated, clock, model, x, switch)


def holds_together(stated: Stated, names: Iterable[str], clock: Clock) -> Result:
    """The same question on a model of its own, without switches: the check of the check."""
    model = Model()
    x = post_atoms(model, stated.atoms)
    for clause in (*stated.hard, *(c for name in names for c in stated.soft[name])):
        post(model, x, clause)
    return clock.solve(model).result


def minimal_core(stated: Stated, bundles: Sequence[Sequence[str]], clock: Clock) -> Core | None:
    """
    Reasons that clash, shrunk by leaving out whole bundles first, then reason by reason.

    What comes early is left out first: later bundles are what one would rather see in the answer.
    None: everything holds together, or time ran out before anything was known.
    """
    tried = bench(stated, clock)
    first = tried.attempt(stated.soft)
    if first.result is not Result.INFEASIBLE:
        return None
    core = tried.named(first, stated.soft)
    needed: set[str] = set()
    for bundle in in_turn(stated, bundles):
        gone = frozenset(bundle).intersection(core)
        if not gone or not gone.isdisjoint(needed) or not clock.left:
            continue
        kept = tuple(name for name in core if name not in gone)
        found = tried.attempt(kept)
        if found.result is Result.INFEASIBLE:
            core = tried.named(found, kept)
        elif found.result is not Result.UNKNOWN and len(gone) == 1:
            left_out = tuple(clause for name in gone for clause in stated.soft[name])
            needed |= gone
            needed.update(also_needed(left_out, tried.choice(found), core, tried.said))
    return Core(core, needed.issuperset(core))


def in_turn(stated: Stated, bundles: Sequence[Sequence[str]]) -> Iterator[Sequence[str]]:
    """Every bundle, then every reason by itself in the same order."""
    bundled = [name for bundle in bundles for name in bundle]
    rest = [name for name in stated.soft if name not in set(bundled)]
    yield from bundles
    yield from ((name,) for name in (*rest, *bundled))
