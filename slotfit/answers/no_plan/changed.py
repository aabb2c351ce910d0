"""A problem with one thing changed. The problem itself stays as it is."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from typing import Any

from slotfit.answers.no_plan.case import Entry, entries_of
from slotfit.listing import listed
from slotfit.load.build_file import items_of, sites_on
from slotfit.model.board import Board
from slotfit.model.build import BuildPart, Group
from slotfit.model.entity import Span
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Rig, Site


def body_and_plugs(problem: Problem, item: str) -> tuple[Item, ...]:
    """The item with the companions that stand for its extra plugs."""
    return tuple(one for one in problem.items if item in (one.id, one.companion_of))


def without(problem: Problem, items: Collection[str]) -> Problem:
    """Without these parts, their receptacles, and what was wished for them."""
    gone = {one.id for item in items for one in body_and_plugs(problem, item)}
    return replace(
        problem,
        items=tuple(item for item in problem.items if item.id not in gone),
        sites=tuple(s for s in problem.sites if s.on_board or s.owner not in gone),
        together=groups_without(problem.together, gone),
        apart=groups_without(problem.apart, gone),
        today={item: site for item, site in problem.today.items() if item not in gone},
        retire=tuple(name for name in problem.retire if name not in gone),
    )


def groups_without(groups: tuple[Group, ...], gone: Collection[str]) -> tuple[Group, ...]:
    """Groups without some members; a group of one says nothing."""
    left = [
        group.model_copy(update={"parts": tuple(one for one in group.parts if one not in gone)})
        for group in groups
    ]
    return tuple(group for group in left if len(group.parts) > 1)


def with_wish(problem: Problem, item: str, **changed: Any) -> Problem:
    """With other wishes for one part."""
    return with_items(
        problem,
        tuple(
            one._replace(wish=one.wish.model_copy(update=changed)) if one.id == item else one
            for one in problem.items
        ),
    )


def with_part(problem: Problem, item: str, part: Part) -> Problem:
    """With another part in one item's stead; wishes stay."""
    old = body_and_plugs(problem, item)
    made = tuple(items_of(problem.item[item].wish, part))
    kept = tuple(one for one in problem.items if one not in old)
    return with_items(problem, (*kept, *made))


def with_more(problem: Problem, item: str, part: Part) -> Problem:
    """With one part more."""
    return with_items(problem, (*problem.items, *made_optional(item, part)))


def made_optional(item: str, part: Part) -> tuple[Item, ...]:
    """A part that need not be placed."""
    return tuple(items_of(BuildPart(id=item, part=part.id, required=False), part))


def with_items(problem: Problem, items: tuple[Item, ...]) -> Problem:
    """With these items, and the receptacles on them."""
    boards = tuple(site for site in problem.sites if site.on_board)
    return replace(
        problem, items=items, sites=(*boards, *(site for item in items for site in sites_on(item)))
    )


def with_bracket(problem: Problem, item: str, bracket: str) -> Problem:
    """With another bracket on one part."""
    part = problem.item[item].part.model_copy(update={"bracket": bracket})
    return with_items(
        problem,
        tuple(one._replace(part=part) if one.id == item else one for one in problem.items),
    )


def with_processors(problem: Problem, machine: str, fitted: tuple[str, ...]) -> Problem:
    """With these processors fitted."""
    old = problem.rig[machine]
    changed = old.machine.model_copy(update={"processors": fitted})
    return with_rig(problem, replace(old, machine=changed))


def with_supply(problem: Problem, machine: str, supply: PowerSupply | None) -> Problem:
    """With another power supply; None: nothing is known of it."""
    return with_rig(problem, replace(problem.rig[machine], power_supply=supply))


def with_chassis(problem: Problem, machine: str, chassis: Chassis | None) -> Problem:
    """In another chassis; None: nothing is known of it."""
    return with_rig(problem, replace(problem.rig[machine], chassis=chassis))


def with_rig(problem: Problem, rig: Rig) -> Problem:
    """With one machine changed, on the same board."""
    return replace(problem, rigs=tuple(rig if old.id == rig.id else old for old in problem.rigs))


def with_board(problem: Problem, machine: str, board: Board) -> Problem:
    """On another board, all its processors fitted; wishes that name what it lacks are dropped."""
    old = problem.rig[machine]
    fitted = replace(old, machine=old.machine.model_copy(update={"processors": None}), board=board)
    alone = len(problem.rigs) == 1
    sites = tuple(
        Site(one.id if alone else f"{machine}/{one.id}", machine, True, one)
        for one in board.receptacles
    )
    kept = tuple(site for site in problem.sites if site.owner != machine)
    made = replace(with_rig(problem, fitted), sites=(*kept, *sites))
    return replace(
        made,
        items=tuple(known_only(made, item) for item in made.items),
        today={item: site for item, site in made.today.items() if site in made.site},
    )


def without_wishes_for(problem: Problem, item: str) -> Problem:
    """Without a part, and without what was wished for others for the sake of its receptacles."""
    made = without(problem, [item])
    return replace(made, items=tuple(known_only(made, one) for one in made.items))


def known_only(problem: Problem, item: Item) -> Item:
    """The item without wishes that name receptacles and processors that are not there."""
    wish = item.wish
    processors = {one.id for rig in problem.rigs for one in rig.board.processors}
    near = wish.near if wish.near and wish.near.rpartition("/")[2] in processors else None
    known = {
        "pin": wish.pin if wish.pin in problem.site else None,
        "only": tuple(site for site in wish.only if site in problem.site),
        "ban": tuple(site for site in wish.ban if site in problem.site),
        "near": near,
        "must_be_near": wish.must_be_near and near is not None,
    }
    if all(getattr(wish, field) == value for field, value in known.items()):
        return item
    return item._replace(wish=wish.model_copy(update=known))


WISHES = ("pin", "only", "ban", "near", "must_be_near")
"""Wishes that name what another board may not have."""


def at(span: Span | None) -> str:
    """The place in brackets, if it is known."""
    return f" ({span})" if span else ""


def cuts(problem: Problem, names: Collection[str]) -> Iterator[str]:
    """To leave parts out, wherever they are named."""
    for entry in entries_of(problem):
        yield from entry_cuts(entry, names)
    for field, groups in (("together", problem.together), ("apart", problem.apart)):
        for group in groups:
            yield from group_cuts(field, group, names)
    for name in names:
        if name in problem.today:
            yield f"take {name} out of `today`{at(problem.today_spans.get(name))}"


def entry_cuts(entry: Entry, names: Collection[str]) -> Iterator[str]:
    """One entry of the parts: all of it, or some of a count."""
    gone = [item.id for item in entry if item.id in names]
    where = at(entry[0].wish.span())
    if len(gone) == len(entry):
        yield f"take the entry of {listed(gone)} out{where}"
    elif gone:
        yield f"write `count: {len(entry) - len(gone)}`{where}"


def group_cuts(field: str, group: Group, names: Collection[str]) -> Iterator[str]:
    """One group."""
    if gone := [name for name in group.parts if name in names]:
        yield f"take {listed(gone)} out of `{field}`{at(group.span())}"


def rewritten(old: Problem, new: Problem) -> Iterator[str]:
    """Where wishes, processors and today's layout differ: of a problem moved to another board."""
    for was, now in zip(old.rigs, new.rigs, strict=True):
        if was.machine.processors is not None and now.machine.processors is None:
            yield f"take `processors` out{at(was.machine.span('processors'))}"
    for entry in entries_of(old):
        yield from wishes_rewritten(entry, new)
    for name in old.today:
        if name not in new.today:
            yield f"take {name} out of `today`{at(old.today_spans.get(name))}"


def wishes_rewritten(entry: Entry, new: Problem) -> Iterator[str]:
    """One entry's wishes."""
    was, now = entry[0].wish, new.item[entry[0].id].wish
    for field in WISHES:
        before, after = getattr(was, field), getattr(now, field)
        if before != after:
            where = at(was.span(field))
            left = ", ".join(after) if isinstance(after, tuple) else ""
            yield f"write `{field}: [{left}]`{where}" if left else f"take `{field}` out{where}"
