"""Random questions: a part of a random build, with and without the other parts in place."""

from __future__ import annotations

from dataclasses import replace
from random import Random

from slotfit import api
from slotfit.answers.check.question import Question
from slotfit.model.problem import Item, Problem, Site
from slotfit.standards.forms import plug_fits
from tests.builds import small_build


def bare(item: Item) -> Item:
    """The item without wishes about where it goes, and not required."""
    wish = type(item.wish).model_construct(
        id=item.id, part=item.wish.part, demand=item.wish.demand, required=False
    )
    return item._replace(wish=wish)


def on_its_sockets(part: Item, others: list[Item]) -> dict[str, str]:
    """Other items in the part's sockets, as many as find one that takes their plug."""
    free = [one for one in part.part.receptacles if one.form not in ("cooling-mount", "opening")]
    placed: dict[str, str] = {}
    for other in others:
        taker = next((s for s in free if plug_fits(other.part.plug.form, s.form)), None)
        if taker is not None:
            placed[other.id] = f"{part.id}/{taker.id}"
            free.remove(taker)
    return placed


def of_items(build: Problem, items: list[Item]) -> Problem:
    """The machines of a build with these items and nothing wished."""
    owners = {item.id for item in items}
    return replace(
        build,
        items=tuple(items),
        sites=tuple(site for site in build.sites if site.on_board or site.owner in owners),
        together=(),
        apart=(),
        today={},
    )


def alone(dice: Random) -> Question:
    """A part, with what fits into its sockets, on an empty board."""
    build = small_build(dice)
    items = [bare(item) for item in build.items if is_whole(build, item)]
    if not items:  # nothing but parts with second plugs: none to ask about
        return alone(dice)
    part = dice.choice(items)
    others = [item for item in items if item.id != part.id]
    drives = on_its_sockets(part, others)
    held = [part, *(item for item in others if item.id in drives)]
    problem = of_items(build, held)
    return Question(problem, part.id, free_sites(problem, held), drives)


def is_whole(build: Problem, item: Item) -> bool:
    """Whether it has one plug only; of a second one `check` says that it was not looked at."""
    companions = {one.companion_of for one in build.items}
    return item.companion_of is None and item.id not in companions


def free_sites(problem: Problem, mine: list[Item]) -> tuple[str, ...]:
    names = {item.id for item in mine}
    sites: tuple[Site, ...] = problem.sites
    return tuple(site.id for site in sites if site.owner not in names)


def beside_others(dice: Random) -> Question:
    """A part taken out of a finished plan, all others where the plan has them."""
    while True:
        build = small_build(dice)
        plan = api.place(build).plan
        sits = {seat.item: seat.site for seat in plan.seats} if plan else {}
        items = [one for one in build.items if one.id in sits and is_whole(build, one)]
        on_board = [item for item in items if build.site[sits[item.id]].on_board]
        if on_board:
            return taken_out(build, items, sits, dice.choice(on_board))


def taken_out(build: Problem, items: list[Item], sits: dict[str, str], part: Item) -> Question:
    """The part with what is directly on it, and the others that still have something to sit on."""
    on_part = {one for one, site in sits.items() if owner_of(build, site) == part.id}
    today: dict[str, str] = {}
    for item in sorted(items, key=lambda one: depth(build, sits, one.id)):
        owner = owner_of(build, sits[item.id])
        if item.id != part.id and (owner is None or owner in today):
            today[item.id] = sits[item.id]
    drives = {item.id: sits[item.id] for item in items if item.id in on_part}
    held = [bare(item) for item in items if item.id in {part.id, *today, *drives}]
    mine = [item for item in held if item.id not in today]
    problem = replace(of_items(build, held), today=today)
    return Question(problem, part.id, free_sites(problem, mine), drives, today)


def owner_of(build: Problem, site: str) -> str | None:
    """The item a site is on; None for one on a board."""
    return None if build.site[site].on_board else build.site[site].owner


def depth(build: Problem, sits: dict[str, str], item: str) -> int:
    """How many items it sits on."""
    owner = owner_of(build, sits[item])
    return 0 if owner is None else 1 + depth(build, sits, owner)
