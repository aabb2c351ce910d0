"""The `retire` and `sequence` keys of a build file with every name replaced by the ids it means."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from dataclasses import dataclass

from slotfit.load.hints import known_names, listed
from slotfit.load.wishes import Wishes
from slotfit.model.board import LaneGroup
from slotfit.model.build import Build
from slotfit.model.entity import Entity
from slotfit.model.sequence import Copy, Mirror, Service
from slotfit.model.sequence import Sequence as Asked

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
