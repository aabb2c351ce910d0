"""The machine a question is about: a board alone, or a build file with today's layout."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from slotfit.answers.check.given import on_sockets, plain_part
from slotfit.answers.check.question import Question, is_on
from slotfit.answers.no_plan.changed import with_parts
from slotfit.errors import Mistake
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog, is_path
from slotfit.load.findings import error_of
from slotfit.load.words import known_names, listed
from slotfit.load.yaml_file import read_yaml
from slotfit.model.board import Board
from slotfit.model.machine import BuildMachine, Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem, Receptacle

MACHINE = "machine"
"""What a machine is called that is only a board."""


@dataclass(frozen=True, slots=True)
class MachineOptions:
    """What is said of the machine around a board; None: nothing."""

    chassis: str | None = None
    """A catalog id, or a file."""
    power_supply: str | None = None
    """A catalog id, or a file."""
    processors: tuple[str, ...] | None = None
    """Ids of those fitted; None: all."""
    machine: str | None = None
    """One machine of a build file."""

    def said(self) -> list[str]:
        """Options that make no sense beside a build file."""
        given = {
            "--chassis": self.chassis,
            "--power-supply": self.power_supply,
            "--processors": self.processors,
        }
        return [name for name, value in given.items() if value is not None]


def machine_asked(
    board: str, around: MachineOptions, catalog: Catalog
) -> tuple[Problem, Problem | None]:
    """
    The machine with what sits in it today, and the build it comes from, if any.

    `board` is a catalog id, a board's file, or a build file. Raises InputError.
    """
    if not is_build(board):
        if around.machine is not None:
            text = f"{board} is one board; --machine is for build files with several machines"
            raise error_of([Mistake("--machine", "", text)])
        return alone(board, around, catalog), None

    if said := around.said():
        text = f"{board} is a build file and says so itself; leave the option out"
        raise error_of([Mistake(name, "", text) for name in said])
    build = load_build(Path(board), catalog)
    return as_today(build, around.machine), build


def is_build(argument: str) -> bool:
    """Whether a path leads to a build file: it lists machines."""
    if not is_path(argument):
        return False

    root = read_yaml(Path(argument)).root
    return isinstance(root, dict) and (root.get("kind") == "build" or "machines" in root)


def alone(board: str, around: MachineOptions, catalog: Catalog) -> Problem:
    """One board with nothing in it."""
    found = catalog.given(board, Board, "the board given")
    chassis = catalog.load(around.chassis, Chassis) if around.chassis else None
    supply = catalog.load(around.power_supply, PowerSupply) if around.power_supply else None
    machine = BuildMachine.model_construct(
        id=MACHINE, board=found.id, processors=fitted(around, found)
    )
    built = Machine(machine, found, chassis, supply)
    receptacles = tuple(Receptacle(one.id, MACHINE, True, one) for one in built.receptacles)
    return Problem(found.id, (built,), (), receptacles, name=found.name)


def fitted(around: MachineOptions, board: Board) -> tuple[str, ...] | None:
    """The processors named, all of them on the board."""
    known = [one.id for one in board.processors]
    wrong = [name for name in around.processors or () if name not in known]
    if wrong:
        raise error_of(
            Mistake("--processors", "", f"{board.id} has no {name}{known_names(name, known)}")
            for name in wrong
        )
    return around.processors


def as_today(build: Problem, machine_id: str | None) -> Problem:
    """What sits in the machine, or in one of several, today; nobody's wishes count."""
    if machine_id is not None and machine_id not in build.machine:
        text = f"there is no machine {machine_id}{known_names(machine_id, build.machine)}"
        raise error_of([Mistake("--machine", "", text)])
    machines = tuple(machine for machine in build.machines if machine_id in (None, machine.id))
    home = {part.id: home_of(build, part.id) for part in build.parts}
    here = [part for part in build.parts if home[part.id] in {machine.id for machine in machines}]
    # A machine and a part may bear one name.
    owners = {(True, machine.id) for machine in machines} | {(False, part.id) for part in here}
    return replace(
        build,
        machines=machines,
        parts=tuple(map(without_wishes, here)),
        receptacles=tuple(one for one in build.receptacles if (one.on_board, one.owner) in owners),
        together=(),
        apart=(),
        retire=(),
        today={part.id: build.today[part.id] for part in here},
    )


def home_of(build: Problem, part: str) -> str | None:
    """The machine a part sits in today; None if it sits in none of this build."""
    for _ in range(len(build.parts) + 1):
        receptacle = build.receptacle.get(build.today.get(part, ""))
        if receptacle is None:
            return None
        if receptacle.on_board:
            return receptacle.owner
        part = receptacle.owner
    return None


STILL_COUNTS = ("demand", "guest", "shared_by", "min_lanes", "min_generation")
"""What is said of a part in a build that is no wish about where it goes."""


def said_of(part: Part) -> tuple[Any, ...]:
    """What it moves and needs, and whose it is."""
    return tuple(getattr(part.wish, name) for name in STILL_COUNTS)


def without_wishes(part: Part) -> Part:
    """
    It sits where it sits; what it moves and needs, and whose it is, still counts.

    What nobody has named stays: nobody knows where else it could go.
    """
    kept: dict[str, Any] = dict(zip(STILL_COUNTS, said_of(part), strict=True))
    if part.wish.is_unknown:
        kept["pin"] = part.wish.pin
    wish = type(part.wish).model_construct(id=part.id, part=part.wish.part, required=False, **kept)
    wish.marks.update(part.wish.marks)
    return replace(part, wish=wish)


@dataclass(frozen=True, slots=True)
class TakenOut:
    """The machine without one of the build's parts, the part, and what sits on it today."""

    machine: Problem
    part: Part
    drives: tuple[tuple[Part, str], ...]
    """Each with the receptacle it sits in."""


def taken_out(machine: Problem, build: Problem, name: str) -> TakenOut:
    """A part of the build by its id, in hand with what sits on it. KeyError if there is none."""
    gone = {name} | {
        one
        for one, receptacle in machine.today.items()
        if is_on(machine, machine.today, receptacle, name)
    }
    held = [part for part in machine.parts if part.id in gone - {name}]
    bare = replace(
        machine,
        parts=tuple(one for one in machine.parts if one.id not in gone),
        receptacles=tuple(s for s in machine.receptacles if s.on_board or s.owner not in gone),
        today={one: receptacle for one, receptacle in machine.today.items() if one not in gone},
    )
    drives = tuple((part, machine.today[part.id]) for part in held)
    return TakenOut(bare, without_wishes(build.part[name]), drives)


def loaded_with(out: TakenOut, build: Problem, given: Sequence[str]) -> TakenOut:
    """
    A part of the build with other parts of the build on it, each `SOCKET=PART`.

    They are taken out of the machine with what sits on them. Raises InputError.
    """
    placed: list[tuple[Part, str]] = []
    mistakes: list[Mistake] = []
    machine = out.machine
    for one in given:
        socket, _, name = (word.strip() for word in one.partition("="))
        if name not in build.part:
            text = f"{name or one} is no part of the build; name its parts as SOCKET=PART"
            mistakes.append(Mistake("--with", "", text + known_names(name, build.part)))
        elif f"{out.part.id}/{socket}" not in build.receptacle:
            mistakes.append(Mistake("--with", "", f"{out.part.id} has no socket {socket}"))
        else:
            further = taken_out(machine, build, name)
            machine = further.machine
            placed += [(further.part, f"{out.part.id}/{socket}"), *further.drives]
    if mistakes:
        raise error_of(mistakes)
    return TakenOut(machine, out.part, tuple(placed))


def names_own(build: Problem, given: Sequence[str]) -> bool:
    """Whether parts of the build are named rather than of the catalog."""
    return any(one.partition("=")[2].strip() in build.part for one in given)


def question_of(
    machine: Problem,
    spec: PartSpec,
    drives: Sequence[tuple[str | None, PartSpec]] = (),
    slot: str | None = None,
) -> Question:
    """
    A part, with drives in its sockets, held to the receptacles of a machine.

    `machine` holds what sits there today. Raises InputError for a socket or slot that is not there.
    """
    taken = {part.id for part in machine.parts}
    asked = plain_part(spec, free_name(spec.id, taken))
    placed = tuple(on_sockets(asked, drives, {*taken, asked.id}))
    plugs = tuple(plug.id for plug in spec.extra_plugs)
    return replace(held_to(machine, asked, placed, slot), unconnected=plugs)


def held_to(
    machine: Problem,
    asked: Part,
    placed: Sequence[tuple[Part, str]],
    slot: str | None,
    sat_in: str | None = None,
) -> Question:
    """The question about a part and what sits on it, each of that with its receptacle."""
    fresh = [asked, *(part for part, _ in placed)]
    problem = with_parts(machine, (*machine.parts, *fresh))
    mine = {part.id for part in fresh}
    receptacles = [one for one in problem.receptacles if one.on_board or one.owner not in mine]
    return Question(
        problem,
        asked.id,
        tuple(one.id for one in (receptacles if slot is None else [named(slot, receptacles)])),
        drives={part.id: receptacle for part, receptacle in placed},
        today=machine.today,
        sat_in=sat_in,
    )


def free_name(name: str, taken: set[str]) -> str:
    """The name, or the next that nothing else has."""
    numbered = (f"{name}-{number}" for number in range(2, len(taken) + 3))
    return next(one for one in (name, *numbered) if one not in taken)


def part_named(name: str, problem: Problem) -> str:
    """A part of a build by its id. Raises InputError."""
    if name in problem.part:
        return name
    several = [part.id for part in problem.parts if part.id.startswith(f"{name}-")]
    if several:
        text = f"which of several? write {listed(several)}"
    else:
        text = f"there is no part {name}{known_names(name, problem.part)}"
    raise error_of([Mistake("PART", "", text)])


def named(slot: str, receptacles: Sequence[Receptacle], argument: str = "--slot") -> Receptacle:
    """The receptacle a name means: its id, its place in a build, or the name printed beside it."""
    by_id = [one for one in receptacles if slot in (one.id, one.spec.id)]
    found = by_id or [
        receptacle
        for receptacle in receptacles
        if slot.lower()
        in (one.lower() for one in (receptacle.spec.label or "", receptacle.id, receptacle.spec.id))
    ]
    if len(found) == 1:
        return found[0]
    if found:
        ways = listed(receptacle.id for receptacle in found)
        raise error_of([Mistake(argument, "", f"{slot} is in several places; write {ways}")])
    hint = known_names(slot, [receptacle.id for receptacle in receptacles])
    raise error_of([Mistake(argument, "", f"there is no receptacle {slot}{hint}")])
