"""Builds in pairs: one thing changes of what rules look at when they judge a seat."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import replace
from functools import partial

from slotfit.answers.no_plan.changed import with_more, with_processors, with_spec, with_wish
from slotfit.load.catalog import standard_catalog
from slotfit.model.build import Group
from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.seat import Upstream
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
    blower = standard_catalog().look_up("blower-97", PartSpec).entity
    assert blower is not None
    return with_more(problem, "blower", blower)


def with_another_machine(problem: Problem) -> Problem:
    """With a machine beside it, in which there is nothing."""
    machine = problem.machines[0]
    other = replace(machine, entry=machine.entry.model_copy(update={"id": "other-machine"}))
    return replace(problem, machines=(machine, other))


def on_a_short_riser(problem: Problem) -> Problem:
    """On a riser with a place for one thin card."""
    short = problem.part["riser"].spec.model_copy(update={"row_positions": 1})
    return with_spec(problem, "riser", short)


def with_still_air(problem: Problem) -> Problem:
    """On a board that says of its slots that no air moves there; all else is the very same."""
    return replace(
        problem,
        receptacles=tuple(
            replace(receptacle, spec=receptacle.spec.model_copy(update={"airflow_lfm": 0}))
            for receptacle in problem.receptacles
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

UPSTREAM = Upstream(
    "tower",
    isolators=("isolator",),
    carriers=("carrier",),
    fed_through=("feeder",),
    root="root",
)


def all_that_is_named() -> Problem:
    """A problem with a part and a receptacle of each name."""
    small = problem_of({})
    (part,), (receptacle,) = small.parts, small.receptacles
    return replace(
        small,
        parts=tuple(replace(part, id=role) for role in ROLES),
        receptacles=tuple(replace(receptacle, id=role, owner="owner") for role in ROLES),
    )


def thicker(part: Part) -> Part:
    return replace(part, spec=part.spec.model_copy(update={"thickness": 5}))


def labelled(receptacle: Receptacle) -> Receptacle:
    return replace(receptacle, spec=receptacle.spec.model_copy(update={"label": "new"}))


def with_part(problem: Problem, name: str, change: Callable[[Part], Part]) -> Problem:
    """With one part changed and the very receptacles as before."""
    parts = tuple(change(one) if one.id == name else one for one in problem.parts)
    return replace(problem, parts=parts)


def with_receptacle(
    problem: Problem, name: str, change: Callable[[Receptacle], Receptacle]
) -> Problem:
    """With one receptacle changed and the very parts as before."""
    receptacles = tuple(change(one) if one.id == name else one for one in problem.receptacles)
    return replace(problem, receptacles=receptacles)


NAMED: dict[str, Callable[[Problem], Problem]] = {
    **{f"the item {role}": partial(with_part, name=role, change=thicker) for role in ROLES},
    **{
        f"the receptacle {role}": partial(with_receptacle, name=role, change=labelled)
        for role in ROLES
    },
    "whose it is": partial(
        with_receptacle, name="root", change=lambda s: replace(s, owner="carrier")
    ),
    "what it is on": partial(
        with_receptacle, name="root", change=lambda s: replace(s, on_board=False)
    ),
}
"""What changes of the things that a seat names -> the change."""
