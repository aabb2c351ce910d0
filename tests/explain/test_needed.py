"""
Reasons seen to be needed from one plan: each really is, by looking at every choice.

In the systems made by hand `a` and `b` are seats; `g=1` and `g=2` are ways to arrange a lane group.
"""

from __future__ import annotations

from collections.abc import Collection

from hypothesis import given

from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, holds
from slotfit.solve.clash import Choice, Named, Stated, about, also_needed
from tests.explain.clause_systems import REASON, can_hold, every_choice, systems

A = (ExactlyOne(REASON, ("a",)),)
B = (ExactlyOne(REASON, ("b",)),)
NOT_A = (AtMost(REASON, (("a", 1),), 0),)
NOT_B = (AtMost(REASON, (("b", 1),), 0),)
ONE_WAY = (ExactlyOne(REASON, ("g=1", "g=2")),)
A_IN_1 = (Needs(REASON, "a", ("g=1",)),)
B_IN_2 = (Needs(REASON, "b", ("g=2",)),)


def seen(stated: Stated, name: str, choice: Collection[str]) -> set[str]:
    """What a choice that keeps all but one reason shows to be needed."""
    named: list[Named] = [(None, clause) for clause in stated.hard]
    named += [(one, clause) for one, clauses in stated.soft.items() for clause in clauses]
    return set(also_needed(stated.soft[name], Choice(choice), stated.soft, about(named)))


def system(*hard: Clause, **soft: tuple[Clause, ...]) -> Stated:
    """These clauses and reasons over all their atoms."""
    return Stated(("a", "b", "g=1", "g=2"), hard, soft)


def test_a_seat_that_only_one_reason_forbids_shows_that_reason() -> None:
    assert seen(system(wanted=A, forbidden=NOT_A), "wanted", ()) == {"forbidden"}


def test_nothing_is_shown_while_what_was_left_out_is_still_not_kept() -> None:
    # `a` alone breaks one reason only, but `wanted` asks for `b` as well.
    stated = system(wanted=(*A, *B), first=NOT_A, second=NOT_B)
    assert seen(stated, "wanted", ()) == set()


def test_a_group_is_arranged_for_the_seat() -> None:
    stated = system(*ONE_WAY, *A_IN_1, wanted=A, forbidden=NOT_A)
    assert seen(stated, "wanted", {"g=2"}) == {"forbidden"}


def test_what_sat_in_the_other_arrangement_counts() -> None:
    # With `a` the group changes its arrangement, so `b` breaks as well: either suffices.
    stated = system(*ONE_WAY, *A_IN_1, wanted=A, forbidden=NOT_A, other=B, below=B_IN_2)
    assert seen(stated, "wanted", {"b", "g=2"}) == set()


@given(systems())
def test_what_is_shown_to_be_needed_is(stated: Stated) -> None:
    if can_hold(stated, stated.soft):
        return
    for name in stated.soft:
        kept = [*stated.hard]
        kept += [clause for one in stated.soft if one != name for clause in stated.soft[one]]
        for choice in every_choice():
            if all(holds(clause, choice) for clause in kept):
                for other in seen(stated, name, choice):
                    assert can_hold(stated, set(stated.soft) - {other})
