"""`slotfit check` and `slotfit sequence` never disagree: a part works where a window puts it."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from slotfit.answers.check.every import model_of
from slotfit.answers.check.machine_asked import as_today, held_to, taken_out
from slotfit.answers.check.verdict import Verdict, Word, verdicts
from slotfit.engine.costs import dark_endpoints
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.model.windows import Layout, Schedule
from tests.bench.hand_made import cases, whole
from tests.limits import mostly_long
from tests.sequence.dice import rebuild
from tests.sequence.rebuilds import EXAMPLES, example, planned, ready
from tests.sequence.test_against_breadth_first import task_of

BUILDS = sorted(
    path for path in EXAMPLES.glob("*/build.yaml") if "\nsequence:" in path.read_text("utf-8")
)


def standing(build: Problem, layout: Layout) -> Problem:
    """The build as it would be written if the layout were today's, with its settings."""
    written = {str(group): way for group, way in layout.arrangements.items()}
    asked = build.sequence.model_copy(update={"settings_today": written})
    return replace(build, today=dict(layout.places), on_the_way=asked)


def verdict_on(build: Problem, part: str, receptacle: str) -> Verdict:
    """What `slotfit check ITEM BUILD --slot SITE` goes by."""
    machine = as_today(build, None)
    out = taken_out(machine, build, part)
    question = held_to(out.machine, out.part, out.drives, receptacle, machine.today[part])
    (verdict,) = verdicts(model_of(question))
    return verdict


def disagreements(build: Problem, layout: Layout) -> Iterator[str]:
    """Parts of a layout that `check` would not have where they are."""
    now = standing(build, layout)
    for seat in layout.seats:
        if build.part[seat.part].companion_of:
            continue  # a further plug: it is asked about with its part
        verdict = verdict_on(now, seat.part, seat.receptacle)
        if verdict.word not in expected(build, layout, seat, verdict):
            yield f"{seat.key}: {verdict.word.value}, {verdict.reasons}"


def expected(build: Problem, layout: Layout, seat: Seat, verdict: Verdict) -> set[Word]:
    """Words that say no less than the layout's own seats of a part and of what is on it."""
    mine = [one for one in layout.seats if one is seat or seat.part in one.upstream.carriers]
    if any(dark_endpoints(build.part[one.part], one) for one in mine):
        return {Word.WORKS, Word.ONCE_SET, Word.IN_PART}
    rests_on = {fact.id for one in mine for fact in one.facts}
    if verdict.outcome and rests_on.issuperset(fact.id for fact in verdict.outcome.decides):
        return {Word.WORKS, Word.NOT_KNOWN} if verdict.outcome.decides else {Word.WORKS}
    return {Word.WORKS}


def all_of(build: Problem, made: Schedule) -> list[str]:
    """Every layout of a sequence, today's and the goal's among them."""
    return [
        f"after window {number}: {fault}"
        for number, layout in enumerate(made.layouts)
        for fault in disagreements(build, layout)
    ]


def test_the_examples_are_found() -> None:
    assert len(BUILDS) >= 2


@pytest.mark.parametrize("path", BUILDS, ids=lambda path: path.parent.name)
def test_check_has_every_part_of_an_example_at_work_where_it_sits(path: Path) -> None:
    build = example(path)
    task = ready(build)
    assert [*disagreements(build, task.today)] == []
    made = planned(task).schedule
    assert made is None or all_of(build, made) == []


@pytest.mark.parametrize("name", mostly_long(cases(), 9, 4))
def test_check_has_every_part_of_a_hand_made_one_at_work(name: str) -> None:
    build = whole(name)
    made = planned(ready(build)).schedule
    assert (made is None) == (cases()[name]["windows"] is None)
    assert made is None or all_of(build, made) == []


def drawn(seed: int) -> int:
    """Layouts of a random rebuild that were compared; 0 where there is no sequence."""
    build = rebuild(Random(seed))
    task = task_of(build)
    made = planned(task).schedule if task else None
    if made is None:
        return 0
    assert all_of(build, made) == []
    return len(made.layouts)


@pytest.mark.parametrize("block", mostly_long(range(25), 25))
def test_check_has_every_part_of_random_ones_at_work(block: int) -> None:
    compared = [drawn(seed) for seed in range(block * 40, block * 40 + 40)]
    assert sum(count > 1 for count in compared) >= 8, "too few of the rebuilds have a sequence"
