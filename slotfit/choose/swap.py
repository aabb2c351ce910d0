"""The same build on another board."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from slotfit.model.board import Board
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.words import Stage

NOT_COMPARED = ("moves", "reserve")
"""Preferences that mean something on one board only: today's layout, and its best receptacles."""


@dataclass(frozen=True)
class Swapped:
    """A build on another board, and what of the wishes could not be carried over."""

    problem: Problem
    notes: tuple[str, ...]


def on_board(problem: Problem, machine: str, board: Board, fitted: int | None = None) -> Swapped:
    """
    The build with `board` in `machine`, and `fitted` processors in it (None: as many as before).

    Wishes that name the old board's receptacles are dropped, each with a note, unless it is the
    same board; processors are carried over by their number.
    """
    old = problem.rig[machine]
    count = min(fitted or len(old.fitted), len(board.processors))
    same = board.id == old.board.id and board.receptacles == old.board.receptacles
    processors = tuple(processor.id for processor in board.processors[:count])
    rig = replace(
        old, board=board, machine=old.machine.model_copy(update={"processors": processors})
    )
    notes: list[str] = []
    items = problem.items
    if not same:
        gone = {site.id for site in problem.sites if site.on_board and site.owner == machine}
        items = tuple(carried(item, old, rig, gone, notes) for item in problem.items)
    swapped = replace(
        problem,
        rigs=tuple(rig if other.id == machine else other for other in problem.rigs),
        items=items,
        sites=tuple(sites(problem, machine, board)),
        today={},
        preferences=tuple(s for s in problem.preferences if s not in NOT_COMPARED),
    )
    return Swapped(swapped, tuple(dict.fromkeys(notes)))


def sites(problem: Problem, machine: str, board: Board) -> Iterator[Site]:
    """The new board's receptacles, then all that were not the old board's."""
    alone = len(problem.rigs) == 1
    for receptacle in board.receptacles:
        name = receptacle.id if alone else f"{machine}/{receptacle.id}"
        yield Site(name, machine, on_board=True, receptacle=receptacle)
    for site in problem.sites:
        if not (site.on_board and site.owner == machine):
            yield site


def carried(item: Item, old: Rig, new: Rig, gone: set[str], notes: list[str]) -> Item:
    """The item with the wishes that still mean something."""
    wish = item.wish
    update: dict[str, object] = {}
    for field in ("only", "ban"):
        kept = tuple(name for name in getattr(wish, field) if name not in gone)
        if kept != getattr(wish, field):
            update[field] = kept
            notes.append(f"`{field}` of {item.id} names receptacles of {old.board.id}")
    if wish.pin in gone:
        update["pin"] = None
        notes.append(f"`pin` of {item.id} names a receptacle of {old.board.id}")
    if wish.near is not None:
        update["near"] = processor_there(wish.near, old, new)
    return replace(item, wish=wish.model_copy(update=update)) if update else item


def processor_there(near: str, old: Rig, new: Rig) -> str:
    """The processor of the same number on the new board; with fewer sockets, the last one."""
    owner, slash, name = near.rpartition("/")
    if slash and owner != old.id:
        return near
    numbers = [processor.id for processor in old.board.processors]
    number = numbers.index(name) if name in numbers else 0
    there = new.board.processors[min(number, len(new.board.processors) - 1)].id
    return f"{owner}/{there}" if slash else there


def all_optional(problem: Problem) -> Problem:
    """The same build where every part may be left out: required ones last of all."""
    heaviest = 1 + sum(item.wish.weight for item in problem.items if not item.wish.required)
    items = tuple(
        replace(
            item,
            wish=item.wish.model_copy(update={"required": False, "weight": min(heaviest, 1000)}),
        )
        if item.wish.required
        else item
        for item in problem.items
    )
    first: tuple[Stage, ...] = ("optional-parts",)
    rest = tuple(stage for stage in problem.preferences if stage not in first)
    return replace(problem, items=items, preferences=(*first, *rest))
