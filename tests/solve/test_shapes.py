"""A clause means the same to the solver as to whoever reads it."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import product

import pytest

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, holds
from slotfit.model.reason import stated
from slotfit.solve.engine import Model, Result, solve
from slotfit.solve.frame import post, post_atoms

REASON = stated("a reason")
ATOMS = ("a", "b", "c")

SHAPES: dict[str, Clause] = {
    "at most none": AtMost(REASON, (("a", 1), ("b", 1), ("c", 1)), 0),
    "at most one": AtMost(REASON, (("a", 1), ("b", 1), ("c", 1)), 1),
    "at most two of three": AtMost(REASON, (("a", 1), ("b", 1), ("c", 1)), 2),
    "weights": AtMost(REASON, (("a", 3), ("b", 2), ("c", 2)), 4),
    "a weight below nothing": AtMost(REASON, (("a", 1), ("b", 1), ("c", -1)), 0),
    "less than nothing": AtMost(REASON, (("a", 1), ("b", -2)), -1),
    "never": AtMost(REASON, (), -1),
    "always": AtMost(REASON, (), 0),
    "needs one": Needs(REASON, "a", ("b",)),
    "needs one of two": Needs(REASON, "a", ("b", "c")),
    "needs what there is not": Needs(REASON, "a", ()),
    "needs itself": Needs(REASON, "a", ("a", "b")),
    "exactly one": ExactlyOne(REASON, ("a", "b", "c")),
    "exactly one of one": ExactlyOne(REASON, ("b",)),
    "exactly one of none": ExactlyOne(REASON, ()),
}


def every_choice() -> Iterator[frozenset[str]]:
    for chosen in product((False, True), repeat=len(ATOMS)):
        yield frozenset(atom for atom, is_in in zip(ATOMS, chosen, strict=True) if is_in)


def allows(clause: Clause, chosen: frozenset[str], switch: bool | None) -> bool:
    """Whether the solver allows exactly these atoms, the clause behind a switch or not."""
    model = Model()
    x = post_atoms(model, ATOMS)
    for atom, variable in x.items():
        model.row([(variable, 1)], atom in chosen, atom in chosen)
    only_if = None
    if switch is not None:
        only_if = model.variable()
        model.row([(only_if, 1)], switch, switch)
    post(model, x, clause, only_if)
    return solve(model, 60).result is Result.OPTIMAL


@pytest.mark.parametrize("shape", SHAPES)
def test_the_solver_and_the_reader_agree(shape: str) -> None:
    clause = SHAPES[shape]
    for chosen in every_choice():
        assert allows(clause, chosen, switch=None) == holds(clause, chosen)
        assert allows(clause, chosen, switch=True) == holds(clause, chosen)
        assert allows(clause, chosen, switch=False)


@pytest.mark.parametrize("shape", SHAPES)
def test_an_atom_that_is_not_to_be_chosen_is_as_good_as_absent(shape: str) -> None:
    """`None` for a variable: the clause binds the others as if that atom were never chosen."""
    clause = SHAPES[shape]
    for chosen in every_choice():
        if "b" in chosen:
            continue
        model = Model()
        x: dict[str, int | None] = {"a": model.variable(), "b": None, "c": model.variable()}
        for atom in "ac":
            model.row([(x[atom] or 0, 1)], atom in chosen, atom in chosen)
        post(model, x, clause)
        assert (solve(model, 60).result is Result.OPTIMAL) == holds(clause, chosen)


def test_a_clause_of_an_unknown_atom_is_a_mistake() -> None:
    model = Model()
    x = post_atoms(model, ATOMS)
    with pytest.raises(KeyError):
        post(model, x, Needs(REASON, "a", ("d",)))
