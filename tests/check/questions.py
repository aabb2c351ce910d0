"""Random questions: a part of a random build, with and without the other parts in place."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from slotfit.answers.check.question import Question
from slotfit.answers.place.plan import best_plan
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.standards.forms import plug_fits
from tests.builds import small_build
from tests.limits import SECONDS


def bare(part: Part) -> Part:
    """The part without wishes about where it goes, and not required."""
    wish = type(part.wish).model_construct(
        id=part.id, part=part.wish.part, demand=part.wish.demand, required=False
    )
    return replace(part, wish=wish)


def on_its_sockets(part: Part, others: list[Part]) -> dict[str, str]:
    """Other parts in the part's sockets, as many as find one that takes their plug."""
    free = [one for one in part.spec.receptacles if one.form not in ("cooling-mount", "opening")]
    placed: dict[str, str] = {}
    for other in others:
        taker = next((s for s in free if plug_fits(other.spec.plug.form, s.form)), None)
        if taker is not None:
            placed[other.id] = f"{part.id}/{taker.id}"
            free.remove(taker)
    return placed


def of_parts(build: Problem, parts: list[Part]) -> Problem:
    """The machines of a build with these parts and nothing wished."""
    owners = {part.id for part in parts}
    return replace(
        build,
        parts=tuple(parts),
        receptacles=tuple(one for one in build.receptacles if one.on_board or one.owner in owners),
        together=(),
        apart=(),
        today={},
    )


def alone(dice: Random) -> Question:
    """A part, with what fits into its sockets, on an empty board."""
    build = small_build(dice)
    parts = [bare(part) for part in build.parts if is_whole(build, part)]
    if not parts:  # nothing but parts with second plugs: none to ask about
        return alone(dice)
    part = dice.choice(parts)
    others = [other for other in parts if other.id != part.id]
    drives = on_its_sockets(part, others)
    held = [part, *(part for part in others if part.id in drives)]
    problem = of_parts(build, held)
    return Question(problem, part.id, free_receptacles(problem, held), drives)


def is_whole(build: Problem, part: Part) -> bool:
    """Whether it has one plug only; of a second one `check` says that it was not looked at."""
    companions = {one.companion_of for one in build.parts}
    return part.companion_of is None and part.id not in companions


def free_receptacles(problem: Problem, mine: list[Part]) -> tuple[str, ...]:
    names = {part.id for part in mine}
    receptacles: tuple[Receptacle, ...] = problem.receptacles
    return tuple(receptacle.id for receptacle in receptacles if receptacle.owner not in names)


def beside_others(dice: Random) -> Question:
    """A part taken out of a finished plan, all others where the plan has them."""
    while True:
        build = small_build(dice)
        plan = best_plan(build, SECONDS).plan
        sits = {seat.part: seat.receptacle for seat in plan.seats} if plan else {}
        parts = [one for one in build.parts if one.id in sits and is_whole(build, one)]
        on_board = [part for part in parts if build.receptacle[sits[part.id]].on_board]
        if on_board:
            return taken_out(build, parts, sits, dice.choice(on_board))


def taken_out(build: Problem, parts: list[Part], sits: dict[str, str], part: Part) -> Question:
    """The part with what is directly on it, and the others that still have something to sit on."""
    on_part = {one for one, receptacle in sits.items() if owner_of(build, receptacle) == part.id}
    today: dict[str, str] = {}
    for other in sorted(parts, key=lambda one: depth(build, sits, one.id)):
        owner = owner_of(build, sits[other.id])
        if other.id != part.id and (owner is None or owner in today):
            today[other.id] = sits[other.id]
    drives = {part.id: sits[part.id] for part in parts if part.id in on_part}
    held = [bare(other) for other in parts if other.id in {part.id, *today, *drives}]
    mine = [part for part in held if part.id not in today]
    problem = replace(of_parts(build, held), today=today)
    return Question(problem, part.id, free_receptacles(problem, mine), drives, today)


def owner_of(build: Problem, receptacle: str) -> str | None:
    """The part a receptacle is on; None for one on a board."""
    return None if build.receptacle[receptacle].on_board else build.receptacle[receptacle].owner


def depth(build: Problem, sits: dict[str, str], part: str) -> int:
    """How many parts it sits on."""
    owner = owner_of(build, sits[part])
    return 0 if owner is None else 1 + depth(build, sits, owner)
