"""Small systems of clauses drawn at random, and the plainest way to solve them: look at it all."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from itertools import product

from hypothesis import strategies as st

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, holds
from slotfit.model.reason import stated
from slotfit.solve.clash import Stated

ATOMS = ("a", "b", "c", "d", "e")
REASON = stated("a reason")

atoms = st.sampled_from(ATOMS)
several = st.lists(atoms, min_size=0, max_size=4, unique=True).map(tuple)


@st.composite
def clauses(draw: st.DrawFn) -> Clause:
    """Any shape, the tight ones included."""
    match draw(st.integers(0, 2)):
        case 0:
            weights = [(atom, draw(st.integers(1, 3))) for atom in draw(several)]
            return AtMost(REASON, tuple(weights), draw(st.integers(0, 4)))
        case 1:
            return Needs(REASON, draw(atoms), draw(several))
        case _:
            return ExactlyOne(REASON, draw(several))


@st.composite
def systems(draw: st.DrawFn) -> Stated:
    """Some clauses that always hold, some reasons of one or two clauses each."""
    hard = tuple(draw(st.lists(clauses(), max_size=2)))
    soft = draw(st.lists(st.lists(clauses(), min_size=1, max_size=2), min_size=1, max_size=7))
    return Stated(ATOMS, hard, {f"r{n}": tuple(group) for n, group in enumerate(soft)})


def every_choice() -> Iterator[frozenset[str]]:
    """Every set of atoms."""
    for chosen in product((False, True), repeat=len(ATOMS)):
        yield frozenset(atom for atom, is_in in zip(ATOMS, chosen, strict=True) if is_in)


def can_hold(stated: Stated, names: Iterable[str]) -> bool:
    """Whether some choice keeps the hard clauses and these reasons: looked at one by one."""
    kept = [*stated.hard, *(clause for name in names for clause in stated.soft[name])]
    return any(all(holds(clause, chosen) for clause in kept) for chosen in every_choice())
