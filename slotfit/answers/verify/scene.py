"""One machine of a plan and that machine as it is, side by side."""

from __future__ import annotations

from collections.abc import Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.read.layout import with_homes
from slotfit.answers.verify.causes import CauseEvidence
from slotfit.answers.verify.lineup import Lineup, Places, behind_switch, lineup_of
from slotfit.answers.verify.match import (
    End,
    Matched,
    Pair,
    Unit,
    ends_of,
    match,
    places_of,
    units_of,
)
from slotfit.answers.verify.planned import MachinePlan, own_links
from slotfit.read.machine import MachineSeen, ReceptacleSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import FunctionSeen, LinkSeen, PciAddress


def with_siblings(
    places: Mapping[str, ReceptacleSeen],
    planned: MachinePlan,
    everyone: Sequence[ReceptacleSeen],
) -> Places:
    """Id -> its receptacle, and the ports after it that nobody else has, one a planned link."""
    claimed = {id(one) for one in places.values()}
    links = {
        seat.site: sum(1 for link in seat.links if link.trains.lanes) for seat in planned.seats
    }
    found: dict[str, tuple[ReceptacleSeen, ...]] = {}
    for receptacle, one in places.items():
        wanted = links.get(receptacle, 1) - len(one.ports)
        more = _following(one, everyone, claimed)[: max(wanted, 0)] if one.ports else []
        claimed |= {id(other) for other in more}
        found[receptacle] = (one, *more)
    return found


def _following(
    one: ReceptacleSeen, everyone: Sequence[ReceptacleSeen], claimed: set[int]
) -> list[ReceptacleSeen]:
    """Receptacles that only their port shows, right after this one's ports on the same bus."""
    last = max(port.address for port in one.ports)
    beside = sorted(
        (other for other in everyone if len(other.ports) == 1 and other is not one),
        key=lambda other: other.ports[0].address,
    )
    found: list[ReceptacleSeen] = []
    for other in beside:
        address = other.ports[0].address
        if (address.domain, address.bus) != (last.domain, last.bus) or address <= last:
            continue
        if other.records or id(other) in claimed or address.device > last.device + len(found) + 1:
            break
        found.append(other)
    return found


LONG_WAYS = ("riser", "adapter", "cable")


@dataclass(frozen=True)
class Scene:
    """One machine of a plan, and that machine as it is."""

    planned: MachinePlan
    seen: MachineSeen
    topology: Topology
    units: tuple[Unit, ...]
    places: Places
    lineups: Mapping[str, Lineup]
    matched: Matched

    @cached_property
    def pair_of(self) -> Mapping[tuple[str, int], Pair]:
        """(Part, first lane) -> its pair."""
        return {(pair.unit.part, pair.unit.link.at): pair for pair in self.matched.pairs}

    @cached_property
    def receptacle_of(self) -> Mapping[int, str]:
        """Receptacle of the machine, by identity -> receptacle of the plan."""
        return {id(one): receptacle for receptacle, group in self.places.items() for one in group}

    @cached_property
    def labels(self) -> Mapping[str, str]:
        """Receptacle -> the printed name."""
        return {receptacle.site: receptacle.label for receptacle in self.planned.on_board}

    @property
    def all_lineups(self) -> tuple[Lineup, ...]:
        """Parts of which the sockets have an order, with it."""
        return tuple(self.lineups.values())

    @property
    def all_sockets(self) -> frozenset[str]:
        """Sockets that the order of ports tells apart."""
        return frozenset(site for one in self.lineups.values() for site in one.sockets)

    @cached_property
    def socket_ports(self) -> Mapping[str, PciAddress]:
        """Socket of a part -> the port that should lead to it."""
        return ports_of(self.lineups)

    def label(self, receptacle: str) -> str:
        """What is printed beside a receptacle of the board."""
        return self.labels.get(receptacle, receptacle)

    def where(self, end: End) -> str:
        """The receptacle that something answers in, as the plan calls it if it knows it."""
        if end.receptacle is None:
            return "soldered on" if end.soldered else "a receptacle that is not known"
        receptacle = self.receptacle_of.get(id(end.receptacle))
        return self.label(receptacle) if receptacle else end.receptacle.label

    def root_seat(self, unit: Unit) -> PlannedSeat:
        """The part in the board's receptacle."""
        return self.way(unit)[-1]

    def way(self, unit: Unit) -> list[PlannedSeat]:
        """The part and what holds it, down to the board."""
        return [unit.seat, *self.planned.holders(unit.seat)]

    def stack(self, root: str) -> list[Unit]:
        """A part in a receptacle of the board, with everything on it."""
        return [unit for unit in self.units if self.root_seat(unit).item == root]

    def port_link(self, end: End) -> LinkSeen | None:
        """The link of the port above something that answers."""
        port = self.port(end)
        return port.link if port else None

    def port(self, end: End) -> FunctionSeen | None:
        """The port above something that answers."""
        return self.topology.functions.get(end.part.port) if end.part.port else None

    def ports_at(self, receptacle: str) -> list[FunctionSeen]:
        """The ports of a receptacle of the plan, in the order of their lanes."""
        group = self.places.get(receptacle, ())
        return sorted((port for one in group for port in one.ports), key=lambda one: one.address)

    def port_for(self, unit: Unit) -> FunctionSeen | None:
        """The port that a part should answer below."""
        if address := self.socket_ports.get(unit.seat.site):
            return self.topology.functions.get(address)
        ports = self.ports_at(unit.root)
        return ports[0] if len(ports) == 1 or (unit.seat.depth == 0 and ports) else None

    def present(self, port: FunctionSeen | None) -> bool | None:
        """
        Whether a slot's contact says that something is plugged in; None: nobody says.

        A contact that denies what answers right below it tells nothing, nor do those beside it.
        """
        if port is None or not port.slot_implemented:
            return None
        beside = [one for one in self.topology.by_bus[port.address.domain, port.address.bus]
                  if one.address.device == port.address.device]  # fmt: skip
        wrong = any(one.card_present is False and self.topology.below(one) for one in beside)
        return None if wrong else port.card_present

    def shown(self, unit: Unit, end: End | None = None) -> CauseEvidence:
        """What is known around a difference."""
        root, way = self.root_seat(unit), self.way(unit)
        split = sum(1 for link in root.links if link.trains.lanes) > 1
        port = self.port(end) if end else self.port_for(unit)
        stack = self.stack(root.item)
        answer = [one for one in stack if (one.part, one.link.at) in self.pair_of]
        none_answers = not answer and end is None
        return CauseEvidence(
            setting=unit.seat.setting or root.setting,
            split=split,
            divided=self.divided(root) if split else None,
            cut=not split and self.is_cut(root),
            shared=self.is_shared(root.site),
            all_gone=none_answers and any(self.is_first(one, root) for one in stack),
            port_able=able(port.link, unit) if end and port else None,
            card_able=able(end.part.top.link, unit) if end else None,
            present=None if end else self.present(port),
            perhaps_in=self.perhaps_in() if none_answers else None,
            passive=any(seat.part_class == "carrier" for seat in way),
            long_way=any(seat.part_class in LONG_WAYS for seat in way),
            generation=unit.link.trains.generation or 0,
            plugs=unit.seat.part_class == "accelerator",
        )

    def is_first(self, unit: Unit, root: PlannedSeat) -> bool:
        """Whether a part hangs on the slot's first lane, which has a link however it is divided."""
        lineup = self.lineups.get(root.item)
        return lineup is None or unit.seat.site == lineup.sockets[0]

    def divided(self, root: PlannedSeat) -> bool | None:
        """Whether the slot's ports are as narrow as the plan divides it."""
        lineup = self.lineups.get(root.item)
        ports = [self.topology.functions.get(lineup.ports[site]) if site in lineup.ports else None
                 for site in lineup.sockets] if lineup else self.ports_at(root.site)  # fmt: skip
        links = sorted((one for one in root.links if one.trains.lanes), key=lambda one: one.at)
        known = [
            port.link.lanes_max <= link.able.lanes
            for port, link in zip(ports, links, strict=False)
            if port and port.link and port.link.lanes_max
        ]
        return all(known) if known else None

    def is_cut(self, root: PlannedSeat) -> bool:
        """Whether a slot that the plan has whole shows several ports."""
        group = self.places.get(root.site, ())
        ports = self.ports_at(root.site)
        if len(group) != 1 or not ports:
            return False
        claimed = {id(one) for group in self.places.values() for one in group}
        beside = _following(group[0], self.seen.receptacles, claimed)
        return len(ports) > 1 or any(
            one.ports[0].address.device == ports[0].address.device for one in beside
        )

    def is_shared(self, receptacle: str) -> bool:
        """Whether the plan's board gives these lanes to another receptacle too."""
        group = {one.site: one.group for one in self.planned.on_board}
        own = group.get(receptacle)
        return own is not None and sum(one == own for one in group.values()) > 1

    def perhaps_in(self) -> str | None:
        """A receptacle, empty in the plan, in which something is plugged in that is silent."""
        taken = {seat.site for seat in self.planned.seats}
        for one in self.seen.receptacles:
            site = self.receptacle_of.get(id(one))
            if not one.parts and site not in taken and any(map(self.present, one.ports)):
                return self.label(site) if site else one.label
        return None


def able(link: LinkSeen | None, unit: Unit) -> bool | None:
    """Whether one end of a link can do what was planned."""
    if link is None:
        return None
    pairs = (
        (link.lanes_max, unit.link.trains.lanes),
        (link.generation_max, unit.link.trains.generation),
    )
    known = [has >= wants for has, wants in pairs if has is not None and wants is not None]
    return all(known) if known else None


def ports_of(lineups: Mapping[str, Lineup]) -> dict[str, PciAddress]:
    """Socket of a part -> the port that should lead to it."""
    return {site: port for one in lineups.values() for site, port in one.ports.items()}


def lineups_of(planned: MachinePlan, places: Places, topology: Topology) -> dict[str, Lineup]:
    """Part on the board -> the order of its sockets, where it has several."""
    found = {}
    for seat in planned.seats:
        if seat.depth:
            continue
        inside = [part for one in places.get(seat.site, ()) for part in one.parts]
        if own_links(seat):
            switches = [part for part in inside if part.kind in ("switch", "carrier")]
            one = switches[0] if len(switches) == 1 else None
            lineup = behind_switch(planned, seat, one, topology) if one else None
        else:
            lineup = lineup_of(planned, seat, places)
        if lineup:
            found[seat.item] = lineup
    return found


def scene_of(planned: MachinePlan, seen: MachineSeen) -> Scene:
    """The two side by side, everything paired that can be."""
    topology = Topology({one.address: one for one in seen.functions})
    seen, adrift = with_homes(seen, topology)
    units = tuple(units_of(planned))
    places = with_siblings(places_of(planned.on_board, seen.receptacles), planned, seen.receptacles)
    ends = ends_of(seen, [part for part, _ in adrift])
    lineups = lineups_of(planned, places, topology)
    matched = match(units, ends, places, ports_of(lineups))
    return Scene(planned, seen, topology, units, places, lineups, matched)
