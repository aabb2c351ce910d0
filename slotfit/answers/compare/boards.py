"""Which boards to try, and the same build on each of them."""

from __future__ import annotations

from collections.abc import Collection, Iterator
from collections.abc import Sequence as Row
from dataclasses import dataclass, replace
from pathlib import Path

from slotfit.errors import InputError, Mistake
from slotfit.listing import counted, listed
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog, kind_of
from slotfit.model.board import Board
from slotfit.model.build import Sequence
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.model.words import Stage

ONLY_TIES: tuple[Stage, ...] = ("reserve", "spare-lanes")
"""Preferences by which no board is ranked: they decide between equal plans of one board."""


@dataclass(frozen=True, slots=True)
class Candidate:
    """One board to try."""

    name: str
    board: Board
    fitted: int | None = None
    """So many of its processors, the first ones; None: as many as in the build, or as in
    `machine`."""
    machine: Machine | None = None
    """The machine it was found in, whose chassis, supply and air come with it."""


def machine_asked(problem: Problem, machine: str | None) -> str:
    """The machine whose board is exchanged. Raises InputError if it is not clear which."""
    ids = [machine.id for machine in problem.machines]
    if machine is None and len(ids) == 1:
        return ids[0]
    if machine is None or machine not in ids:
        wrong = f"there is no machine {machine}" if machine else "which of several machines?"
        raise InputError([Mistake("--machine", "", f"{wrong}; write one of {', '.join(ids)}")])
    return machine


def own(problem: Problem, machine_id: str) -> Candidate:
    """The board that the build has."""
    machine = problem.machine[machine_id]
    return Candidate(machine.board.id, machine.board, machine=machine)


def named(argument: str, catalog: Catalog) -> Iterator[Candidate]:
    """A catalog id or a board file; a build file stands for each of its machines, as it is."""
    path = Path(argument)
    if path.is_file() and kind_of(path) == "build":
        problem = load_build(path, catalog)
        for machine in problem.machines:
            yield Candidate(f"{machine.board.id} of {problem.id}", machine.board, machine=machine)
        return
    board = catalog.given(argument, Board, "BOARD")
    yield Candidate(board.id, board)


def gathered(
    arguments: Row[str], catalog: Catalog, *, every: bool = False
) -> tuple[list[Candidate], list[tuple[str, str]]]:
    """
    Every board named, and with `every` those of the catalog in the order of their ids.

    One with mistakes in it is left out and the rest go on; its name and what is wrong come second.
    """
    good: list[Candidate] = []
    broken: list[tuple[str, str]] = []
    for argument in [*arguments, *(catalog.ids(Board) if every else ())]:
        try:
            good += named(argument, catalog)
        except InputError as error:
            broken.append((argument, str(error)))
    return good, broken


def with_processors(candidates: Row[Candidate], counts: Row[int]) -> list[Candidate]:
    """Each board with each number of processors, as far as it has sockets for them."""
    if not counts:
        return list(candidates)
    return [
        replace(one, name=f"{one.name}, {counted(count, 'processor')}", fitted=count)
        for one in candidates
        for count in sorted({min(count, len(one.board.processors)) for count in counts})
    ]


def without_chassis(problem: Problem, machine_id: str) -> Problem:
    """The build with that machine's board lying on the table."""
    machines = (
        replace(one, chassis=None) if one.id == machine_id else one for one in problem.machines
    )
    return replace(problem, machines=tuple(machines))


def in_any_chassis(candidates: Row[Candidate]) -> list[Candidate]:
    """Each board without the chassis that it came with."""
    return [
        replace(one, machine=one.machine and replace(one.machine, chassis=None))
        for one in candidates
    ]


def unlike(problem: Problem, machine_id: str, candidates: Row[Candidate]) -> list[Candidate]:
    """Each machine once, however often it was named; different ones of one name get a number."""
    old = problem.machine[machine_id]
    seen: set[tuple[object, ...]] = set()
    names: dict[str, int] = {}
    found: list[Candidate] = []
    for one in candidates:
        machine = machine_of(old, one)
        said = machine.entry
        # All that makes one machine another, wherever it was written down.
        alike = (
            *(
                it and it.model_dump_json()
                for it in (machine.board, machine.chassis, machine.power_supply)
            ),
            *(machine.fitted, str(said.processors), said.firmware, said.keeps),
            *(said.base_w, said.supply_limit_percent, said.airflow_lfm),
        )
        if alike in seen:
            continue
        seen.add(alike)
        names[one.name] = names.get(one.name, 0) + 1
        number = f" ({names[one.name]})" if names[one.name] > 1 else ""
        found.append(replace(one, name=one.name + number))
    return found


def on_board(
    problem: Problem, machine: str, candidate: Candidate, dropped: Collection[str] = ()
) -> tuple[Problem, tuple[str, ...]]:
    """
    The build with the candidate's board in `machine`, and what of the wishes was not carried over.

    Wishes that name a receptacle of `dropped` are not asked for; processors to be near to are
    carried over by their number. Today's layout and settings count for nothing: no board is to have
    the advantage of them.
    """
    old = problem.machine[machine]
    new = machine_of(old, candidate)
    notes: list[str] = []
    ranking = [one for one in problem.preferences if one not in ("moves", *ONLY_TIES)]
    last = [stage for stage in problem.preferences if stage in ONLY_TIES]
    swapped = replace(
        problem,
        machines=tuple(new if machine is old else machine for machine in problem.machines),
        parts=tuple(
            wishing(
                part,
                dropped if moves_over(part, old, new) else (),
                near_there(problem, part, old, new, notes),
            )
            for part in problem.parts
        ),
        receptacles=tuple(receptacles(problem, new)),
        today={},
        on_the_way=without_settings(problem.sequence, machine),
        preferences=(*ranking, *last),
    )
    return swapped, tuple(dict.fromkeys(notes))


def without_settings(asked: Sequence, machine: str) -> Sequence:
    """Nothing said of what is set in the machine today: lane groups of a name are other ones."""
    said = asked.settings_today.items()
    kept = {group: way for group, way in said if not group.startswith(f"{machine}/")}
    return asked.model_copy(update={"settings_today": kept})


def machine_of(old: Machine, candidate: Candidate) -> Machine:
    """The machine with the candidate's board in it."""
    home, board = candidate.machine or old, candidate.board
    fitted = [one.id for one in board.processors]
    if candidate.fitted is None and candidate.machine:
        fitted = [name for name in fitted if name in home.fitted]
    else:
        fitted = fitted[: candidate.fitted or len(old.fitted)]
    entry = home.entry_on(board).with_processors(fitted)
    named = entry.model_copy(update={"id": old.id, "name": old.entry.name})
    return replace(home, entry=named, board=board)


def receptacles(problem: Problem, new: Machine) -> Iterator[Receptacle]:
    """Those of the machine as it would be, then all that were not its own."""
    yield from problem.receptacles_in(new)
    for receptacle in problem.receptacles:
        if not (receptacle.on_board and receptacle.owner == new.id):
            yield receptacle


def moves_over(part: Part, old: Machine, new: Machine) -> bool:
    """Whether it may sit elsewhere: what nobody has named stays where it is on its own board."""
    return not part.wish.is_unknown or old.board.id != new.board.id


def wishing(part: Part, dropped: Collection[str], near: str | None) -> Part:
    """The part with the wishes that still mean something."""
    wish = part.wish
    update: dict[str, object] = {
        "near": near,
        "pin": None if wish.pin in dropped else wish.pin,
        "only": () if any(name in dropped for name in wish.only) else wish.only,
        "ban": tuple(name for name in wish.ban if name not in dropped),
    }
    changed = any(getattr(wish, field) != value for field, value in update.items())
    return replace(part, wish=wish.model_copy(update=update)) if changed else part


def near_there(
    problem: Problem, part: Part, old: Machine, new: Machine, notes: list[str]
) -> str | None:
    """The processor of the same number on another board; with fewer fitted, the last one."""
    near = part.wish.near
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
    every = [processor.id for processor in new.board.processors]
    if name not in old.fitted and number < len(every):
        there = every[number]  # nothing is near to it in the build either
    elif number >= len(fitted):
        notes.append(f"{new.board.id} has no fitted processor like {name}: {there} stands for it")
    elsewhere = [one for one in problem.machines if one is not old and part.wish.machine != old.id]
    if there != name and not slash and elsewhere:
        if not any(one.id == name for machine in elsewhere for one in machine.board.processors):
            return f"{old.id}/{there}"  # no other machine has a processor of that name
        notes.append(f"`near` of {part.id} could mean any machine: it still names {name}")
        return near
    return f"{owner}/{there}" if slash else there


def names_dropped(problem: Problem, machine: str, candidates: Row[Candidate]) -> frozenset[str]:
    """
    The board's receptacles whose names not every candidate shares.

    Only boards of one id are taken to mean the same by a name: another board's slot1 is another
    slot. What is dropped for one is dropped for all, so that none is held to more than the others.
    """
    old = problem.machine[machine].board
    shared = {receptacle.id for receptacle in old.receptacles}
    for candidate in candidates:
        same = candidate.board.id == old.id
        shared &= {one.id for one in candidate.board.receptacles} if same else set()
    return frozenset(
        receptacle.id
        for receptacle in problem.receptacles
        if receptacle.on_board and receptacle.owner == machine and receptacle.spec.id not in shared
    )


def wishes_dropped(problem: Problem, names: Collection[str]) -> Iterator[str]:
    """Which wishes are dropped on every board."""
    asked: dict[tuple[str, tuple[str, ...]], list[str]] = {}
    if unnamed := [part.id for part in problem.parts if part.wish.is_unknown]:
        told = "on its own board each stays, on another it takes a place of its form"
        yield f"nobody has named {listed(unnamed)}: {told}"
    for part in problem.parts:
        wish = part.wish
        if wish.is_unknown:
            continue
        for field, said in (("pin", (wish.pin,)), ("only", wish.only), ("ban", wish.ban)):
            gone = tuple(name for name in said if name is not None and name in names)
            if gone and part.companion_of is None:
                asked.setdefault((field, gone), []).append(part.id)
    for (field, gone), parts in asked.items():
        yield (
            f"`{field}` of {listed(parts)} names {listed(gone)} of this build's board: "
            "not asked of any board"
        )
