"""The machine a question is about: a board alone, or a build file with today's layout."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from slotfit.answers.check.question import Question
from slotfit.errors import Mistake
from slotfit.listing import counted
from slotfit.load.build_file import load_build, parts_of, receptacles_on
from slotfit.load.catalog import Catalog, is_path
from slotfit.load.entities import read_inline
from slotfit.load.findings import error_of
from slotfit.load.words import known_names, listed
from slotfit.load.yaml_file import read_yaml
from slotfit.model.board import Board
from slotfit.model.build import BuildPart
from slotfit.model.machine import BuildMachine, Chassis, PowerSupply
from slotfit.model.part import PartReceptacle, PartSpec
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.standards.forms import plug_fits

Given = Sequence[tuple[str | None, PartSpec]]
"""Drives, each with its socket if one is named."""


def on_sockets(part: Part, drives: Given, taken: set[str]) -> Iterator[tuple[Part, str]]:
    """
    Each drive as a part, and the receptacle it sits in.

    One drive without a socket goes into every free one that takes it; several go one by one.
    Raises InputError if there is no such socket, or none left.
    """
    sockets = [s for s in part.spec.receptacles if s.form not in ("cooling-mount", "opening")]
    by_name = {name: drive for name, drive in drives if name is not None}
    loose = [drive for name, drive in drives if name is None]
    check_names(part, by_name, sockets, drives)
    free = [socket for socket in sockets if socket.id not in by_name]
    pairs = [(socket, by_name[socket.id]) for socket in sockets if socket.id in by_name]
    if len(loose) == 1:
        takers = [s for s in free if plug_fits(loose[0].plug.form, s.form)] or free
        pairs += [(socket, loose[0]) for socket in takers]
    else:
        pairs += zip(free, loose, strict=False)
    if len(loose) > len(free):
        text = f"{part.spec.id} has room for {counted(len(free), 'more part')}, not {len(loose)}"
        raise error_of([Mistake("--with", "", text)])
    for socket, drive in sorted(pairs, key=lambda pair: sockets.index(pair[0])):
        name = drive.id if len(pairs) == 1 else f"{drive.id}.{socket.id}"
        while name in taken:
            name += "+"
        taken.add(name)
        yield plain_part(drive, name), f"{part.id}/{socket.id}"


def check_names(
    part: Part, by_name: dict[str, PartSpec], sockets: Sequence[PartReceptacle], drives: Given
) -> None:
    """Every socket that is named is there, and named once."""
    known = [socket.id for socket in sockets]
    mistakes = [
        Mistake("--with", "", f"{part.spec.id} has no socket {name}{known_names(name, known)}")
        for name in by_name
        if name not in known
    ]
    if drives and not known:
        mistakes = [Mistake("--with", "", f"{part.spec.id} has no socket to put anything in")]
    if len(by_name) < sum(name is not None for name, _ in drives):
        mistakes.append(Mistake("--with", "", "one socket is named twice"))
    if mistakes:
        raise error_of(mistakes)


def plain_part(spec: PartSpec, name: str) -> Part:
    """A part as a part with no wishes; its further plugs are left aside."""
    wish = BuildPart.model_construct(id=name, part=spec.id, required=False)
    return next(iter(parts_of(wish, spec)))


MODULES = {"m2-bm": "m2-m", "m2-ae": "m2-e"}
"""Modules with two notches -> the key of the socket that carriers for them have."""


def with_sockets_for(spec: PartSpec, drives: Sequence[PartSpec]) -> PartSpec:
    """A passive carrier that was written without its sockets: one a link, made for the drives."""
    ends = [link for link in spec.links if not link.to]
    if spec.receptacles or spec.wiring != "passive" or len(ends) != len(spec.links) or not ends:
        return spec
    forms = [drive.plug.form for drive in drives]
    form = MODULES.get(forms[0], forms[0])
    names = [f"socket{number}" for number in range(1, len(ends) + 1)]
    return spec.model_copy(
        update={
            "receptacles": tuple(
                PartReceptacle.model_validate({"id": name, "form": form}) for name in names
            ),
            "links": tuple(
                link.model_copy(update={"to": (name,)})
                for link, name in zip(ends, names, strict=True)
            ),
        }
    )


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
    receptacles = tuple(Receptacle(one.id, MACHINE, True, one) for one in found.receptacles)
    return Problem(
        found.id, (Machine(machine, found, chassis, supply),), (), receptacles, name=found.name
    )


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


def without_wishes(part: Part) -> Part:
    """It sits where it sits; what it moves, and whose it is, still counts."""
    kept = {"id": part.id, "part": part.wish.part, "demand": part.wish.demand}
    wish = type(part.wish).model_construct(**kept, guest=part.wish.guest, required=False)
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
        one for one, receptacle in machine.today.items() if is_on(machine, receptacle, name)
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


def is_on(machine: Problem, receptacle_id: str, name: str) -> bool:
    """Whether a receptacle is on a part, or on what is on it."""
    receptacle = machine.receptacle.get(receptacle_id)
    while receptacle is not None and not receptacle.on_board:
        if receptacle.owner == name:
            return True
        receptacle = machine.receptacle.get(machine.today.get(receptacle.owner, ""))
    return False


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


INLINE = "the part given"
"""What messages call a part that is written on the command line."""


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
    problem = replace(
        machine,
        parts=(*machine.parts, *fresh),
        receptacles=(
            *machine.receptacles,
            *(one for part in fresh for one in receptacles_on(part)),
        ),
    )
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


def part_given(
    argument: str, catalog: Catalog, drives: Sequence[tuple[str | None, PartSpec]] = ()
) -> PartSpec:
    """
    What an argument stands for: a catalog id, a file, or a part written out in YAML.

    `plug: cem x16, links: 4x4` needs neither braces nor an id, nor sockets where `drives` are named
    that go into them. Raises InputError.
    """
    if not is_written_out(argument):
        return catalog.load(argument, PartSpec)
    text = argument.strip()
    if "\n" not in text and not text.startswith("{"):
        text = "{" + text + "}"
    spec = read_inline(with_id(text), PartSpec, INLINE)
    return with_sockets_for(spec, [drive for _, drive in drives]) if drives else spec


def is_written_out(argument: str) -> bool:
    """Ids and paths hold no colon before a space; YAML does."""
    return ": " in argument or argument.lstrip().startswith("{") or "\n" in argument


def with_id(text: str) -> str:
    """The same YAML with an id, if it has none."""
    keys = (line.strip().lstrip("{").strip() for line in text.replace(",", "\n").split("\n"))
    if any(key.startswith("id:") for key in keys):
        return text
    return "{id: part, " + text[1:] if text.startswith("{") else f"id: part\n{text}"


def every_drive(given: Sequence[str], catalog: Catalog) -> Iterator[tuple[str | None, PartSpec]]:
    """`socket=DRIVE` names the socket; `DRIVE` alone leaves it open."""
    for one in given:
        socket, equals, drive = one.partition("=")
        if equals and not is_written_out(socket):
            yield socket.strip(), part_given(drive, catalog)
        else:
            yield None, part_given(one, catalog)
