"""The same wishes on another board: processors by number, names of receptacles for all or none."""

from __future__ import annotations

from dataclasses import replace

import pytest

from slotfit.answers.compare.boards import (
    Candidate,
    names_dropped,
    on_board,
    wishes_dropped,
)
from slotfit.model.board import Board
from slotfit.model.problem import Problem
from tests.choose.invented import ONE_PROCESSOR, TWO_SLOTS, board, build, cards


def swapped(problem: Problem, other: Board, fitted: int | None = None) -> Problem:
    return on_board(problem, problem.machines[0].id, Candidate(other.id, other, fitted))[0]


def three() -> Board:
    """Three processors by other names."""
    text = TWO_SLOTS.replace("two-slots", "three").replace("cpu0", "a").replace("cpu1", "b")
    return board(text.replace("[{id: a}, {id: b}]", "[{id: a}, {id: b}, {id: c}]"))


@pytest.mark.parametrize(
    ("near", "other", "fitted", "there"),
    [
        ("cpu0", three(), 3, "a"),
        ("cpu1", three(), 3, "b"),
        ("cpu1", three(), 1, "a"),
        ("cpu1", board(ONE_PROCESSOR), None, "p0"),
        ("cpu0", board(ONE_PROCESSOR), None, "p0"),
        ("cpu1", board(), None, "cpu1"),
        ("cpu1", board(), 1, "cpu0"),
    ],
)
def test_the_processor_of_the_same_number_counts(
    near: str, other: Board, fitted: int | None, there: str
) -> None:
    problem = build(cards("nic", nic=f", near: {near}"))
    assert swapped(problem, other, fitted).part["nic"].wish.near == there


def test_a_processor_that_is_not_there_is_told() -> None:
    problem = build(cards("nic", nic=", near: cpu1"))
    _, notes = on_board(problem, "box", Candidate("one", board(ONE_PROCESSOR)))
    assert notes == ("one-processor has no fitted processor like cpu1: p0 stands for it",)


def test_a_processor_by_the_machines_name_keeps_that_name() -> None:
    problem = two_machines(", near: m1/cpu1")
    assert swapped(problem, three(), 3).part["nic"].wish.near == "m1/b"


def test_a_processor_of_another_machine_stays() -> None:
    problem = two_machines(", near: m2/cpu1")
    assert swapped(problem, three(), 3).part["nic"].wish.near == "m2/cpu1"


def test_a_processor_that_could_be_of_any_machine_stays_and_is_told() -> None:
    problem = two_machines(", near: cpu1")
    found, notes = on_board(problem, "m1", Candidate("three", three(), 3))
    assert found.part["nic"].wish.near == "cpu1"
    assert notes == ("`near` of nic could mean any machine: it still names cpu1",)


def test_a_processor_that_no_other_machine_has_is_that_machines() -> None:
    # Only m1 has a cpu1; on the board tried there its second processor is called b.
    both = two_machines(", near: cpu1")
    one, other = both.machines
    lone = other.board.model_copy(update={"processors": other.board.processors[:1]})
    problem = replace(both, machines=(one, replace(other, board=lone)))
    found, notes = on_board(problem, "m1", Candidate("three", three(), 3))
    assert found.part["nic"].wish.near == "m1/b"
    assert notes == ()


def two_machines(wish: str) -> Problem:
    """Two machines of one kind, `m1` first."""
    from slotfit.load.build_file import load_build_text  # noqa: PLC0415
    from tests.choose.invented import catalog  # noqa: PLC0415

    inside = "\n".join(f"      {line}" for line in TWO_SLOTS.strip().splitlines())
    machines = "\n".join(f"  - id: {name}\n    board:\n{inside}" for name in ("m1", "m2"))
    return load_build_text(
        f"kind: build\nid: two\nmachines:\n{machines}\nparts:\n{cards('nic', nic=wish)}\n",
        catalog(),
    )


def test_receptacles_of_several_machines_carry_the_machines_name() -> None:
    problem = swapped(two_machines(""), board(ONE_PROCESSOR))
    assert [one.id for one in problem.receptacles] == ["m1/a", "m1/b", "m2/slot1", "m2/slot2"]


def test_another_boards_names_mean_nothing_and_no_board_is_held_to_them() -> None:
    problem = build(cards("nic", "hba", nic=", only: [slot2]", hba=", ban: [slot2]"))
    own, other = Candidate("own", board()), Candidate("other", board(ONE_PROCESSOR))
    dropped = names_dropped(problem, "box", [own, other])
    assert dropped == {"slot1", "slot2"}
    for candidate in (own, other):
        for part in on_board(problem, "box", candidate, dropped)[0].parts:
            assert (part.wish.pin, part.wish.only, part.wish.ban) == (None, (), ())
    assert [*wishes_dropped(problem, dropped)] == [
        "`only` of nic names slot2 of this build's board: not asked of any board",
        "`ban` of hba names slot2 of this build's board: not asked of any board",
    ]


def test_names_count_between_boards_of_one_id() -> None:
    problem = build(cards("nic", nic=", pin: slot2"))
    shorter = board(TWO_SLOTS[: TWO_SLOTS.index("  - {id: slot2")])
    same = Candidate("same", board())
    assert names_dropped(problem, "box", [same]) == frozenset()
    assert on_board(problem, "box", same)[0].part["nic"].wish.pin == "slot2"
    assert names_dropped(problem, "box", [same, Candidate("less", shorter)]) == {"slot2"}


def test_a_list_with_one_name_gone_is_gone_whole() -> None:
    """What is left of it would ask for more than before."""
    problem = build(cards("nic", nic=", only: [slot1, slot2]"))
    kept = on_board(problem, "box", Candidate("same", board()), {"slot2"})[0]
    assert kept.part["nic"].wish.only == ()


def test_today_counts_on_no_board() -> None:
    problem = build(cards("nic"), more="today: {nic: slot2}\n")
    found = swapped(problem, board())
    assert found.today == {}
    assert "moves" not in found.preferences
    assert found.preferences[-2:] == ("reserve", "spare-lanes")


def test_as_many_processors_as_before_as_far_as_there_are_sockets() -> None:
    problem = build(cards("nic"), machine="    processors: [cpu1]\n")
    assert swapped(problem, three()).machines[0].fitted == {"a"}
    own = Candidate("own", problem.machines[0].board, machine=problem.machines[0])
    assert on_board(problem, "box", own)[0].machines[0].fitted == {"cpu1"}
