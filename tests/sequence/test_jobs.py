"""What a file asks for, told of the drives that hold the data."""

from __future__ import annotations

from slotfit.answers.sequence.task import choices_for, data_on, in_copy_order, jobs_of
from slotfit.model.windows import CopyJob, NeedMet
from tests.sequence.rebuilds import LIGHTHOUSE, example

A, B, C = ("a",), ("b",), ("c",)


def copies(*ends: tuple[tuple[str, ...], tuple[str, ...]]) -> tuple[CopyJob, ...]:
    plain = tuple(CopyJob(f"{one} to {other}", one, other) for one, other in ends)
    return tuple(in_copy_order(plain, number) for number in range(len(plain)))


def test_a_carrier_stands_for_the_drives_on_it_then() -> None:
    problem = example(LIGHTHOUSE)
    old = tuple(f"plate-old-{number}" for number in range(1, 5))
    assert data_on(problem, "plates-old", [problem.today]) == old
    assert data_on(problem, "plates", [problem.today]) == ("plates",)  # nothing sits on it today
    assert data_on(problem, "plate-old-1", [problem.today]) == ("plate-old-1",)


def test_the_copys_target_is_what_sits_there_at_the_goal() -> None:
    problem = example(LIGHTHOUSE)
    goal = {"plates": "lamp/slot1", "plate-2": "plates/m2a"}
    (copy,), _, _ = jobs_of(problem, problem.today, goal)
    assert copy.targets == ("plate-2",)


def test_what_is_copied_may_be_used_at_either_end() -> None:
    made = copies((A, B))
    either = (NeedMet(A), NeedMet(B, 0))
    assert choices_for(A, made) == [either]
    assert choices_for(B, made) == [either]
    assert choices_for(C, made) == [(NeedMet(C),)]


def test_copies_on_from_copies_come_in_turn() -> None:
    made = copies((A, B), (B, C))
    assert [copy.after for copy in made] == [(), (0,)]
    assert choices_for(C, made) == [(NeedMet(A), NeedMet(B, 0), NeedMet(C, 1))]


def test_two_copies_into_one_are_two_needs() -> None:
    made = copies((A, C), (B, C))
    assert choices_for(C, made) == [(NeedMet(A), NeedMet(C, 0)), (NeedMet(B), NeedMet(C, 1))]


def test_to_and_fro_is_made_in_the_order_of_the_file() -> None:
    assert [copy.after for copy in copies((A, B), (B, A))] == [(), (0,)]
