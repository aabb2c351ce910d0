"""Entries of the build file's `parts`, and parts that are as good as one another."""

from __future__ import annotations

from slotfit.model.problem import Item, Problem
from slotfit.natural_order import natural
from slotfit.seating.alike import kinds

Entry = tuple[Item, ...]
"""The items that one entry stands for; companions are not among them."""


def entries_of(problem: Problem) -> list[Entry]:
    """Every entry; its items share one wish, so a wish is taken back for all of them."""
    found: dict[object, list[Item]] = {}
    for item in bodies(problem):
        found.setdefault(item.wish.span() or item.id, []).append(item)
    return [tuple(items) for items in found.values()]


def bodies(problem: Problem) -> list[Item]:
    """Items that are parts themselves, in natural order."""
    found = [item for item in problem.items if item.companion_of is None]
    return sorted(found, key=lambda item: natural(item.id))


def first_alike(problem: Problem) -> dict[str, str]:
    """Item -> the first by name of those that are as good as it: swap them, nothing changes."""
    found = {item.id: item.id for item in problem.items}
    for members in kinds(problem):
        found.update(dict.fromkeys(members, members[0]))
    return found
