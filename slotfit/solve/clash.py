"""
Which of many reasons clash: a set that cannot hold, with nothing idle in it.

Each reason is some clauses behind one switch. The solver's own core is only a head start: it is
shrunk by leaving out one reason after another and solving again, on a model without an objective
(with one the solver names every assumption). Decision 0011 has the figures.
"""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from slotfit.model.clause import Clause, ExactlyOne, Needs, atoms_of, holds
from slotfit.solve.engine import FAR, Clock, Manner, Model, Result, Solution
from slotfit.solve.frame import post, post_atoms

Named = tuple[str | None, Clause]
"""A clause and the reason it belongs to; None for one that always binds."""

Choice = frozenset[str]
"""The chosen atoms."""


@dataclass(frozen=True)
class About:
    """What is said of each atom."""

    clauses: Mapping[str, list[Named]]

    def hard(self, atom: str) -> Iterator[Clause]:
        """The clauses about an atom that always bind."""
        return (clause for name, clause in self.clauses.get(atom, ()) if name is None)

    def broken(self, choice: Choice, atoms: Iterable[str], core: Container[str]) -> set[str | None]:
        """Whose clauses about these atoms do not hold, of the core and of those that bind."""
        return {
            name
            for atom in atoms
            for name, clause in self.clauses.get(atom, ())
            if (name is None or name in core) and not holds(clause, choice)
        }


def about(named: Iterable[Named]) -> About:
    """The clauses by what they speak of."""
    found: dict[str, list[Named]] = {}
    for name, clause in named:
        for atom in dict.fromkeys(atoms_of(clause)):
            found.setdefault(atom, []).append((name, clause))
    return About(found)


def also_needed(
    left_out: tuple[Clause, ...], choice: Choice, core: Container[str], said: About
) -> Iterator[str]:
    """
    Further reasons without which the core holds; `choice` keeps all of it but `left_out`.

    One seat more may keep what was left out and break a single other reason. Then that choice keeps
    the core without that reason: it is needed, as a solve would have said. (Model rotation, known
    from minimal unsatisfiable sets of Boolean clauses; from memory.)
    """
    idle = bare(choice, core, said)
    for atom in sorted({atom for clause in left_out for atom in atoms_of(clause)} - choice):
        for other in with_one_more(idle, atom, said):
            broken = said.broken(other, other ^ idle, core)
            if len(broken) == 1 and all(holds(clause, other) for clause in left_out):
                yield from (name for name in broken if name is not None)


def bare(choice: Choice, core: Container[str], said: About) -> Choice:
    """The choice without what nobody in the core asks for: it would only be in the way."""
    for atom in sorted(choice, reverse=True):
        less = choice - {atom}
        if not said.broken(less, [atom], core):
            choice = less
    return choice


def with_one_more(choice: Choice, atom: str, said: About) -> Iterator[Choice]:
    """The atom chosen as well; or with its lane group arranged as it needs, whichever way."""
    yield choice | {atom}
    for clause in said.hard(atom):
        if isinstance(clause, Needs) and clause.atom == atom and not holds(clause, choice | {atom}):
            for way in clause.any_of:
                yield (choice - instead_of(way, said)) | {atom, way}


def instead_of(way: str, said: About) -> Choice:
    """The atoms of which this is one to choose."""
    return frozenset(
        atom for clause in said.hard(way) if isinstance(clause, ExactlyOne) for atom in clause.atoms
    )


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


@dataclass(frozen=True, slots=True)
class Corrections:
    """Sets of changes, all of one size."""

    sets: tuple[tuple[str, ...], ...]
    complete: bool
    """There are no more of this size."""


@dataclass(frozen=True, slots=True)
class Effect:
    """What making a change does."""

    lifts: frozenset[str] = frozenset()
    """Names of the reasons that it does away with."""
    states: tuple[Clause, ...] = ()
    """What binds only if it is made."""


def corrections(
    stated: Stated, effects: Mapping[str, Effect], size: int, at_most: int, clock: Clock
) -> Corrections:
    """
    All sets of `size` changes that may do, or `at_most` of them.

    `effects` has what each change (an atom of its own) does.
    """
    model, changed = switched(stated, effects)
    model.row([(variable, 1) for variable in changed.values()], size, size)
    # Of single changes there are few answers; presolve pays only where there are many.
    manner = Manner.YES_OR_NO if size == 1 else Manner.LISTING
    return listed(model, changed, clock, at_most, manner)


def switched(stated: Stated, effects: Mapping[str, Effect]) -> tuple[Model, dict[str, int]]:
    """The model in which every reason holds unless a change that lifts it is made."""
    model = Model()
    x = post_atoms(model, stated.atoms)
    changed = {name: x[name] for name in effects}
    for clause in stated.hard:
        post(model, x, clause)
    for name, clauses in stated.soft.items():
        ways = [changed[change] for change, effect in effects.items() if name in effect.lifts]
        switch = unless(model, ways) if ways else None
        for clause in clauses:
            post(model, x, clause, switch)
    for change, clause, others in stated_anew(stated, effects):
        ways = [changed[other] for other in others]
        switch = unless(model, ways, changed[change]) if ways else changed[change]
        post(model, x, clause, switch)
    return model, changed


def unless(model: Model, ways: Sequence[int], only_if: int | None = None) -> int:
    """A switch that is on unless one of the ways is taken; or `only_if` is off."""
    switch = model.variable()
    needed = [(way, 1) for way in ways]
    if only_if is None:
        model.row([(switch, 1), *needed], 1)
    else:
        model.row([(switch, 1), (only_if, -1), *needed], 0)
    return switch


def stated_anew(
    stated: Stated, effects: Mapping[str, Effect]
) -> Iterator[tuple[str, Clause, list[str]]]:
    """
    Each change with a clause that it makes bind, and the others that may lift that again.

    What two changes do together nobody has asked: a change that lifts some reason of a rule is
    taken to lift whatever the rule states because of another one.
    """
    by_rule: dict[str, list[str]] = {}
    for change, effect in effects.items():
        reasons = (stated.soft[name][0].reason for name in effect.lifts if stated.soft.get(name))
        for rule in {reason.rule for reason in reasons}:
            by_rule.setdefault(rule, []).append(change)
    for change, effect in effects.items():
        for clause in effect.states:
            others = [one for one in by_rule.get(clause.reason.rule, ()) if one != change]
            yield change, clause, others


def listed(
    model: Model, changed: Mapping[str, int], clock: Clock, at_most: int, manner: Manner
) -> Corrections:
    """One set after another until there are no more."""
    sets: list[tuple[str, ...]] = []
    while len(sets) < at_most:
        found = clock.solve(model, manner)
        if found.result is Result.INFEASIBLE:
            return Corrections(tuple(sets), complete=True)
        if not found.values:
            break
        made = tuple(name for name, variable in changed.items() if found.values[variable])
        sets.append(made)
        model.row([(changed[name], 1) for name in made], -FAR, len(made) - 1)
    return Corrections(tuple(sets), complete=False)
