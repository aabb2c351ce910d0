"""Parts left out, and groups of parts dissolved, each as a change."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial

from slotfit.explain.amend import body_and_plugs, without
from slotfit.explain.change import Change, Option, fixed, single, untouched
from slotfit.explain.clash import only_on
from slotfit.explain.edits import at, cuts
from slotfit.explain.entries import bodies, first_alike
from slotfit.explain.lifting import Lifts, all_of, of_item
from slotfit.explain.reasons import Case
from slotfit.listing import listed
from slotfit.model.build import Group
from slotfit.model.problem import Problem
from slotfit.natural_order import natural
from slotfit.rulebook import PLAN_RULES

FEW = 12
"""Up to so many like parts every number of them is tried."""

STEPS = (16, 24, 32, 48, 64, 96)
"""Beyond, these numbers and all of them."""

ABSENT = ("WISH005", "WISH007", "NEST002")
"""Rules that ask something of a part for being in the build."""


def parts_less(case: Case, surplus: Mapping[str, int]) -> Iterator[Change]:
    """Required parts left out, with what can only sit on them; of like ones so many at a time."""
    first = first_alike(case.problem)
    for name in dict.fromkeys(first[item.id] for item in bodies(case.problem)):
        like = [other for other, one in first.items() if one == name]
        if case.problem.item[name].wish.required:
            least = surplus.get(name, 1)
            for number in numbers(len(like), least):
                yield from left_out(case, sorted(like, key=natural), number, least)


def numbers(most: int, least: int) -> list[int]:
    """
    How many of so many like parts to try without; not every number where there are many.

    Of fewer than `least` it is known that they do not do.
    """
    few = range(least, min(most, FEW) + 1)
    return [*few, *sorted({*STEPS, least, most} & set(range(max(least, FEW + 1), most + 1)))]


def left_out(case: Case, like: Sequence[str], number: int, least: int) -> Iterator[Change]:
    """So many of some like parts left out."""
    gone_first = like[:number]
    every = {item.id for item in bodies(case.problem)}
    riders = [name for name in only_on(case, gone_first) if name in every]
    names = [*gone_first, *riders]
    if untouched(case.problem, "leave-out", *like, *riders):
        return
    text = "leave out " + which(like, number, least)
    if riders:
        text += f", and with {'it' if number == 1 else 'them'} {listed(riders)}"
    write = "; ".join(cuts(case.problem, names))
    option = Option(fixed(text), partial(leave_out, names), write)
    lifts = gone(case.problem, names)
    yield single("leave-out", like[0], option, lifts, nearness=(number,))


def which(like: Sequence[str], number: int, least: int) -> str:
    """`hba`, `one of drive-1 to drive-4`, `drive-1 to drive-4`."""
    if number == len(like):
        return listed(like)
    fewer = "" if number <= max(FEW, least) else " (fewer may do)"
    return f"{'one' if number == 1 else number} of {listed(like)}{fewer}"


def leave_out(names: Collection[str], problem: Problem) -> Problem:
    """The problem without them."""
    return without(problem, names)


def gone(problem: Problem, names: Collection[str]) -> Lifts:
    """What is asked of parts and their plugs for being there."""
    every = [one.id for name in names for one in body_and_plugs(problem, name)]
    return all_of(*(of_item(*ABSENT, item=name) for name in every))


def groups_dissolved(problem: Problem) -> Iterator[Change]:
    """Each group of parts that are to be together, or apart."""
    for field, groups in (("together", problem.together), ("apart", problem.apart)):
        for group in groups:
            if not untouched(problem, "group", *group.parts):
                yield dissolved(field, group)


def dissolved(field: str, group: Group) -> Change:
    """One group less."""
    scope = group.by.replace("-", " ")
    names = listed(group.parts)
    text = (
        f"let {names} be on different {scope}s"
        if field == "together"
        else f"let {names} share a {scope}"
    )
    where = at(group.span())
    option = Option(
        fixed(text),
        partial(without_group, field, group),
        f"take the group out of `{field}`{where}",
    )
    return single("group", names, option, partial(stated_by, field, group))


def without_group(field: str, group: Group, problem: Problem) -> Problem:
    """The problem without that group."""
    kept = tuple(one for one in getattr(problem, field) if one != group)
    return replace(problem, together=kept) if field == "together" else replace(problem, apart=kept)


def stated_by(field: str, group: Group, case: Case) -> frozenset[str]:
    """The reasons that this group alone makes."""
    alone = replace(case.problem, together=(), apart=())
    alone = (
        replace(alone, together=(group,)) if field == "together" else replace(alone, apart=(group,))
    )
    grounds = [
        clause.ground
        for rule in PLAN_RULES
        if rule.id in ("WISH005", "WISH006")
        for clause in rule.state(alone, case.seating)
    ]
    return frozenset(f"{ground.rule} {ground.reason}" for ground in grounds)
