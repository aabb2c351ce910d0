"""Builds in pairs: one thing changes of what rules look at when they judge a seat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from slotfit.answers.no_plan.changed import with_more, with_part, with_processors, with_wish
from slotfit.load.catalog import standard_catalog
from slotfit.model.build import Group
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Site
from slotfit.model.seat import Offer
from tests.rules.tables import Case, problem_of

SLOT2 = {"slot2": {"row": "rear", "position": 1, "isolation": "slot2"}}
UNKNOWN_AIR: Case = {"card": {"cooling": "passive", "airflow_lfm": 270}}
UNKNOWN_SOURCE: Case = {"parts": {"card": None, "other": None}, "slot1": {"from": None}}
BESIDE_A_GUEST: Case = {
    "parts": {"card": None, "other": None},
    "slot1": {"isolation": None},
    "receptacles": SLOT2,
}
ON_A_RISER: Case = {
    "parts": {"card": {"thickness": 2, "only": ["riser/slot"]}, "riser": {"like": "riser"}}
}
UNPROVEN_SPLIT: Case = {"slot1": {"splits": None}}
BOTH = (Group(by="processor", parts=("card", "other")),)


def with_blower(problem: Problem) -> Problem:
    """With an air mover, as a way out may add one, that is enough for every card."""
    blower = standard_catalog().look_up("blower-97", Part).entity
    assert blower is not None
    return with_more(problem, "blower", blower)


def with_another_machine(problem: Problem) -> Problem:
    """With a machine beside it, in which there is nothing."""
    rig = problem.rigs[0]
    other = replace(rig, machine=rig.machine.model_copy(update={"id": "other-machine"}))
    return replace(problem, rigs=(rig, other))


def on_a_short_riser(problem: Problem) -> Problem:
    """On a riser with a place for one thin card."""
    short = problem.item["riser"].part.model_copy(update={"row_positions": 1})
    return with_part(problem, "riser", short)


def with_still_air(problem: Problem) -> Problem:
    """On a board that says of its slots that no air moves there; all else is the very same."""
    return replace(
        problem,
        sites=tuple(
            site._replace(receptacle=site.receptacle.model_copy(update={"airflow_lfm": 0}))
            for site in problem.sites
        ),
    )


PAIRS: dict[str, tuple[Case, Callable[[Problem], Problem]]] = {
    "an air mover": (UNKNOWN_AIR, with_blower),
    "another part's guest": (BESIDE_A_GUEST, lambda p: with_wish(p, "other", guest="vm1")),
    "processors": ({}, lambda p: with_processors(p, "tower", ("cpu1",))),
    "another machine": (UNPROVEN_SPLIT, with_another_machine),
    "a retired machine": ({}, lambda p: replace(p, retire=("tower",))),
    "a retired part": ({}, lambda p: replace(p, retire=("card",))),
    "parts together": (UNKNOWN_SOURCE, lambda p: replace(p, together=BOTH)),
    "parts apart": (UNKNOWN_SOURCE, lambda p: replace(p, apart=BOTH)),
    "a wish": ({}, lambda p: with_wish(p, "card", ban=("slot1",))),
    "the part below": (ON_A_RISER, on_a_short_riser),
    "the receptacle": (UNKNOWN_AIR, with_still_air),
}
"""What changes -> a build, and the same with only that changed."""


ROLES = ("item", "site", "owner", "root", "carrier", "isolator", "feeder")
"""Whatever a seat names; below, each is called by what it is."""

OFFER = Offer(
    "tower",
    isolators=("isolator",),
    carriers=("carrier",),
    fed_through=("feeder",),
    root="root",
)


def all_that_is_named() -> Problem:
    """A problem with an item and a receptacle of each name."""
    small = problem_of({})
    (item,), (site,) = small.items, small.sites
    return replace(
        small,
        items=tuple(item._replace(id=role) for role in ROLES),
        sites=tuple(site._replace(id=role, owner="owner") for role in ROLES),
    )


def thicker(item: Item) -> Item:
    return item._replace(part=item.part.model_copy(update={"thickness": 5}))


def labelled(site: Site) -> Site:
    return site._replace(receptacle=site.receptacle.model_copy(update={"label": "new"}))


def with_item(problem: Problem, name: str, change: Callable[[Item], Item]) -> Problem:
    """With one item changed and the very receptacles as before."""
    items = tuple(change(one) if one.id == name else one for one in problem.items)
    return replace(problem, items=items)


def with_site(problem: Problem, name: str, change: Callable[[Site], Site]) -> Problem:
    """With one receptacle changed and the very items as before."""
    sites = tuple(change(one) if one.id == name else one for one in problem.sites)
    return replace(problem, sites=sites)


NAMED: dict[str, Callable[[Problem], Problem]] = {
    **{f"the item {role}": partial(with_item, name=role, change=thicker) for role in ROLES},
    **{f"the receptacle {role}": partial(with_site, name=role, change=labelled) for role in ROLES},
    "whose it is": partial(with_site, name="root", change=lambda s: s._replace(owner="carrier")),
    "what it is on": partial(with_site, name="root", change=lambda s: s._replace(on_board=False)),
}
"""What changes of the things that a seat names -> the change."""
