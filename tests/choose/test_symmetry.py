"""A board is as good as itself, whatever its parts are called and in whatever order they stand."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from random import Random
from typing import Any

import pytest
from hypothesis import assume, given
from hypothesis import strategies as st

from slotfit.answers.compare.answer import BoardTried
from slotfit.answers.compare.boards import Candidate
from slotfit.answers.compare.verdict import compare_answer, difference, dominated_by, ranks
from slotfit.model.board import BoardReceptacle, Row
from slotfit.model.problem import Machine, Problem
from tests.builds import THEMES, small_build
from tests.choose.invented import demo, in_order, out_of_order, renamed, tried, values

Naming = Callable[[str], str]


def build_of(theme: str, seed: int) -> Problem:
    return small_build(Random(f"compare {theme} {seed}"), theme)


SEEDS = st.integers(0, 10**6)


def proven(result: BoardTried) -> bool:
    return result.plan is not None and result.plan.proven


@pytest.mark.parametrize("theme", THEMES)
def test_a_board_ties_with_itself(theme: str) -> None:
    problem = build_of(theme, 1)
    machine = problem.machines[0]
    one, other = tried(
        problem, *(Candidate(name, machine.board, machine=machine) for name in ("a", "b"))
    )
    assert difference(one, other) is None
    assert ranks([one, other]) == {"a": 1, "b": 1}
    assert dominated_by(one, [one, other]) is None


@pytest.mark.parametrize("turned", [False, True], ids=["in-order", "turned"])
@pytest.mark.parametrize("name", [in_order, out_of_order])
@given(theme=st.sampled_from(THEMES), seed=SEEDS)
def test_names_and_their_order_decide_nothing(
    name: Naming, turned: bool, theme: str, seed: int
) -> None:
    problem = build_of(theme, seed)
    machine = problem.machines[0]
    other = renamed_machine(machine, name, turned=turned)
    one, two = tried(
        wired_for_both(problem, machine.board.id, other.board.id),
        Candidate("one", machine.board, machine=machine),
        Candidate("two", other.board, machine=other),
    )
    # A processor of any machine has no other name to be called by; swap.py tells of it.
    assume(not any("could mean any machine" in note for note in two.notes))
    assert proven(one)
    assert proven(two)
    assert values(one) == values(two)


def wired_for_both(problem: Problem, board: str, other: str) -> Problem:
    """The build in which cables made for the headers of a board are made for the other's too."""
    parts = (
        replace(one, spec=one.spec.model_copy(update={"wired_for": (*one.spec.wired_for, other)}))
        if one.spec.wired_for and board in one.spec.wired_for
        else one
        for one in problem.parts
    )
    return replace(problem, parts=tuple(parts))


def renamed_machine(machine: Machine, name: Naming, *, turned: bool) -> Machine:
    """The machine with its board and all that it says of its sockets by new names."""
    entry = machine.entry.model_copy(
        update={
            "processors": {name(one): kinds for one, kinds in classes_said(machine).items()},
            "coolers": by_new_names(machine.entry.coolers, name),
            "memory": by_new_names(machine.entry.memory, name),
        }
    )
    return replace(machine, entry=entry, board=renamed(machine.board, name, turned=turned))


def by_new_names(said: dict[str, Any] | None, name: Naming) -> dict[str, Any] | None:
    """What is said of each processor socket; None if nothing is."""
    return None if said is None else {name(one): value for one, value in said.items()}


def classes_said(machine: Machine) -> dict[str, str | None]:
    """Fitted processor -> its class, as far as is said."""
    said = machine.entry.processors
    return {one: said.get(one) if isinstance(said, dict) else None for one in machine.fitted}


@pytest.mark.parametrize("name", [in_order, out_of_order])
def test_the_demos_board_ties_with_its_renamed_self(name: Naming) -> None:
    problem = demo()
    machine = problem.machines[0]
    results = tried(
        problem,
        Candidate("own", machine.board, machine=machine),
        Candidate("renamed", renamed(machine.board, name, turned=True)),
    )
    compared = compare_answer(problem, "archive", results)
    assert [board.rank for board in compared.plan.boards] == [1, 1]
    assert [board.verdict for board in compared.plan.boards] == [
        "as good as renamed in every preference",
        "as good as own in every preference",
    ]


@given(theme=st.sampled_from(THEMES), seed=SEEDS, lanes=st.sampled_from([1, 4, 8, 16]))
def test_one_slot_more_is_never_worse(theme: str, seed: int, lanes: int) -> None:
    problem = build_of(theme, seed)
    machine = problem.machines[0]
    extra = BoardReceptacle(
        id="more", form="cem", width=16, open_end=False, row="new", position=0, power_w=75,
        length_mm=320, height_mm=120, bracket="full", drive_lengths=None, isolation="more",
    )  # fmt: skip
    group = machine.board.lane_groups[0]
    way = group.arrangements[0].model_copy(
        update={"id": "more", "gives": {"more": (lanes,)}, "chosen_by": "fixed", "proof": "seen"}
    )
    larger = machine.board.model_copy(
        update={
            "id": "larger",
            "rows": (*machine.board.rows, Row(id="new", positions=4)),
            "receptacles": (*machine.board.receptacles, extra),
            "lane_groups": (
                *machine.board.lane_groups,
                group.model_copy(update={"id": "more", "arrangements": (way,)}),
            ),
        }
    )
    less, more = tried(
        wired_for_both(problem, machine.board.id, larger.id),
        Candidate("less", machine.board, machine=machine),
        Candidate("more", larger, machine=machine),
    )
    assert proven(less)
    assert proven(more)
    if values(more)["missing"] < values(less)["missing"]:
        return  # it takes more parts, whatever the rest comes to
    assert [*values(more).values()] <= [*values(less).values()]
