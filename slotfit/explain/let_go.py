"""Parts left out, and groups of parts dissolved, each as a change."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from functools import partial

from slotfit.explain.amend import body_and_plugs, without
from slotfit.explain.change import Change, Option, fixed, untouched
from slotfit.explain.entries import Entry, entries_of, first_alike
from slotfit.explain.lifting import Lifts, all_of, of_item
from slotfit.explain.listing import listed
from slotfit.explain.reasons import Case
from slotfit.model.build import Group
from slotfit.model.problem import Item, Problem
from slotfit.rulebook import PLAN_RULES

ABSENT = ("WISH005", "WISH007", "NEST002")
"""Rules that ask something of a part for being in the build."""


def parts_less(case: Case) -> Iterator[Change]:
    """Each required part left out, with what can only sit on it; of like ones the first."""
    first = first_alike(case.problem)
    for entry in entries_of(case.problem):
        for item in entry:
            if item.wish.required and first[item.id] == item.id:
                like = [other for other, one in first.items() if one == item.id]
                yield from left_out(case, entry, item, like)


def left_out(case: Case, entry: Entry, item: Item, like: list[str]) -> Iterator[Change]:
    """One part left out; `like` are those it stands for, itself among them."""
    riders = only_on(case, item.id)
    names = [item.id, *riders]
    if untouched(case.problem, "leave-out", *like, *riders):
        return
    text = f"leave out {item.id}" if len(like) == 1 else f"leave out one of {listed(like)}"
    if riders:
        text += f", and with it {listed(riders)}"
    option = Option(fixed(text), partial(leave_out, names), cut(entry, item))
    yield Change("leave-out", item.id, (option,), gone(case.problem, names))


def leave_out(names: Collection[str], problem: Problem) -> Problem:
    """The problem without them."""
    return without(problem, names)


def gone(problem: Problem, names: Collection[str]) -> Lifts:
    """What is asked of parts and their plugs for being there."""
    every = [one.id for name in names for one in body_and_plugs(problem, name)]
    return all_of(*(of_item(*ABSENT, item=name) for name in every))


def cut(entry: Entry, item: Item) -> str:
    """What to change in the build file."""
    where = f" ({item.wish.span()})" if item.wish.span() else ""
    if len(entry) > 1:
        return f"write `count: {len(entry) - 1}`{where}"
    return f"take the entry out, or write `required: false`{where}"


def only_on(case: Case, owner: str) -> list[str]:
    """Required parts that have no seat but on this part, or on such a part."""
    refused = {key for reason in case.reasons.values() for key in reason.seats}
    found: list[str] = []
    for item in case.problem.items:
        seats = [s for s in case.seating.by_item.get(item.id, []) if s.key not in refused]
        on_it = [owner in seat.offer.carriers for seat in seats]
        if item.wish.required and item.companion_of is None and on_it and all(on_it):
            found.append(item.id)
    return found


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
    where = f" ({group.span()})" if group.span() else ""
    return Change(
        kind="group",
        subject=names,
        options=(
            Option(
                fixed(text),
                partial(without_group, field, group),
                f"take the group out of `{field}`{where}",
            ),
        ),
        lifts=partial(stated_by, field, group),
    )


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
