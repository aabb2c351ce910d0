"""What a build file asks for, with every name replaced by the ids it means."""

from __future__ import annotations

import math
from collections.abc import Callable, Iterable, Mapping, Sequence
from dataclasses import dataclass

from slotfit.listing import counted
from slotfit.load.checks import Complaints
from slotfit.load.names import Names, UnknownNameError
from slotfit.load.words import known_names, listed
from slotfit.model.board import LaneGroup
from slotfit.model.build import Build, BuildPart, Copy, Group, Mirror
from slotfit.model.build import Sequence as Asked
from slotfit.model.entity import Entity
from slotfit.model.machine import BuildMachine
from slotfit.model.part import PartSpec
from slotfit.standards.forms import WITHOUT_LANES, plug_fits

Groups = Mapping[str, Mapping[str, LaneGroup]]
"""Machine id -> its board's lane groups by their ids; a machine whose board is wrong is missing."""


@dataclass(frozen=True, slots=True)
class Wishes:
    """Reads names, complaining of those that mean nothing."""

    build: Build
    names: Names
    found: Complaints

    def ids(
        self, entity: Entity, field: str, find: Callable[..., tuple[str, ...]], *named: str | None
    ) -> tuple[str, ...]:
        """What `find` makes of a name; nothing, after complaining, if it means nothing."""
        try:
            return find(*named)
        except UnknownNameError as error:
            self.found.add(entity, field, str(error))
            return ()

    def each(
        self, entity: Entity, field: str, find: Callable[..., tuple[str, ...]], named: Iterable[str]
    ) -> tuple[str, ...]:
        """What a list of names means, each id once, in their order."""
        found: dict[str, None] = {}
        for number, name in enumerate(named):
            found.update(dict.fromkeys(self.ids(entity, f"{field}[{number}]", find, name)))
        return tuple(found)

    def single(
        self, entity: Entity, field: str, find: Callable[..., tuple[str, ...]], *named: str | None
    ) -> str | None:
        """The one thing that is meant here."""
        ids = self.ids(entity, field, find, *named)
        if len(ids) > 1:
            self.found.add(entity, field, f"which of several? write {listed(ids)}")
        return ids[0] if len(ids) == 1 else None

    def wish(self, part: BuildPart) -> BuildPart:
        """A part's wishes with receptacle ids for receptacle names."""

        def receptacles(name: str) -> tuple[str, ...]:
            if name.startswith(f"{part.id}/"):
                raise UnknownNameError("a part cannot sit in itself")
            return self.names.receptacles_named(name, part.machine)

        if part.machine is not None:
            self.ids(part, "machine", self.names.machine_named, part.machine)
        pin = None
        if part.pin is not None and part.count > 1:
            text = f"{part.count} parts cannot share one receptacle; write only: [{part.pin}, ...]"
            self.found.add(part, "pin", text)
        elif part.pin is not None:
            pin = self.single(part, "pin", receptacles, part.pin)
        wished = {
            "pin": pin,
            "only": self.each(part, "only", receptacles, part.only),
            "ban": self.each(part, "ban", receptacles, part.ban),
            "near": None,
        }
        if part.near is not None:
            find = self.names.processor_named
            wished["near"] = self.single(part, "near", find, part.near, part.machine)
        elif part.must_be_near:
            self.found.add(part, "must_be_near", "near which processor? add `near`")
        return part.model_copy(update=wished)

    def machine(self, machine: BuildMachine, today: Mapping[str, str]) -> BuildMachine:
        """A machine with the parts that were in it when it was measured."""
        supplies, measured = machine.supplies, machine.measured
        if supplies and supplies.needed > supplies.fitted:
            text = f"{supplies.needed} are needed, and {supplies.fitted} fitted"
            self.found.add(supplies, "needed", text)
        if measured is None:
            return machine
        if measured.idle_w is None and measured.load_w is None:
            self.found.add(machine, "measured", "nothing was; add `idle_w` or `load_w`")
        elif (measured.idle_w or 0) > (measured.load_w or math.inf):
            text = f"{measured.idle_w:g} W at rest, and {measured.load_w:g} W under load"
            self.found.add(measured, "idle_w", text)
        if measured.with_ is None:
            names = tuple(part for part in today if self.home(part, today) == machine.id)
        else:
            names = self.each(measured, "with", self.names.parts_named, measured.with_)
        return machine.model_copy(update={"measured": measured.model_copy(update={"with_": names})})

    def home(self, part: str, today: Mapping[str, str]) -> str | None:
        """The machine that a part is in today; None if it is in none of this build."""
        for _ in today:
            receptacle = today.get(part)
            if receptacle is None:
                return None
            if (machine := self.names.machine_of(receptacle)) is not None:
                return machine
            part = receptacle.rpartition("/")[0]
        return None

    def group(self, group: Group) -> Group:
        """A group with counted parts spelled out; it takes two for it to mean something."""
        named = [
            self.ids(group, f"parts[{number}]", self.names.parts_named, name)
            for number, name in enumerate(group.parts)
        ]
        members = tuple(dict.fromkeys(part for parts in named for part in parts))
        if all(named) and len(members) < 2:
            self.found.add(group, "parts", "needs at least two parts")
        return group.model_copy(update={"parts": members})

    def air_by(self, machine: BuildMachine) -> tuple[str, ...]:
        """The fans that make a machine's air, counted ones spelled out."""
        return self.each(machine, "air_by", self.names.parts_named, machine.air_by)

    def today(self) -> dict[str, str]:
        """Part -> receptacle, or a receptacle of an old machine as written."""
        sits: dict[str, str] = {}
        taken: dict[str, str] = {}
        for name, place in self.build.today.items():
            path = f"today.{name}"
            part = self.single(self.build, path, self.names.parts_named, name)
            receptacle = self.single(self.build, path, self.names.today_named, place)
            if part is None or receptacle is None:
                continue
            if (other := taken.setdefault(receptacle, part)) != part:
                self.found.add(self.build, path, f"{place} holds {other} already")
            sits[part] = receptacle
        return sits

    def with_unknown(self, today: Mapping[str, str], wanted: Sequence[BuildPart]) -> dict[str, str]:
        """The layout with what is unknown where its pin says: nobody plans to put it there."""
        sits = dict(today)
        for one in wanted:
            if not one.is_unknown or one.pin is None or one.id in sits:
                continue
            if others := [part for part, place in today.items() if place == one.pin]:
                self.found.add(one, "pin", f"{one.pin} holds {others[0]} already")
            sits[one.id] = one.pin
        return sits

    def untouchable(self) -> tuple[str, ...]:
        find = self.names.way_out
        return self.each(self.build, "untouchable", find, self.build.untouchable)

    def retire(self) -> tuple[str, ...]:
        """Machine and part ids."""
        named = self.each(
            self.build, "retire", self.names.machine_or_parts_named, self.build.retire
        )
        if all(machine.id in named for machine in self.build.machines):
            text = "every machine is retired; leave one for the parts to go to"
            self.found.add(self.build, "retire", text)
        return named

    def sequence(self, retired: Sequence[str], today: Mapping[str, str], groups: Groups) -> Asked:
        """The whole key; a file without it asks for nothing special."""
        asked = self.build.sequence
        self.found.unique([(one.id, one) for one in asked.services], "services")
        parts = self.names.parts_named
        services = (
            one.model_copy(update={"needs": self.each(one, "needs", parts, one.needs)})
            for one in asked.services
        )
        return asked.model_copy(
            update={
                "goal": self.goal(asked, retired),
                "copies": tuple(map(self.copy, asked.copies)),
                "services": tuple(services),
                "mirrors": tuple(map(self.mirror, asked.mirrors)),
                "arrivals": self.arrivals(asked, today),
                "settings_today": self.settings(asked, groups),
            }
        )

    def goal(self, asked: Asked, retired: Sequence[str]) -> dict[str, str]:
        """Part -> receptacle, each receptacle once."""
        ends: dict[str, str] = {}
        for name, place in asked.goal.items():
            path = f"goal.{name}"
            part = self.single(asked, path, self.names.parts_named, name)
            receptacle = self.single(asked, path, self.names.receptacles_named, place)
            if part is None or receptacle is None:
                continue
            if gone := [one for one in (part, receptacle.rpartition("/")[0]) if one in retired]:
                text = f"{gone[0]} is retired; it has no place at the end"
                self.found.add(asked, path, text)
            if receptacle in ends.values():
                self.found.add(asked, path, f"{place} is the goal of another part already")
            ends[part] = receptacle
        return ends

    def copy(self, copy: Copy) -> Copy:
        """One copy; a network card only counts over the network."""
        parts = self.names.parts_named
        source = self.each(copy, "from_", parts, copy.from_)
        target = self.each(copy, "to", parts, copy.to)
        if both := [name for name in source if name in target]:
            self.found.add(copy, "to", f"{listed(both)} cannot be copied to itself")
        if copy.through and copy.over == "machine":
            self.found.add(copy, "through", "means something only with `over: network`")
        through = self.each(copy, "through", parts, copy.through)
        return copy.model_copy(update={"from_": source, "to": target, "through": through})

    def mirror(self, mirror: Mirror) -> Mirror:
        """At least two parts, and no more to keep than there are."""
        parts = self.each(mirror, "parts", self.names.parts_named, mirror.parts)
        known = all(name not in self.names.lost for name in mirror.parts)
        if known and len(parts) == 1:
            self.found.add(mirror, "parts", "a mirror has at least two parts")
        if known and len(parts) > 1 and mirror.keep > len(parts):
            text = f"cannot keep {mirror.keep} of {len(parts)} parts"
            self.found.add(mirror, "keep", text)
        return mirror.model_copy(update={"parts": parts})

    def arrivals(self, asked: Asked, today: Mapping[str, str]) -> dict[str, int]:
        """Machine or part -> window; what is there today does not arrive."""
        comes: dict[str, int] = {}
        for name, window in asked.arrivals.items():
            path = f"arrivals.{name}"
            for one in self.ids(asked, path, self.names.machine_or_parts_named, name):
                comes[one] = window
                if (here := self.seen_today(one, today)) is not None:
                    self.found.add(asked, path, f"{here} today, so {one} is there already")
            if window > asked.most_windows:
                text = f"comes after window {asked.most_windows}, the last one; raise most_windows"
                self.found.add(asked, path, text)
        return comes

    def seen_today(self, name: str, today: Mapping[str, str]) -> str | None:
        """What sits in the machine, or where the part sits, today; an old machine counts not."""
        homes = {part: self.names.machine_of(receptacle) for part, receptacle in today.items()}
        if name in self.names.machines:
            inside = [part for part, home in homes.items() if home == name]
            return f"{inside[0]} sits in it" if inside else None
        return f"it sits in {today[name]}" if homes.get(name) is not None else None

    def settings(self, asked: Asked, groups: Groups) -> dict[str, str]:
        """Lane group (`machine/group`) -> arrangement."""
        chosen: dict[str, str] = {}
        for name, way in asked.settings_today.items():
            path = f"settings_today.{name}"
            machine, _, id_ = name.rpartition("/")
            homes = [
                (home, known[id_])
                for home, known in groups.items()
                if id_ in known and machine in (home, "")
            ]
            if len(homes) > 1:
                ways = listed(f"{home}/{id_}" for home, _ in homes)
                self.found.add(asked, path, f"{id_} is on several boards; write {ways}")
            elif not homes and len(groups) == len(self.build.machines):
                known_ones = [f"{home}/{one}" for home, known in groups.items() for one in known]
                text = f"there is no lane group {name}{known_names(name, known_ones)}"
                self.found.add(asked, path, text)
            elif homes:
                home, group = homes[0]
                arrangements = [str(one.id) for one in group.arrangements]
                if way not in arrangements:
                    text = f"{group.id} has no arrangement {way}{known_names(way, arrangements)}"
                    self.found.add(asked, path, text)
                chosen[f"{home}/{group.id}"] = way
        return chosen


def check_wishes(build: Build, parts: Sequence[PartSpec | None], found: Complaints) -> None:
    """Complain of more endpoints than there are, and of a carrier that is to share itself."""
    known: dict[str, PartSpec] = {}
    for wish, part in zip(build.parts, parts, strict=True):
        if part is not None:
            known[wish.id] = part
            check_endpoints(wish, part, found)
            check_mode(wish, part, found)
    for group in build.together:
        if group.by == "carrier":
            check_carried(group, known, found)


def check_endpoints(wish: BuildPart, part: PartSpec, found: Complaints) -> None:
    """No more are asked for than the part has."""
    sockets = [one for one in part.receptacles if one.form not in WITHOUT_LANES]
    has = len(sockets) if part.wiring != "passive" and sockets else len(part.links)
    if wish.endpoints is not None and wish.endpoints > has:
        text = f"{part.id} has {counted(has, 'endpoint')}; write {has} or less"
        found.add(wish, "endpoints", text)


def check_mode(wish: BuildPart, part: PartSpec, found: Complaints) -> None:
    """The firmware of the part has such a mode."""
    has = part.modes or (("plain", "raid") if part.has_modes else ())
    if wish.mode is not None and wish.mode not in has:
        can = f"write {listed(has)}" if has else "leave it out"
        found.add(wish, "mode", f"{part.id} has no mode {wish.mode}; {can}")


def check_carried(group: Group, known: Mapping[str, PartSpec], found: Complaints) -> None:
    """Who takes the others itself is not carried with them."""
    for number, name in enumerate(group.parts):
        others = [one for one in group.parts if one != name and takes(known, name, one)]
        if others:
            text = (
                f"{name} takes {others[0]} itself, so no carrier holds both; leave {name} out here "
                f"and write only: [{name}] at {others[0]}"
            )
            found.add(group, f"parts[{number}]", text)


def takes(known: Mapping[str, PartSpec], name: str, other: str) -> bool:
    """Whether one part has a receptacle for the other."""
    if name not in known or other not in known:
        return False
    plug = known[other].plug.form
    return any(plug_fits(plug, one.form) for one in known[name].receptacles)
