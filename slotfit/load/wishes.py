"""The `retire` and `sequence` keys of a build file with every name replaced by the ids it means."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slotfit.listing import counted
from slotfit.load.checks import Complaints
from slotfit.load.names import Names, UnknownNameError
from slotfit.load.words import known_names, listed
from slotfit.model.board import LaneGroup
from slotfit.model.build import Build, BuildPart, Copy, Group, Mirror, Service
from slotfit.model.build import Sequence as Asked
from slotfit.model.entity import Entity
from slotfit.model.part import Part
from slotfit.standards.forms import plug_fits

WAYS_OUT = ("machine", "board", "processors", "buy")
"""Words of `untouchable` beside part ids."""


class Wishes:
    """Reads names, complaining of those that mean nothing."""

    def __init__(self, names: Names, found: Complaints) -> None:
        self.names = names
        self.found = found

    def sites(self, part: BuildPart, field: str, name: str) -> tuple[str, ...]:
        """The sites a name means; none, after complaining, if it means nothing."""
        if name.startswith(f"{part.id}/"):
            self.found.add(part, field, "a part cannot sit in itself")
            return ()
        try:
            return self.names.sites_named(name, part.machine)
        except UnknownNameError as error:
            self.found.add(part, field, str(error))
            return ()

    def items(self, entity: Entity, field: str, name: str) -> tuple[str, ...]:
        """The items a part's name means; none, after complaining, if it means nothing."""
        try:
            return self.names.items_named(name)
        except UnknownNameError as error:
            self.found.add(entity, field, str(error))
            return ()

    def machine_or_items(self, entity: Entity, field: str, name: str) -> tuple[str, ...]:
        """The machine or the items a name means; none, after complaining, if it means nothing."""
        if name in self.names.machines:
            return (name,)
        try:
            return self.names.items_named(name)
        except UnknownNameError:
            known = known_names(name, [*self.names.machines, *self.names.counted])
            self.found.add(entity, field, f"there is no machine or part {name}{known}")
            return ()

    def single(self, entity: Entity, field: str, named: Sequence[str]) -> str | None:
        """One thing is meant here."""
        if len(named) > 1:
            self.found.add(entity, field, f"which of several? write {listed(named)}")
        return named[0] if len(named) == 1 else None

    def wish(self, part: BuildPart) -> BuildPart:
        """A part's wishes with site ids for receptacle names."""
        self.check_machine(part)
        return part.model_copy(
            update={
                "pin": self.pin(part),
                "only": self.several(part, "only", part.only),
                "ban": self.several(part, "ban", part.ban),
                "near": self.near(part),
            }
        )

    def check_machine(self, part: BuildPart) -> None:
        if part.machine is None:
            return
        try:
            self.names.machine_named(part.machine)
        except UnknownNameError as error:
            self.found.add(part, "machine", str(error))

    def pin(self, part: BuildPart) -> str | None:
        if part.pin is None:
            return None
        if part.count > 1:
            text = f"{part.count} parts cannot share one receptacle; write only: [{part.pin}, ...]"
            self.found.add(part, "pin", text)
            return None
        return self.single(part, "pin", self.sites(part, "pin", part.pin))

    def several(self, part: BuildPart, field: str, names: Sequence[str]) -> tuple[str, ...]:
        sites = (
            site
            for number, name in enumerate(names)
            for site in self.sites(part, f"{field}[{number}]", name)
        )
        return tuple(dict.fromkeys(sites))

    def near(self, part: BuildPart) -> str | None:
        if part.near is None:
            if part.must_be_near:
                self.found.add(part, "must_be_near", "near which processor? add `near`")
            return None
        try:
            return self.names.processor_named(part.near, part.machine)
        except UnknownNameError as error:
            self.found.add(part, "near", str(error))
            return None

    def group(self, group: Group) -> Group:
        """A group with counted parts spelled out; it takes two for it to mean something."""
        named = [
            self.items(group, f"parts[{number}]", name) for number, name in enumerate(group.parts)
        ]
        members = tuple(dict.fromkeys(item for items in named for item in items))
        if all(named) and len(members) < 2:
            self.found.add(group, "parts", "needs at least two parts")
        return group.model_copy(update={"parts": members})

    def today(self, build: Build) -> dict[str, str]:
        """Item -> site, or a receptacle of an old machine as written."""
        sits: dict[str, str] = {}
        taken: dict[str, str] = {}
        for name, place in build.today.items():
            path = f"today.{name}"
            item = self.single(build, path, self.items(build, path, name))
            site = self.single(build, path, self.place_today(build, path, place))
            if item is None or site is None:
                continue
            if (other := taken.setdefault(site, item)) != item:
                self.found.add(build, path, f"{place} holds {other} already")
            sits[item] = site
        return sits

    def receptacle(self, entity: Entity, path: str, place: str) -> tuple[str, ...]:
        """The sites a name means, all of this build; none, after complaining, if there are none."""
        try:
            return self.names.sites_named(place)
        except UnknownNameError as error:
            self.found.add(entity, path, str(error))
            return ()

    def place_today(self, build: Build, path: str, place: str) -> tuple[str, ...]:
        try:
            return self.names.today_named(place)
        except UnknownNameError as error:
            self.found.add(build, path, str(error))
            return ()

    def untouchable(self, build: Build) -> tuple[str, ...]:
        kept: list[str] = []
        for number, name in enumerate(build.untouchable):
            try:
                kept += self.names.way_out(name, WAYS_OUT)
            except UnknownNameError as error:
                self.found.add(build, f"untouchable[{number}]", str(error))
        return tuple(dict.fromkeys(kept))


NOT_SEEN = ("cooling-mount", "opening")
"""Receptacles in which nothing comes alive."""


def check_wishes(build: Build, parts: Sequence[Part | None], found: Complaints) -> None:
    """Complain of more endpoints than there are, and of a carrier that is to share itself."""
    known: dict[str, Part] = {}
    for wish, part in zip(build.parts, parts, strict=True):
        if part is not None:
            known[wish.id] = part
            check_endpoints(wish, part, found)
    for group in build.together:
        if group.by == "carrier":
            check_carried(group, known, found)


def check_endpoints(wish: BuildPart, part: Part, found: Complaints) -> None:
    """No more are asked for than the part has."""
    sockets = [one for one in part.receptacles if one.form not in NOT_SEEN]
    has = len(sockets) if part.wiring != "passive" and sockets else len(part.links)
    if wish.endpoints is not None and wish.endpoints > has:
        text = f"{part.id} has {counted(has, 'endpoint')}; write {has} or less"
        found.add(wish, "endpoints", text)


def check_carried(group: Group, known: Mapping[str, Part], found: Complaints) -> None:
    """Who takes the others itself is not carried with them."""
    for number, name in enumerate(group.parts):
        others = [one for one in group.parts if one != name and takes(known, name, one)]
        if others:
            text = (
                f"{name} takes {others[0]} itself, so no carrier holds both; leave {name} out here "
                f"and write only: [{name}] at {others[0]}"
            )
            found.add(group, f"parts[{number}]", text)


def takes(known: Mapping[str, Part], name: str, other: str) -> bool:
    """Whether one part has a receptacle for the other."""
    if name not in known or other not in known:
        return False
    plug = known[other].plug.form
    return any(plug_fits(plug, one.form) for one in known[name].receptacles)


Groups = Mapping[str, Mapping[str, LaneGroup]]
"""Machine id -> its board's lane groups by their ids; a machine whose board is wrong is missing."""


@dataclass(frozen=True)
class Sequences:
    """Reads what a build says of the way to its goal, complaining of what cannot be meant."""

    build: Build
    wishes: Wishes
    today: Mapping[str, str]
    groups: Groups

    def retire(self) -> tuple[str, ...]:
        """Machine and item ids."""
        named: list[str] = []
        for number, name in enumerate(self.build.retire):
            named += self.wishes.machine_or_items(self.build, f"retire[{number}]", name)
        if all(machine.id in named for machine in self.build.machines):
            text = "every machine is retired; leave one for the parts to go to"
            self.wishes.found.add(self.build, "retire", text)
        return tuple(dict.fromkeys(named))

    def sequence(self, retired: Sequence[str]) -> Asked:
        """The whole key; a file without it asks for nothing special."""
        asked = self.build.sequence
        self.wishes.found.unique([(one.id, one) for one in asked.services], "services")
        return asked.model_copy(
            update={
                "goal": self.goal(asked, retired),
                "copies": tuple(map(self.copy, asked.copies)),
                "services": tuple(map(self.service, asked.services)),
                "mirrors": tuple(map(self.mirror, asked.mirrors)),
                "arrivals": self.arrivals(asked),
                "settings_today": self.settings(asked),
            }
        )

    def items(self, entity: Entity, field: str, names: Iterable[str]) -> list[str]:
        """Item ids, each once, in the order named."""
        found: dict[str, None] = {}
        for number, name in enumerate(names):
            found.update(dict.fromkeys(self.wishes.items(entity, f"{field}[{number}]", name)))
        return list(found)

    def goal(self, asked: Asked, retired: Sequence[str]) -> dict[str, str]:
        """Item -> site, each site once."""
        ends: dict[str, str] = {}
        for name, place in asked.goal.items():
            path = f"goal.{name}"
            item = self.wishes.single(asked, path, self.wishes.items(asked, path, name))
            site = self.wishes.single(asked, path, self.wishes.receptacle(asked, path, place))
            if item is None or site is None:
                continue
            owner = site.rpartition("/")[0]
            if item in retired or owner in retired:
                text = (
                    f"{item if item in retired else owner} is retired; it has no place at the end"
                )
                self.wishes.found.add(asked, path, text)
            if site in ends.values():
                self.wishes.found.add(asked, path, f"{place} is the goal of another part already")
            ends[item] = site
        return ends

    def copy(self, copy: Copy) -> Copy:
        """One copy; a network card only counts over the network."""
        source = self.items(copy, "from_", copy.from_)
        target = self.items(copy, "to", copy.to)
        if both := [name for name in source if name in target]:
            self.wishes.found.add(copy, "to", f"{listed(both)} cannot be copied to itself")
        if copy.through and copy.over == "machine":
            self.wishes.found.add(copy, "through", "means something only with `over: network`")
        through = tuple(self.items(copy, "through", copy.through))
        made = {"from_": tuple(source), "to": tuple(target), "through": through}
        return copy.model_copy(update=made)

    def service(self, service: Service) -> Service:
        return service.model_copy(
            update={"needs": tuple(self.items(service, "needs", service.needs))}
        )

    def mirror(self, mirror: Mirror) -> Mirror:
        """At least two parts, and no more to keep than there are."""
        parts = self.items(mirror, "parts", mirror.parts)
        known = all(name not in self.wishes.names.lost for name in mirror.parts)
        if known and parts and len(parts) < 2:
            self.wishes.found.add(mirror, "parts", "a mirror has at least two parts")
        if known and len(parts) > 1 and mirror.keep > len(parts):
            text = f"cannot keep {mirror.keep} of {len(parts)} parts"
            self.wishes.found.add(mirror, "keep", text)
        return mirror.model_copy(update={"parts": tuple(parts)})

    def arrivals(self, asked: Asked) -> dict[str, int]:
        """Machine or item -> window; what is there today does not arrive."""
        comes: dict[str, int] = {}
        for name, window in asked.arrivals.items():
            path = f"arrivals.{name}"
            for one in self.wishes.machine_or_items(asked, path, name):
                comes[one] = window
                if (here := self.seen_today(one)) is not None:
                    self.wishes.found.add(asked, path, f"{here} today, so {one} is there already")
            if window > asked.most_windows:
                text = f"comes after window {asked.most_windows}, the last one; raise most_windows"
                self.wishes.found.add(asked, path, text)
        return comes

    def seen_today(self, name: str) -> str | None:
        """What sits in the machine, or where the item sits, today; an old machine counts not."""
        if name in self.wishes.names.machines:
            inside = [i for i, site in self.today.items() if self.machine_of(site) == name]
            return f"{inside[0]} sits in it" if inside else None
        site = self.today.get(name)
        here = site is not None and self.machine_of(site) is not None
        return f"it sits in {site}" if here else None

    def machine_of(self, site: str) -> str | None:
        """The machine on whose board a site is; None on a part or an old machine."""
        owner, slash, _ = site.rpartition("/")
        machines = self.wishes.names.machines
        if not slash:
            return next(iter(machines))
        return owner if owner in machines else None

    def settings(self, asked: Asked) -> dict[str, str]:
        """Lane group (`machine/group`) -> arrangement."""
        chosen: dict[str, str] = {}
        for name, way in asked.settings_today.items():
            path = f"settings_today.{name}"
            homes = self.homes_of(asked, path, name)
            if len(homes) != 1:
                continue
            machine, group = homes[0]
            ways = [str(one.id) for one in group.arrangements]
            if way not in ways:
                text = f"{group.id} has no arrangement {way}{known_names(way, ways)}"
                self.wishes.found.add(asked, path, text)
            chosen[f"{machine}/{group.id}"] = way
        return chosen

    def homes_of(self, asked: Asked, path: str, name: str) -> list[tuple[str, LaneGroup]]:
        """Machine and lane group that `machine/group` or `group` means; it should be one."""
        machine, _, id_ = name.rpartition("/")
        homes = [
            (home, groups[id_])
            for home, groups in self.groups.items()
            if id_ in groups and machine in (home, "")
        ]
        if len(homes) > 1:
            text = f"{id_} is on several boards; write {listed(f'{h}/{id_}' for h, _ in homes)}"
            self.wishes.found.add(asked, path, text)
        elif not homes and len(self.groups) == len(self.build.machines):
            known = [f"{home}/{one}" for home, groups in self.groups.items() for one in groups]
            text = f"there is no lane group {name}{known_names(name, known)}"
            self.wishes.found.add(asked, path, text)
        return homes
