"""The same build on another board."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace

from slotfit.listing import listed
from slotfit.model.board import Board
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.words import Stage

ON_ONE_BOARD: tuple[Stage, ...] = ("moves", "reserve")
"""Preferences that mean something on one board only: today's layout, and its best receptacles."""


@dataclass(frozen=True)
class Candidate:
    """One board to try."""

    name: str
    board: Board
    fitted: int | None = None
    """So many of its processors, the first ones; None: as many as in the build, or as in `rig`."""
    rig: Rig | None = None
    """The machine it was found in, whose chassis, supply and air come with it."""


@dataclass(frozen=True)
class Swapped:
    """A build on another board, and what of the wishes could not be carried over."""

    problem: Problem
    notes: tuple[str, ...]


def on_board(
    problem: Problem, machine: str, candidate: Candidate, aside: Collection[str] = ()
) -> Swapped:
    """
    The build with the candidate's board in `machine`.

    Wishes that name a receptacle of `aside` are dropped; processors to be near to are carried over
    by their number. Today's layout counts for nothing: no board is to have the advantage of it.
    """
    old = problem.rig[machine]
    new = rig_of(old, candidate)
    notes: list[str] = []
    near = [near_there(problem, item, old, new, notes) for item in problem.items]
    swapped = replace(
        problem,
        rigs=tuple(new if rig is old else rig for rig in problem.rigs),
        items=tuple(
            wishing(item, aside, where) for item, where in zip(problem.items, near, strict=True)
        ),
        sites=tuple(sites(problem, machine, candidate.board)),
        today={},
        preferences=preferences(problem),
    )
    return Swapped(swapped, tuple(dict.fromkeys(notes)))


def rig_of(old: Rig, candidate: Candidate) -> Rig:
    """The machine with the candidate's board in it."""
    home, board = candidate.rig or old, candidate.board
    fitted = [one.id for one in board.processors]
    if candidate.fitted is None and candidate.rig:
        fitted = [name for name in fitted if name in home.fitted]
    else:
        fitted = fitted[: candidate.fitted or len(old.fitted)]
    update = {"id": old.id, "name": old.machine.name, "processors": tuple(fitted)}
    return replace(home, machine=home.machine.model_copy(update=update), board=board)


def sites(problem: Problem, machine: str, board: Board) -> Iterator[Site]:
    """The new board's receptacles, then all that were not the old board's."""
    alone = len(problem.rigs) == 1
    for receptacle in board.receptacles:
        name = receptacle.id if alone else f"{machine}/{receptacle.id}"
        yield Site(name, machine, on_board=True, receptacle=receptacle)
    for site in problem.sites:
        if not (site.on_board and site.owner == machine):
            yield site


def preferences(problem: Problem) -> tuple[Stage, ...]:
    """What boards are compared by, in the build's order; the reserve only decides between ties."""
    compared = tuple(stage for stage in problem.preferences if stage not in ON_ONE_BOARD)
    return (*compared, *(stage for stage in problem.preferences if stage == "reserve"))


def wishing(item: Item, aside: Collection[str], near: str | None) -> Item:
    """The item with the wishes that still mean something."""
    wish = item.wish
    update: dict[str, object] = {
        "near": near,
        "pin": None if wish.pin in aside else wish.pin,
        "only": () if any(name in aside for name in wish.only) else wish.only,
        "ban": tuple(name for name in wish.ban if name not in aside),
    }
    changed = any(getattr(wish, field) != value for field, value in update.items())
    return item._replace(wish=wish.model_copy(update=update)) if changed else item


def near_there(problem: Problem, item: Item, old: Rig, new: Rig, notes: list[str]) -> str | None:
    """The processor of the same number on the new board; with fewer fitted, the last one."""
    near = item.wish.near
    if near is None:
        return None
    owner, slash, name = near.rpartition("/")
    known = [processor.id for processor in old.board.processors]
    if (slash and owner != old.id) or name not in known:
        return near
    fitted = [one.id for one in new.board.processors if one.id in new.fitted]
    number = known.index(name)
    if name in old.fitted and new.board is old.board and name in fitted:
        return near
    there = fitted[min(number, len(fitted) - 1)]
    if number >= len(fitted):
        notes.append(f"{new.board.id} has no fitted processor like {name}: {there} stands for it")
    elsewhere = [rig for rig in problem.rigs if rig is not old and item.wish.machine != old.id]
    if there != name and not slash and elsewhere:
        if not any(one.id == name for rig in elsewhere for one in rig.board.processors):
            return f"{old.id}/{there}"  # no other machine has a processor of that name
        notes.append(f"`near` of {item.id} could mean any machine: it still names {name}")
        return near
    return f"{owner}/{there}" if slash else there


def names_aside(problem: Problem, machine: str, candidates: Sequence[Candidate]) -> frozenset[str]:
    """
    The board's receptacles whose names not every candidate shares.

    Only boards of one id are taken to mean the same by a name: another board's slot1 is another
    slot. What is dropped for one is dropped for all, so that none is held to more than the others.
    """
    old = problem.rig[machine].board
    shared = {receptacle.id for receptacle in old.receptacles}
    for candidate in candidates:
        same = candidate.board.id == old.id
        shared &= {one.id for one in candidate.board.receptacles} if same else set()
    return frozenset(
        site.id
        for site in problem.sites
        if site.on_board and site.owner == machine and site.receptacle.id not in shared
    )


def notes_aside(problem: Problem, aside: Collection[str]) -> Iterator[str]:
    """Which wishes are dropped on every board."""
    said: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    for item in problem.items:
        wish = item.wish
        for field, names in (("pin", (wish.pin,)), ("only", wish.only), ("ban", wish.ban)):
            gone = tuple(name for name in names if name is not None and name in aside)
            if gone and item.companion_of is None:
                said.setdefault((field, gone), []).append(item.id)
    for (field, gone), items in said.items():
        yield (
            f"`{field}` of {listed(items)} names {listed(gone)} of this build's board: "
            "not asked of any board"
        )
