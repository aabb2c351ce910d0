"""Plan and machine side by side: the pairing, and short ways to ask about both."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property

from slotfit.describe.homes import with_homes
from slotfit.read.merge.machine import MachineSeen, ReceptacleSeen
from slotfit.read.merge.topology import Topology
from slotfit.read.seen import FunctionSeen, LinkSeen
from slotfit.verify.causes import Shown
from slotfit.verify.ends import End, ends_of
from slotfit.verify.match import Matched, Pair, match
from slotfit.verify.places import places_of
from slotfit.verify.planned import Planned, PlannedSeat
from slotfit.verify.siblings import with_siblings
from slotfit.verify.units import Unit, units_of

LONG_WAYS = ("riser", "adapter", "cable")


@dataclass(frozen=True)
class Scene:
    """One machine of a plan, and that machine as it is."""

    planned: Planned
    seen: MachineSeen
    topology: Topology
    units: tuple[Unit, ...]
    places: Mapping[str, tuple[ReceptacleSeen, ...]]
    matched: Matched

    @cached_property
    def seats(self) -> Mapping[str, PlannedSeat]:
        """Item -> its seat."""
        return {seat.item: seat for seat in self.planned.seats}

    @cached_property
    def pair_of(self) -> Mapping[tuple[str, int], Pair]:
        """(Item, first lane) -> its pair."""
        return {(pair.unit.item, pair.unit.link.at): pair for pair in self.matched.pairs}

    @cached_property
    def site_of(self) -> Mapping[int, str]:
        """Receptacle of the machine, by identity -> site of the plan."""
        return {id(one): site for site, group in self.places.items() for one in group}

    @cached_property
    def labels(self) -> Mapping[str, str]:
        """Site -> the printed name."""
        return {site.site: site.label for site in self.planned.sites}

    def label(self, site: str) -> str:
        """What is printed beside a receptacle of the board."""
        return self.labels.get(site, site)

    def where(self, end: End) -> str:
        """The receptacle that something answers in, as the plan calls it if it knows it."""
        if end.receptacle is None:
            return "soldered on" if end.soldered else "a receptacle that is not known"
        site = self.site_of.get(id(end.receptacle))
        return self.label(site) if site else end.receptacle.label

    def chain(self, seat: PlannedSeat) -> Iterator[PlannedSeat]:
        """The parts that hold a seat, the nearest first, down to the board."""
        for _ in range(len(self.planned.seats)):
            holder = self.seats.get(seat.owner)
            if holder is None:
                return
            yield holder
            seat = holder

    def root_seat(self, unit: Unit) -> PlannedSeat:
        """The part in the board's receptacle."""
        return next((one for one in reversed(list(self.chain(unit.seat)))), unit.seat)

    def port_link(self, end: End) -> LinkSeen | None:
        """The link of the port above something that answers."""
        port = self.port(end)
        return port.link if port else None

    def port(self, end: End) -> FunctionSeen | None:
        """The port above something that answers."""
        return self.topology.functions.get(end.part.port) if end.part.port else None

    def shown(self, unit: Unit, end: End | None = None) -> Shown:
        """What is known around a difference."""
        root = self.root_seat(unit)
        way = [unit.seat, *self.chain(unit.seat)]
        split = sum(1 for link in root.links if link.lanes) > 1
        link = end.part.top.link if end else None
        port = self.port_link(end) if end else None
        return Shown(
            setting=unit.seat.setting or root.setting,
            split=split,
            divided=self.divided(unit, root) if split else None,
            port_able=able(port, unit),
            card_able=able(link, unit),
            passive=any(seat.part_class == "carrier" for seat in way),
            long_way=any(seat.part_class in LONG_WAYS for seat in way),
            generation=unit.link.generation or 0,
            plugs=unit.seat.part_class == "accelerator",
        )

    def divided(self, unit: Unit, root: PlannedSeat) -> bool | None:
        """Whether the slot's first port is as narrow as the plan divides it."""
        group = self.places.get(unit.root, ())
        lanes = [port.link.lanes_max for one in group for port in one.ports if port.link]
        first = min(root.links, key=lambda link: link.at)
        return lanes[0] <= first.able_lanes if lanes and lanes[0] else None


def able(link: LinkSeen | None, unit: Unit) -> bool | None:
    """Whether one end of a link can do what was planned."""
    if link is None:
        return None
    pairs = ((link.lanes_max, unit.link.lanes), (link.generation_max, unit.link.generation))
    known = [has >= wants for has, wants in pairs if has is not None and wants is not None]
    return all(known) if known else None


def scene_of(planned: Planned, seen: MachineSeen) -> Scene:
    """The two side by side, everything paired that can be."""
    topology = Topology({one.address: one for one in seen.functions})
    seen, adrift = with_homes(seen, topology)
    units = tuple(units_of(planned))
    places = with_siblings(places_of(planned.sites, seen.receptacles), planned, seen.receptacles)
    ends = ends_of(seen, [part for part, _ in adrift])
    return Scene(planned, seen, topology, units, places, match(units, ends, places))
