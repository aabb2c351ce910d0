"""A problem with one thing changed. The problem itself stays as it is."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from dataclasses import replace
from typing import Any

from slotfit.answers.no_plan.case import Entry, entries_of
from slotfit.listing import listed
from slotfit.load.build_file import parts_of, receptacles_on
from slotfit.model.board import Board
from slotfit.model.build import BuildPart, Group
from slotfit.model.entity import Span
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem, Receptacle


def body_and_plugs(problem: Problem, part: str) -> tuple[Part, ...]:
    """The part with the companions that stand for its extra plugs."""
    return tuple(one for one in problem.parts if part in (one.id, one.companion_of))


def without(problem: Problem, parts: Collection[str]) -> Problem:
    """Without these parts, their receptacles, and what was wished for them."""
    gone = {one.id for part in parts for one in body_and_plugs(problem, part)}
    return replace(
        problem,
        parts=tuple(part for part in problem.parts if part.id not in gone),
        receptacles=tuple(s for s in problem.receptacles if s.on_board or s.owner not in gone),
        together=groups_without(problem.together, gone),
        apart=groups_without(problem.apart, gone),
        today={part: receptacle for part, receptacle in problem.today.items() if part not in gone},
        retire=tuple(name for name in problem.retire if name not in gone),
    )


def groups_without(groups: tuple[Group, ...], gone: Collection[str]) -> tuple[Group, ...]:
    """Groups without some members; a group of one says nothing."""
    left = [
        group.model_copy(update={"parts": tuple(one for one in group.parts if one not in gone)})
        for group in groups
    ]
    return tuple(group for group in left if len(group.parts) > 1)


def with_wish(problem: Problem, part: str, **changed: Any) -> Problem:
    """With other wishes for one part."""
    return with_parts(
        problem,
        tuple(
            replace(one, wish=one.wish.model_copy(update=changed)) if one.id == part else one
            for one in problem.parts
        ),
    )


def with_spec(problem: Problem, part: str, spec: PartSpec) -> Problem:
    """With another part in one part's stead; wishes stay."""
    old = body_and_plugs(problem, part)
    made = tuple(parts_of(problem.part[part].wish, spec))
    kept = tuple(one for one in problem.parts if one not in old)
    return with_parts(problem, (*kept, *made))


def with_more(problem: Problem, part: str, spec: PartSpec) -> Problem:
    """With one part more."""
    return with_parts(problem, (*problem.parts, *made_optional(part, spec)))


def made_optional(part: str, spec: PartSpec) -> tuple[Part, ...]:
    """A part that need not be placed."""
    return tuple(parts_of(BuildPart(id=part, part=spec.id, required=False), spec))


def with_parts(problem: Problem, parts: tuple[Part, ...]) -> Problem:
    """With these parts, and the receptacles on them."""
    boards = tuple(receptacle for receptacle in problem.receptacles if receptacle.on_board)
    return replace(
        problem,
        parts=parts,
        receptacles=(*boards, *(one for part in parts for one in receptacles_on(part))),
    )


def with_bracket(problem: Problem, part: str, bracket: str) -> Problem:
    """With another bracket on one part."""
    spec = problem.part[part].spec.model_copy(update={"bracket": bracket})
    return with_parts(
        problem,
        tuple(replace(one, spec=spec) if one.id == part else one for one in problem.parts),
    )


def with_processors(problem: Problem, machine: str, fitted: tuple[str, ...]) -> Problem:
    """With these processors fitted."""
    old = problem.machine[machine]
    changed = old.entry.model_copy(update={"processors": fitted})
    return with_machine(problem, replace(old, entry=changed))


def with_supply(problem: Problem, machine: str, supply: PowerSupply | None) -> Problem:
    """With another power supply; None: nothing is known of it."""
    return with_machine(problem, replace(problem.machine[machine], power_supply=supply))


def with_chassis(problem: Problem, machine: str, chassis: Chassis | None) -> Problem:
    """In another chassis; None: nothing is known of it."""
    return with_machine(problem, replace(problem.machine[machine], chassis=chassis))


def with_machine(problem: Problem, machine: Machine) -> Problem:
    """With one machine changed, on the same board."""
    return replace(
        problem,
        machines=tuple(machine if old.id == machine.id else old for old in problem.machines),
    )


def with_board(problem: Problem, machine: str, board: Board) -> Problem:
    """On another board, all its processors fitted; wishes that name what it lacks are dropped."""
    old = problem.machine[machine]
    fitted = replace(old, entry=old.entry.model_copy(update={"processors": None}), board=board)
    receptacles = tuple(
        Receptacle(problem.receptacle_id(machine, one.id), machine, True, one)
        for one in board.receptacles
    )
    kept = tuple(receptacle for receptacle in problem.receptacles if receptacle.owner != machine)
    made = replace(with_machine(problem, fitted), receptacles=(*kept, *receptacles))
    return replace(
        made,
        parts=tuple(known_only(made, part) for part in made.parts),
        today={part: one for part, one in made.today.items() if one in made.receptacle},
    )


def without_wishes_for(problem: Problem, part: str) -> Problem:
    """Without a part, and without what was wished for others for the sake of its receptacles."""
    made = without(problem, [part])
    return replace(made, parts=tuple(known_only(made, one) for one in made.parts))


def known_only(problem: Problem, part: Part) -> Part:
    """The part without wishes that name receptacles and processors that are not there."""
    wish = part.wish
    processors = {one.id for machine in problem.machines for one in machine.board.processors}
    near = wish.near if wish.near and wish.near.rpartition("/")[2] in processors else None
    known = {
        "pin": wish.pin if wish.pin in problem.receptacle else None,
        "only": tuple(receptacle for receptacle in wish.only if receptacle in problem.receptacle),
        "ban": tuple(receptacle for receptacle in wish.ban if receptacle in problem.receptacle),
        "near": near,
        "must_be_near": wish.must_be_near and near is not None,
    }
    if all(getattr(wish, field) == value for field, value in known.items()):
        return part
    return replace(part, wish=wish.model_copy(update=known))


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
    gone = [part.id for part in entry if part.id in names]
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
    for was, now in zip(old.machines, new.machines, strict=True):
        if was.entry.processors is not None and now.entry.processors is None:
            yield f"take `processors` out{at(was.entry.span('processors'))}"
    for entry in entries_of(old):
        yield from wishes_rewritten(entry, new)
    for name in old.today:
        if name not in new.today:
            yield f"take {name} out of `today`{at(old.today_spans.get(name))}"


def wishes_rewritten(entry: Entry, new: Problem) -> Iterator[str]:
    """One entry's wishes."""
    was, now = entry[0].wish, new.part[entry[0].id].wish
    for field in WISHES:
        before, after = getattr(was, field), getattr(now, field)
        if before != after:
            where = at(was.span(field))
            left = ", ".join(after) if isinstance(after, tuple) else ""
            yield f"write `{field}: [{left}]`{where}" if left else f"take `{field}` out{where}"
