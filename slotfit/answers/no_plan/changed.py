"""A problem with one thing changed. The problem itself stays as it is."""

from __future__ import annotations

from collections.abc import Callable, Collection
from dataclasses import replace
from typing import Any

from slotfit.load.build_file import parts_of, receptacles_of
from slotfit.model.board import Board
from slotfit.model.build import BuildPart, Group
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem
from slotfit.model.spread import at_typical


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
    return with_part(
        problem, part, lambda one: replace(one, wish=one.wish.model_copy(update=changed))
    )


def with_spec(problem: Problem, part: str, spec: PartSpec) -> Problem:
    """With another part in one part's stead; wishes stay."""
    old = body_and_plugs(problem, part)
    wish = problem.part[part].wish.model_copy(update={"part": spec.id})
    made = tuple(parts_of(wish, spec))
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
    return replace(problem, parts=parts, receptacles=(*boards, *receptacles_of(parts)))


def with_part(problem: Problem, part: str, changed: Callable[[Part], Part]) -> Problem:
    """With one part changed, if it is there."""
    parts = (changed(one) if one.id == part else one for one in problem.parts)
    return with_parts(problem, tuple(parts))


def with_bracket(problem: Problem, part: str, bracket: str) -> Problem:
    """With another bracket on one part."""
    other = {"bracket": bracket}
    return with_part(
        problem, part, lambda one: replace(one, spec=one.spec.model_copy(update=other))
    )


def with_typical(problem: Problem, kind: str, field: str) -> Problem:
    """With what is typical of its class for a kind of part, in one field or in all (empty)."""
    return with_parts(
        problem,
        tuple(
            replace(one, spec=at_typical(one.spec, field)) if one.spec.id == kind else one
            for one in problem.parts
        ),
    )


def with_processors(problem: Problem, machine: str, fitted: tuple[str, ...]) -> Problem:
    """With these processors fitted."""
    old = problem.machine[machine]
    return with_machine(problem, replace(old, entry=old.entry.with_processors(fitted)))


def with_supply(problem: Problem, machine: str, supply: PowerSupply | None) -> Problem:
    """With another power supply; None: nothing is known of it."""
    return with_machine(problem, replace(problem.machine[machine], power_supply=supply))


def with_chassis(problem: Problem, machine: str, chassis: Chassis | None) -> Problem:
    """In another chassis; None: nothing is known of it."""
    old = problem.machine[machine]
    new = replace(old, chassis=chassis)
    if new.receptacles == old.receptacles:
        return with_machine(problem, new)
    return without_lost_places(problem, remounted(problem, new))


def remounted(problem: Problem, machine: Machine) -> Problem:
    """With one machine changed and what takes parts in it; wishes for what it lacks are dropped."""
    kept = tuple(one for one in problem.receptacles if one.owner != machine.id)
    made = replace(
        with_machine(problem, machine), receptacles=(*kept, *problem.receptacles_in(machine))
    )
    return replace(made, parts=tuple(known_only(made, part) for part in made.parts))


def with_machine(problem: Problem, machine: Machine) -> Problem:
    """With one machine changed, on the same board."""
    return replace(
        problem,
        machines=tuple(machine if old.id == machine.id else old for old in problem.machines),
    )


def with_board(problem: Problem, machine: str, board: Board) -> Problem:
    """On another board, all its processors fitted; wishes that name what it lacks are dropped."""
    old = problem.machine[machine]
    fitted = replace(old, entry=old.entry_on(board), board=board)
    made = remounted(problem, fitted)
    asked = made.sequence
    set_now = {
        group: way
        for group, way in asked.settings_today.items()
        if group.partition("/")[0] != machine
    }
    asked = asked.model_copy(update={"settings_today": set_now})
    return without_lost_places(problem, replace(made, on_the_way=asked))


def without_lost_places(old: Problem, new: Problem) -> Problem:
    """Without saying of parts that they sit, or are to sit, where there is nothing any more."""
    lost = old.receptacle.keys() - new.receptacle.keys()
    goal = {part: place for part, place in new.sequence.goal.items() if place not in lost}
    return replace(
        new,
        today={part: place for part, place in new.today.items() if place not in lost},
        on_the_way=new.sequence.model_copy(update={"goal": goal}),
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


def with_specs(problem: Problem, parts: Collection[str], spec: PartSpec) -> Problem:
    """
    With another part in the stead of each of these.

    Wishes for receptacles that go with the old ones are mended: of optional parts that may go
    nowhere else the part leaves as well; a required one has no place then.
    """
    made = problem
    for part in parts:
        made = with_spec(made, part, spec)
    lost = problem.receptacle.keys() - made.receptacle.keys()
    if not lost:
        return made
    stranded = [part.id for part in made.parts if lost.issuperset(named_by(part) or {""})]
    kept = (part if part.id in stranded else known_only(made, part) for part in made.parts)
    made = replace(made, parts=tuple(kept))
    optional = [name for name in stranded if not made.part[name].wish.required]
    return without_lost_places(problem, leaving(made, optional))


def named_by(part: Part) -> set[str]:
    """The receptacles that are named for a part; none if it may go anywhere."""
    return {part.wish.pin} if part.wish.pin else set(part.wish.only)


def leaving(problem: Problem, parts: Collection[str]) -> Problem:
    """With parts that leave: they stay described, so that what is said of them is still sound."""
    free = (
        replace(one, wish=one.wish.model_copy(update={"required": False}))
        if one.body in parts
        else one
        for one in problem.parts
    )
    goal = {
        part: place
        for part, place in problem.sequence.goal.items()
        if part not in parts and place.rpartition("/")[0] not in parts
    }
    return replace(
        problem,
        parts=tuple(free),
        retire=tuple(dict.fromkeys((*problem.retire, *parts))),
        on_the_way=problem.sequence.model_copy(update={"goal": goal}),
    )
