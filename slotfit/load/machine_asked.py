"""The machine a question is about: a board alone, or a build file with today's layout."""

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Any, NamedTuple

from slotfit.errors import Mistake
from slotfit.load.catalog import Catalog, is_path
from slotfit.load.hints import known_names
from slotfit.load.report import error_of
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, Machine, PowerSupply
from slotfit.model.problem import Item, Problem, Rig, Site

MACHINE = "machine"
"""What a machine is called that is only a board."""


class Around(NamedTuple):
    """What the command line says of the machine around a board."""

    chassis: str | None = None
    power_supply: str | None = None
    processors: tuple[str, ...] | None = None
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


def machine_asked(board: str, around: Around, catalog: Catalog) -> tuple[Problem, Problem | None]:
    """
    The machine with what sits in it today, and the build it comes from, if any.

    `board` is a catalog id, a board's file, or a build file. Raises InputError.
    """
    if not is_build(board):
        if around.machine is not None:
            text = f"{board} is one board; --machine is for build files with several machines"
            raise error_of([Mistake("--machine", "", text)])
        return alone(board, around, catalog), None
    from slotfit.load.build_file import load_build  # noqa: PLC0415 - not needed for a board

    if said := around.said():
        text = f"{board} is a build file and says so itself; leave the option out"
        raise error_of([Mistake(name, "", text) for name in said])
    build = load_build(Path(board), catalog)
    return as_today(build, around.machine), build


def is_build(argument: str) -> bool:
    """Whether a path leads to a build file: it lists machines."""
    if not is_path(argument):
        return False
    from slotfit.load.written import Map  # noqa: PLC0415
    from slotfit.load.yaml_file import read_yaml  # noqa: PLC0415

    root: Any = read_yaml(Path(argument)).root
    return isinstance(root, Map) and (root.get("kind") == "build" or "machines" in root)


def alone(board: str, around: Around, catalog: Catalog) -> Problem:
    """One board with nothing in it."""
    found = catalog.given(board, Board, "the board given")
    chassis = catalog.load(around.chassis, Chassis) if around.chassis else None
    supply = catalog.load(around.power_supply, PowerSupply) if around.power_supply else None
    machine = Machine.model_construct(id=MACHINE, board=found.id, processors=fitted(around, found))
    sites = tuple(Site(one.id, MACHINE, True, one) for one in found.receptacles)
    return Problem(found.id, (Rig(machine, found, chassis, supply),), (), sites, name=found.name)


def fitted(around: Around, board: Board) -> tuple[str, ...] | None:
    """The processors named, all of them on the board."""
    known = [one.id for one in board.processors]
    wrong = [name for name in around.processors or () if name not in known]
    if wrong:
        raise error_of(
            Mistake("--processors", "", f"{board.id} has no {name}{known_names(name, known)}")
            for name in wrong
        )
    return around.processors


def as_today(build: Problem, machine: str | None) -> Problem:
    """What sits in the machine, or in one of several, today; nobody's wishes count."""
    if machine is not None and machine not in build.rig:
        text = f"there is no machine {machine}{known_names(machine, build.rig)}"
        raise error_of([Mistake("--machine", "", text)])
    rigs = tuple(rig for rig in build.rigs if machine in (None, rig.id))
    home = {item.id: home_of(build, item.id) for item in build.items}
    here = [item for item in build.items if home[item.id] in {rig.id for rig in rigs}]
    # A machine and a part may bear one name.
    owners = {(True, rig.id) for rig in rigs} | {(False, item.id) for item in here}
    return replace(
        build,
        rigs=rigs,
        items=tuple(map(without_wishes, here)),
        sites=tuple(site for site in build.sites if (site.on_board, site.owner) in owners),
        together=(),
        apart=(),
        retire=(),
        today={item.id: build.today[item.id] for item in here},
    )


def home_of(build: Problem, item: str) -> str | None:
    """The machine an item sits in today; None if it sits in none of this build."""
    for _ in range(len(build.items) + 1):
        site = build.site.get(build.today.get(item, ""))
        if site is None:
            return None
        if site.on_board:
            return site.owner
        item = site.owner
    return None


def without_wishes(item: Item) -> Item:
    """It sits where it sits; what it moves, and whose it is, still counts."""
    kept = {"id": item.id, "part": item.wish.part, "demand": item.wish.demand}
    wish = type(item.wish).model_construct(**kept, guest=item.wish.guest, required=False)
    return item._replace(wish=wish)


class TakenOut(NamedTuple):
    """The machine without one of the build's parts, the part, and what sits on it today."""

    machine: Problem
    item: Item
    drives: tuple[tuple[Item, str], ...]
    """Each with the site it sits in."""


def taken_out(machine: Problem, build: Problem, name: str) -> TakenOut:
    """A part of the build by its id, in hand with what sits on it. KeyError if there is none."""
    gone = {name} | {one for one, site in machine.today.items() if is_on(machine, site, name)}
    held = [item for item in machine.items if item.id in gone - {name}]
    bare = replace(
        machine,
        items=tuple(one for one in machine.items if one.id not in gone),
        sites=tuple(s for s in machine.sites if s.on_board or s.owner not in gone),
        today={one: site for one, site in machine.today.items() if one not in gone},
    )
    drives = tuple((item, machine.today[item.id]) for item in held)
    return TakenOut(bare, without_wishes(build.item[name]), drives)


def is_on(machine: Problem, site_id: str, name: str) -> bool:
    """Whether a site is on an item, or on what is on it."""
    site = machine.site.get(site_id)
    while site is not None and not site.on_board:
        if site.owner == name:
            return True
        site = machine.site.get(machine.today.get(site.owner, ""))
    return False


def loaded_with(out: TakenOut, build: Problem, given: Sequence[str]) -> TakenOut:
    """
    A part of the build with other parts of the build on it, each `SOCKET=PART`.

    They are taken out of the machine with what sits on them. Raises InputError.
    """
    placed: list[tuple[Item, str]] = []
    mistakes: list[Mistake] = []
    machine = out.machine
    for one in given:
        socket, _, name = (word.strip() for word in one.partition("="))
        if name not in build.item:
            text = f"{name or one} is no part of the build; name its parts as SOCKET=PART"
            mistakes.append(Mistake("--with", "", text + known_names(name, build.item)))
        elif f"{out.item.id}/{socket}" not in build.site:
            mistakes.append(Mistake("--with", "", f"{out.item.id} has no socket {socket}"))
        else:
            further = taken_out(machine, build, name)
            machine = further.machine
            placed += [(further.item, f"{out.item.id}/{socket}"), *further.drives]
    if mistakes:
        raise error_of(mistakes)
    return TakenOut(machine, out.item, tuple(placed))


def names_own(build: Problem, given: Sequence[str]) -> bool:
    """Whether parts of the build are named rather than of the catalog."""
    return any(one.partition("=")[2].strip() in build.item for one in given)
