"""Reasons that a plan for the rest shows to be needed in a clash, without a solve for each."""

from __future__ import annotations

from collections.abc import Container, Iterable, Iterator, Mapping
from dataclasses import dataclass

from slotfit.model.clause import Clause, ExactlyOne, Needs, atoms_of, holds

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
