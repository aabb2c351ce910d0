"""What to pull first is a sequence whose goal is one part: the two never disagree."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from random import Random

import pytest

from slotfit import api
from slotfit.answers.sequence.answer import Pull, PullFirstAnswer, SequenceAnswer
from slotfit.answers.sequence.task import carrier_of, in_machines
from slotfit.errors import InputError
from slotfit.model.problem import Problem
from tests.limits import SECONDS
from tests.sequence.dice import Size, rebuild

DRAWN = 20
TIGHT = Size(machines=1, slots=3, sockets=1, cards=6, carriers=1, drives=3)


def asked(seed: int) -> Iterator[tuple[Problem, str, PullFirstAnswer]]:
    """A drawn rebuild that is nearly full, and what to pull first for each part beside it."""
    dice = Random(seed)
    drawn = rebuild(dice, TIGHT)
    inside = [one for one in in_machines(drawn) if not drawn.part[one].companion_of]
    leaving = dice.sample(inside, min(len(inside), dice.choice((0, 1, 1, 2))))
    problem = replace(drawn, retire=tuple(leaving))
    for part in [one for one in problem.part if one not in in_machines(problem)]:
        try:
            answer = api.pull_first(problem, part, SECONDS)
        except InputError:  # today's layout cannot be
            return
        if not answer.along:
            yield problem, part, answer


def only(problem: Problem, part: str) -> SequenceAnswer | None:
    """
    The sequence in which this part goes in, what is to leave leaves, and all else stays.

    Only data that leaves is copied, and the windows are free. None where that is no question: a
    carrier leaves and its drives stay, a mirror is kept that is not there.
    """
    inside = in_machines(problem)
    stays = {one: at for one, at in inside.items() if problem.part[one].body not in problem.retire}
    if any(carrier_of(problem, at) in problem.retire for at in stays.values()):
        return None
    leaves = [one for one in problem.part if one not in stays and one != part]
    required = [*stays, part]
    parts = tuple(
        replace(one, wish=one.wish.model_copy(update={"required": one.id in required}))
        for one in problem.parts
    )
    way = problem.sequence
    goes = set(inside).difference(stays)
    copies = tuple(copy for copy in way.copies if not goes.isdisjoint(copy.from_))
    services = tuple(one.model_copy(update={"windows": None}) for one in way.services)
    asked = {"goal": stays, "copies": copies, "services": services, "arrivals": {}}
    goal = replace(
        problem, parts=parts, retire=tuple(leaves), on_the_way=way.model_copy(update=asked)
    )
    try:
        return api.sequence(goal, None, SECONDS)
    except InputError:
        return None


def first(answer: PullFirstAnswer) -> Pull | None:
    """What is said to be pulled first; nothing where nothing has to be."""
    if answer.plan.goes_now or not answer.plan.pulls or not answer.plan.pulls[0].goes:
        return None
    return answer.plan.pulls[0]


def taken_out(problem: Problem, way: SequenceAnswer) -> set[str]:
    """What is in a machine today and has left its place after the only window, if but to swap."""
    [_, after] = way.plan.stretches
    return {one for one, at in in_machines(problem).items() if after.places.get(one) != at}


def disagreements(problem: Problem, part: str, answer: PullFirstAnswer) -> Iterator[str]:
    """
    In the words of both, where one is sure and the other says otherwise.

    Where it takes several windows, parts are put in between that nobody asked about.
    """
    way, pull = only(problem, part), first(answer)
    if way is None or answer.plan.goes_now:
        return
    says = f"{part}: pull {pull.items if pull else 'nothing'}"
    if len(way.plan.windows) == 1 and way.verdict.status == "proven":
        out = taken_out(problem, way)
        if pull is None or not {*pull.items} <= out:
            yield f"{says}, and the first window has out {sorted(out)}"
    elif (
        not way.plan.windows
        and pull
        and len(pull.leaves) == len(pull.items)
        and not (pull.risks or pull.stops)
    ):
        yield f"{says}, and there is no sequence: {way.verdict.headline}"


def counted(seeds: range) -> tuple[list[str], int]:
    """Every disagreement, and how many answers were held against a window."""
    found, held = [], 0
    for seed in seeds:
        for problem, part, answer in asked(seed):
            held += first(answer) is not None
            found += [f"{seed}: {text}" for text in disagreements(problem, part, answer)]
    return found, held


def test_what_is_pulled_first_is_what_the_first_window_takes_out() -> None:
    found, held = counted(range(DRAWN))
    assert not found
    assert held > DRAWN // 4


@pytest.mark.long
def test_what_is_pulled_first_is_what_the_first_window_takes_out_at_length() -> None:
    found, _ = counted(range(DRAWN, 10 * DRAWN))
    assert not found
