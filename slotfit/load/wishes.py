"""The wishes of a build file with every name replaced by the id it means."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.load.complaints import Complaints
from slotfit.load.hints import known_names, listed
from slotfit.load.names import Names, UnknownNameError
from slotfit.model.build import Build, Group
from slotfit.model.build_part import BuildPart
from slotfit.model.entity import Entity

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
