"""What a build file says, short forms spelled out (docs/reference/files.md)."""

from __future__ import annotations

import re
from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field
from functools import cached_property
from itertools import combinations
from typing import Any

Said = Mapping[str, Any]

STAGES = (
    "demand",
    "optional-parts",
    "optional-demand",
    "dark-endpoints",
    "unproven-facts",
    "bandwidth",
    "locality",
    "cooling",
    "moves",
    "reserve",
    "spare-lanes",
)

FORM_LANES = {"cem": 16, "m2-m": 4, "m2-b": 2, "u2": 4, "u3": 4, "sata": 1, "sas": 2}
FORM_LANES |= {"sff-8643": 4, "slimsas-4": 4, "slimsas-8": 8, "mcio-4": 4, "mcio-8": 8}
"""Lanes of the widest of a form, from the table of forms; those that these builds have."""

FITS = {
    "m2-bm": {"m2-m", "m2-b"},
    "sata": {"sata", "sas", "u2", "u3"},
    "sas": {"sas", "u2", "u3"},
    "u3": {"u2", "u3"},
    "opening": {"opening", "cem"},
}
"""Plug -> receptacles that it goes into, where those are not of its own form alone."""


@dataclass(frozen=True)
class Link:
    """Lanes of a plug that lead to one thing."""

    at: int
    lanes: int
    generation: int | None
    bus: str
    to: tuple[str, ...]


@dataclass(frozen=True)
class Part:
    """One plug to seat: a part, or a further connection of one."""

    id: str
    said: Said
    wish: Said
    form: str
    width: int | None
    links: tuple[Link, ...]
    whole: str
    """The part itself; its own id unless this is a further connection."""
    extra: Said | None = None

    @property
    def companion(self) -> bool:
        return self.extra is not None

    @property
    def wiring(self) -> str:
        return str(self.said.get("wiring", "passive"))

    @property
    def sockets(self) -> list[Said]:
        return [one for one in self.said.get("receptacles", []) if one["form"] != "cooling-mount"]

    @property
    def ends(self) -> list[Link]:
        """Links that end in the part."""
        return [link for link in self.links if not link.to]

    @property
    def demand(self) -> tuple[int, int] | None:
        """What is said of it, in MB/s in and out."""
        if self.companion:
            return None
        asked = self.wish.get("demand", self.said.get("demand"))
        if asked is None:
            return None
        if not isinstance(asked, Mapping):
            asked = {"in_gb_s": asked, "out_gb_s": asked}
        return round(asked.get("in_gb_s", 0) * 1000), round(asked.get("out_gb_s", 0) * 1000)


@dataclass(frozen=True)
class Site:
    """A receptacle, as a build file names it."""

    id: str
    own: str
    machine: str | None
    """Of a receptacle on a board."""
    part: str | None
    """That it is on, if it is on none of the boards."""
    said: Said


@dataclass(frozen=True)
class Way:
    """One arrangement of a lane group."""

    gives: dict[str, list[Any]]
    said: Said


@dataclass(frozen=True)
class Group:
    """Lanes that are divided together."""

    id: str
    machine: str
    source: str | None
    generation: int | None
    bus: str
    ways: tuple[Way, ...]
    open: bool
    """Nobody has said how else its lanes can be divided."""


def links_of(written: Any, generation: int | None) -> tuple[Link, ...]:
    """Links of a plug; generation of the part unless a link says its own."""
    if isinstance(written, str):
        written = run_of(written)
    return tuple(
        Link(
            one.get("at", 0),
            one["lanes"],
            one.get("generation", generation),
            one.get("bus", "pcie"),
            tuple(one.get("to", ())),
        )
        for one in written or ()
    )


def run_of(written: str) -> list[Said]:
    """`x8x8`, `4x4`: links side by side."""
    count, _, rest = written.partition("x")
    widths = [int(rest)] * int(count) if count else widths_of(written)
    return [{"at": sum(widths[:n]), "lanes": lanes} for n, lanes in enumerate(widths)]


def widths_of(label: str) -> list[int]:
    return [int(one) for one in re.findall(r"\d+", label)]


def plug_of(written: Any) -> tuple[str, int | None]:
    if isinstance(written, str):
        form, _, width = written.partition(" x")
        return form, int(width) if width else None
    return written["form"], written.get("width")


def parts_of(wish: Said, said: Said) -> Iterator[Part]:
    """All plugs of one entry under `parts`."""
    count = wish.get("count", 1)
    for number in range(1, count + 1):
        name = wish["id"] if count == 1 else f"{wish['id']}-{number}"
        form, width = plug_of(said["plug"])
        links = links_of(said.get("links"), said.get("generation"))
        yield Part(name, said, wish, form, width, links, name)
        for extra in said.get("extra_plugs", ()):
            form, width = plug_of(extra["plug"])
            generation = extra.get("generation", said.get("generation"))
            further = links_of(extra.get("links"), generation)
            yield Part(f"{name}:{extra['id']}", said, wish, form, width, further, name, extra)


@dataclass(frozen=True)
class Build:
    """Machines, parts and wishes."""

    said: Said
    parts: dict[str, Part]
    sites: dict[str, Site]
    groups: dict[str, Group]
    """`machine/group` -> the group."""
    group_of: dict[str, str] = field(default_factory=dict)
    """Board receptacle -> its lane group."""

    @property
    def stages(self) -> tuple[str, ...]:
        return tuple(self.said.get("preferences", STAGES))

    @property
    def retired(self) -> set[str]:
        return set(self.said.get("retire", ()))

    @property
    def today(self) -> Mapping[str, str]:
        return dict(self.said.get("today", {}))

    @cached_property
    def machines(self) -> dict[str, Said]:
        return {one["id"]: one for one in self.said["machines"]}

    def board(self, machine: str) -> Said:
        board: Said = self.machines[machine]["board"]
        return board

    def hubs(self, machine: str) -> dict[str, Said]:
        return {hub["id"]: hub for hub in self.board(machine).get("hubs", ())}

    def fitted(self, machine: str) -> set[str]:
        every = [one["id"] for one in self.board(machine)["processors"]]
        return set(self.machines[machine].get("processors", every))

    def processor(self, machine: str, source: str | None) -> str | None:
        """The processor at the upper end of a receptacle's lanes."""
        while source in self.hubs(machine):
            source = self.hubs(machine)[source]["from"]
        return source

    @cached_property
    def feeding(self) -> set[str]:
        """Switches and controllers on which some other part of the build could sit."""
        return {name for name in self.parts if self.can_bear(name)}

    def can_bear(self, name: str) -> bool:
        part = self.parts[name]
        if part.wiring == "passive" or part.companion:
            return False
        open_to = [part]
        seen = {name}
        while open_to:
            below = open_to.pop()
            forms = {one["form"] for one in below.sockets}
            for other in self.parts.values():
                if other.id in seen or other.whole == name or not goes(other.form, forms):
                    continue
                if not (other.wiring == "passive" and other.sockets):
                    return True
                seen.add(other.id)
                open_to.append(other)
        return False


def goes(plug: str, forms: set[str]) -> bool:
    return bool(FITS.get(plug, {plug}) & forms)


def build_of(said: Said) -> Build:
    """A build with boards and parts written out."""
    parts = {
        part.id: part for wish in said.get("parts", ()) for part in parts_of(wish, wish["part"])
    }
    several = len(said["machines"]) > 1
    build = Build(said, parts, {}, {})
    for machine in said["machines"]:
        add_board(build, machine, several=several)
    for part in parts.values():
        for one in () if part.companion else part.said.get("receptacles", ()):
            name = f"{part.id}/{one['id']}"
            build.sites[name] = Site(name, one["id"], None, part.id, one)
    return build


def add_board(build: Build, machine: Said, *, several: bool) -> None:
    name, board = machine["id"], machine["board"]
    spelled = {
        group["id"]: spelled_out(name, board, group) for group in board.get("lane_groups", ())
    }
    build.groups.update({f"{name}/{id_}": group for id_, group in spelled.items()})
    for one in board["receptacles"]:
        site = f"{name}/{one['id']}" if several else one["id"]
        build.sites[site] = Site(site, one["id"], name, None, one)
        for id_, group in spelled.items():
            if any(one["id"] in way.gives for way in group.ways):
                build.group_of[site] = f"{name}/{id_}"
        if site not in build.group_of and one["form"] != "opening":
            key = f"{name}/{one['id']}"
            build.group_of[site] = key
            build.groups[key] = short_form(name, board, one)
    for one in places_of(machine.get("chassis") or {}):
        site = f"{name}/{one}" if several else one
        build.sites[site] = Site(site, one, name, None, {"id": one, "form": "mounting-place"})


def places_of(chassis: Said) -> Iterator[str]:
    """Places of a chassis that are no slot, several alike by number."""
    for one in chassis.get("places", ()):
        count = one.get("count", 1)
        yield from [one["id"]] if count == 1 else (f"{one['id']}-{n + 1}" for n in range(count))


def source_of(board: Said, said: Said) -> str | None:
    if "from" in said:
        return str(said["from"])
    return board["processors"][0]["id"] if len(board["processors"]) == 1 else None


def spelled_out(machine: str, board: Said, group: Said) -> Group:
    ways = tuple(Way(one["gives"], one) for one in group["arrangements"])
    return Group(
        group["id"],
        machine,
        source_of(board, group),
        group.get("generation"),
        group.get("bus", "pcie"),
        ways,
        open=False,
    )


def short_form(machine: str, board: Said, one: Said) -> Group:
    """The lane group that `from`, `lanes` and `splits` are short for."""
    lanes = one.get("lanes", one.get("width", FORM_LANES.get(one["form"], 0)))
    bus = one.get("bus", "sata" if one["form"] == "sata" else "pcie")
    ways = tuple(ways_of(one, lanes)) or (Way({one["id"]: [lanes]} if lanes else {}, {}),)
    source = source_of(board, one)
    generation = one.get("generation")
    open_ = one.get("splits") is None
    return Group(one["id"], machine, source, generation, bus, ways, open=open_)


def ways_of(one: Said, lanes: int) -> Iterator[Way]:
    """Each split, in the slot's own order; in both orders where nobody has said it."""
    for split in one.get("splits") or ():
        said = {"split": split} if isinstance(split, str) else dict(split)
        widths = widths_of(said["split"])
        for order in orders(widths, one):
            yield Way({one["id"]: order}, said | {"lanes": lanes})


def orders(widths: list[int], one: Said) -> list[list[int]]:
    """A label's widths from lane 0 of the slot up."""
    if widths == widths[::-1]:
        return [widths]
    label, reverse = one.get("label_order"), one.get("reversed")
    if label is None or reverse is None:
        return [widths, widths[::-1]]
    return [widths if (label == "low-first") != reverse else widths[::-1]]


def pairs(things: list[str]) -> list[tuple[str, str]]:
    return list(combinations(sorted(things), 2))
