"""What is plugged into network ports: the modules a build names, and where their cables lead."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slotfit.listing import counted
from slotfit.load.checks import Complaints
from slotfit.load.words import known_names
from slotfit.model.build import Build, BuildPart
from slotfit.model.part import PartSpec
from slotfit.model.ports import PortEnd
from slotfit.standards.cages import CAGES

Modules = Mapping[tuple[str, str], PartSpec]
"""Part id of the file and port -> the module or cable named there."""


def with_ends(wish: BuildPart, modules: Modules) -> BuildPart:
    """A part with its modules as they are described, and their watts as far as they are known."""
    if not wish.ends:
        return wish
    ends = {
        port: end.model_copy(update={"by": modules.get((wish.id, port))})
        for port, end in wish.ends.items()
    }
    draws = [end.by.draw_w for end in ends.values() if end.by is not None]
    return wish.model_copy(update={"ends": ends, "modules_w": sum(draws) if draws else None})


def check_ends(
    build: Build, specs: Mapping[str, PartSpec | None], modules: Modules, found: Complaints
) -> None:
    """Complain of ports that are not there, of ends that lead nowhere, of what is no module."""
    found.unique([(one.id, one) for one in build.outside], "outside ends")
    names = {*(one.id for one in build.machines), *(one.id for one in build.parts)}
    for one in build.outside:
        if one.id in names:
            found.add(one, "id", f"a machine or part is called {one.id} too; rename one")
    check_far_ends(build, found)
    for wish in build.parts:
        check_part(wish, specs.get(wish.id), found)
        for port, end in wish.ends.items():
            check_to(build, specs, (wish, port, end), found)
            check_module(end, modules.get((wish.id, port)), found)


def check_part(wish: BuildPart, spec: PartSpec | None, found: Complaints) -> None:
    """Each end is at a port of this one part, and watts are told once."""
    if wish.ends and wish.count > 1:
        found.add(wish, "ends", f"{wish.count} parts have ends of their own; list them one by one")
    if wish.modules_w is not None and any(end.by is not None for end in wish.ends.values()):
        found.add(wish, "modules_w", "`ends` names modules, whose watts count; leave this out")
    if spec is None:
        return
    for port in wish.ends if spec.port else ():
        found.name(wish, f"ends.{port}", port, spec.port, "port")
    if isinstance(spec.ports, int) and len(wish.ends) > spec.ports:
        text = f"{spec.id} has {counted(spec.ports, 'port')}, and {len(wish.ends)} ends are written"
        found.add(wish, "ends", text)


def check_to(
    build: Build,
    specs: Mapping[str, PartSpec | None],
    at: tuple[BuildPart, str, PortEnd],
    found: Complaints,
) -> None:
    """An end leads to something of the build, and not back into its own port."""
    wish, own, end = at
    part, slash, port = end.to.partition("/")
    places = {*(one.id for one in build.outside), *(one.id for one in build.machines)}
    if not slash and end.to not in places:
        text = f"there is no outside end or machine {end.to} (list it under `outside`, or write "
        found.add(end, "to", f"{text}part/port){known_names(end.to, places)}")
    elif slash and found.name(end, "to", part, [one.id for one in build.parts], "part"):
        spec = specs.get(part)
        if spec is not None and spec.port:
            found.name(end, "to", port, spec.port, "port")
        elif spec is not None and spec.ports == 0:
            found.add(end, "to", f"{part} has no port for a network cable; name one that has")
        if (part, port) == (wish.id, own):
            found.add(end, "to", "a cable does not lead back into its own port")


def check_far_ends(build: Build, found: Complaints) -> None:
    """A port takes one cable, and what its own end says agrees with who leads to it."""
    machines = [one.id for one in build.machines]
    told = {f"{wish.id}/{port}": end for wish in build.parts for port, end in wish.ends.items()}
    first: dict[str, str] = {}
    for own, end in told.items():
        back = told.get(end.to)
        if back is not None and back.to not in (own, *machines):
            found.add(end, "to", f"{end.to} itself leads to {back.to}; write `to: {own}` there")
        elif "/" in end.to and first.setdefault(end.to, own) != own:
            text = f"{end.to} is at the end of {first[end.to]} already; a port takes one cable"
            found.add(end, "to", text)


def check_module(end: PortEnd, module: PartSpec | None, found: Complaints) -> None:
    """What is plugged in is made for some cage."""
    if module is not None and module.plug.form not in CAGES:
        text = f"{module.id} goes into no network port: its plug is {module.plug.form}"
        found.add(end, "by", text)


def ends_of(wish: BuildPart) -> Iterator[tuple[str, PortEnd]]:
    """The ends at which a module or cable is named."""
    yield from ((port, end) for port, end in wish.ends.items() if end.by is not None)
