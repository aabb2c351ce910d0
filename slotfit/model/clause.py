"""
Ground clauses: the few linear shapes in which plan rules speak.

An atom is a text: a seat's key, or `arrangement(group, id)`. A clause weighs chosen atoms.
"""

from collections.abc import Set as AbstractSet
from dataclasses import dataclass
from typing import assert_never

from slotfit.model.keys import GroupKey
from slotfit.model.reason import No


def arrangement(group: GroupKey, id_: str) -> str:
    """The atom "lane group `group` is arranged as `id_`"."""
    return f"{group}={id_}"


@dataclass(frozen=True, slots=True)
class AtMost:
    """The weights of the chosen atoms add up to no more than `limit` (in `unit`)."""

    reason: No
    terms: tuple[tuple[str, int], ...]
    limit: int
    unit: str = ""


@dataclass(frozen=True, slots=True)
class Needs:
    """If `atom` is chosen, one of `any_of` is."""

    reason: No
    atom: str
    any_of: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ExactlyOne:
    """One of the atoms is chosen, and no other of them."""

    reason: No
    atoms: tuple[str, ...]


Clause = AtMost | Needs | ExactlyOne


def atoms_of(clause: Clause) -> tuple[str, ...]:
    """Every atom the clause speaks of."""
    match clause:
        case AtMost(terms=terms):
            return tuple(atom for atom, _ in terms)
        case Needs(atom=atom, any_of=any_of):
            return (atom, *any_of)
        case ExactlyOne(atoms=atoms):
            return atoms
        case _:
            assert_never(clause)


def holds(clause: Clause, chosen: AbstractSet[str]) -> bool:
    """Whether the clause holds for exactly these chosen atoms."""
    match clause:
        case AtMost(terms=terms, limit=limit):
            return sum(weight for atom, weight in terms if atom in chosen) <= limit
        case Needs(atom=atom, any_of=any_of):
            return atom not in chosen or any(other in chosen for other in any_of)
        case ExactlyOne(atoms=atoms):
            return sum(atom in chosen for atom in atoms) == 1
        case _:
            assert_never(clause)
