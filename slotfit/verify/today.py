"""The build as it stands today: every part pinned where `today` has it, the others left out."""

from __future__ import annotations

from dataclasses import replace

from slotfit.load.machine_asked import home_of
from slotfit.model.problem import Item, Problem


def as_it_stands(problem: Problem) -> Problem:
    """The same machines with what sits in them today, and nothing to choose but settings."""
    here = {item.id for item in problem.items if home_of(problem, item.id) is not None}
    kept = [item for item in problem.items if item.body in here]
    owners = {item.id for item in kept} | set(problem.rig)
    return replace(
        problem,
        items=tuple(pinned(item, problem) for item in kept),
        sites=tuple(site for site in problem.sites if site.owner in owners),
        together=(),
        apart=(),
    )


def pinned(item: Item, problem: Problem) -> Item:
    """Where it is, and nowhere else; what it moves, and whose it is, still counts."""
    site = problem.today.get(item.id)
    kept = {"pin": site, "only": (), "ban": (), "machine": None, "must_be_near": False}
    return item._replace(wish=item.wish.model_copy(update={**kept, "required": site is not None}))
