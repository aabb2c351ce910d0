"""The same problem in one order, so that no answer depends on the order of a file."""

from __future__ import annotations

from dataclasses import replace

from slotfit.model.build import Group
from slotfit.model.problem import Problem
from slotfit.natural_order import natural


def canonical(problem: Problem) -> Problem:
    """Machines, parts, receptacles and groups in natural order of their names."""
    return replace(
        problem,
        rigs=tuple(sorted(problem.rigs, key=lambda rig: natural(rig.id))),
        items=tuple(sorted(problem.items, key=lambda item: natural(item.id))),
        sites=tuple(sorted(problem.sites, key=lambda site: natural(site.id))),
        together=in_order(problem.together),
        apart=in_order(problem.apart),
    )


def in_order(groups: tuple[Group, ...]) -> tuple[Group, ...]:
    """Groups by their members, each with its members in order."""
    made = []
    for group in groups:
        copy = group.model_copy(update={"parts": tuple(sorted(group.parts, key=natural))})
        made.append(copy)
    return tuple(sorted(made, key=lambda group: (group.by, [natural(one) for one in group.parts])))
