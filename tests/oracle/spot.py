"""What a part finds where it sits: lanes, speed, processor, shared links, isolation, air."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass, field, replace

from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup, Processor
from slotfit.model.part import PartReceptacle
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.standards.forms import FORMS, WITHOUT_LANES
from tests.oracle.lanes import Contacts, Lane, laid_out, piece_at, row_of, through, width_of


@dataclass(frozen=True)
class Spot:
    """A receptacle as it is under one arrangement, with every part below it in its place."""

    machine: Machine
    receptacle: Receptacle
    root: Receptacle
    contacts: Contacts = field(default_factory=dict)
    generation: int | None = None
    """Of the port; None if nobody has said."""
    at_most: int | None = None
    """What the copper below passes; None if nothing limits it."""
    copper: tuple[str, ...] = ()
    """Passive parts below that make one channel, innermost first."""
    nobody_rated: tuple[str, ...] = ()
    """Of the parts that lanes pass since a port made them, those of unknown quality."""
    processor: str | None = None
    group: LaneGroup | None = None
    way: Arrangement | None = None
    shared: tuple[str, ...] = ()
    """Links shared with others, nearest first: part ids, then `machine/hub`."""
    isolation: str | None = None
    alone: bool = False
    """No other receptacle of the board is in that isolation group."""
    isolators: tuple[str, ...] = ()
    """What must keep guests apart for the isolation to hold, and nobody has said that it does."""
    owners: tuple[str, ...] = ()
    """Parts below, innermost first."""
    on_cable: bool = False
    in_cage: bool = False
    """In a bay that a part below brought along."""
    source: str = ""
    """Who makes the lanes: a switch or controller below, else the board's receptacle."""
    limits: tuple[str, ...] = ()
    """Receptacles of stated power that what sits here draws through."""
    plugged_at: str = ""
    """Part below whose own plugs feed what sits here."""
    riser_positions: int | None = None
    """Length of the slot row of the part that the receptacle is on."""

    @property
    def absent(self) -> bool:
        """The processor that the lanes come from is not fitted."""
        return self.processor is not None and self.processor not in fitted(self.machine)

    @property
    def form(self) -> str:
        """The receptacle's form."""
        return self.receptacle.spec.form

    def lanes_of(self, part: Part) -> list[int]:
        """Lanes that each link of the part trains at here."""
        return [
            width_of(link, piece_at(link, self.contacts, self.form)) for link in part.spec.links
        ]

    def air_lfm(self) -> float | None:
        """Air that moves here: the receptacle's word, the machine's, the chassis'."""
        chassis = self.machine.chassis
        if self.form == "mounting-place":
            return self.receptacle.spec.airflow_lfm  # the fans' figures are for the slots
        for lfm in (self.receptacle.spec.airflow_lfm, self.machine.entry.airflow_lfm):
            if lfm is not None:
                return lfm
        return chassis.airflow_lfm if chassis else None

    def in_bay(self, part: Part) -> bool:
        """The part is screwed into a bay, to which a cable leads from here."""
        return self.on_cable and part.spec.bay is not None

    def air_for(self, part: Part) -> float | None:
        """Air over the part: over the bays if it is in one."""
        if not self.in_bay(part):
            return self.air_lfm()
        return self.machine.chassis.bay_airflow_lfm if self.machine.chassis else None


def screwed_down(part: Part, spot: Spot) -> Part:
    """On a tray or wall a part has all its watts from its plugs."""
    power = part.spec.power
    if spot.form != "mounting-place" or power is None or not power.aux_away:
        return part
    said = None not in (power.slot_w, power.aux_w if power.aux else 0)
    watts = (power.slot_w or 0) + (power.aux_w or 0) if said else None
    plugged = {"slot_w": 0, "aux": power.aux_away, "aux_w": watts}
    spec = part.spec.model_copy(update={"power": power.model_copy(update=plugged)})
    return replace(part, spec=spec)


def as_fed(parts: Mapping[str, Part], spots: Mapping[str, Spot]) -> dict[str, Part]:
    """The parts, those on a tray or wall as they are fed there."""
    return dict(parts) | {name: screwed_down(parts[name], spot) for name, spot in spots.items()}


def fitted(machine: Machine) -> set[str]:
    said = machine.entry.processors
    return {one.id for one in machine.board.processors} if said is None else set(said)


def first_socket(machine: Machine) -> Processor:
    """The first by name, as sockets are numbered here: cpu2 before cpu10."""
    return min(machine.board.processors, key=lambda one: (len(one.id), one.id))


def empty_first(machine: Machine) -> bool:
    """Whether the first socket is empty."""
    return first_socket(machine).id not in fitted(machine)


def group_at(machine: Machine, receptacle: str) -> LaneGroup | None:
    """The lane group that can give lanes to a receptacle of the board."""
    for group in machine.board.lane_groups:
        if any(receptacle in way.gives for way in group.arrangements):
            return group
    return None


def as_built(machine: Machine, group: LaneGroup) -> LaneGroup:
    """The group with the divisions that are there with what is in the socket and the firmware."""
    ways = [way for way in group.arrangements if not lacks(machine, group, way)]
    unsure = machine.entry.firmware is None and is_fed(machine, group)
    # What the board does by itself is what surely is there.
    ways.sort(key=lambda way: bool(unsure and way.needs and way.needs.firmware))
    return group.model_copy(update={"arrangements": tuple(ways)})


def is_fed(machine: Machine, group: LaneGroup) -> bool:
    """Whether the processor that the lanes come from is there, as far as anyone has said."""
    socket = climb(machine, group.from_)[1]
    return socket is None or socket in fitted(machine)


def lacks(machine: Machine, group: LaneGroup, way: Arrangement) -> bool:
    """Whether the division needs another processor than sits there, or a later firmware."""
    if way.needs is None:
        return False
    socket, said = climb(machine, group.from_)[1], machine.entry.processors
    if not is_fed(machine, group):
        return False
    named = said.get(socket or "") if isinstance(said, dict) else None
    if way.needs.processor is not None and named and named not in way.needs.processor:
        return True
    firmware, needed = machine.entry.firmware, way.needs.firmware
    if firmware is None or needed is None:
        return False
    return [int(n) for n in firmware.split(".")] < [int(n) for n in needed.split(".")]


def climb(machine: Machine, from_: str | None) -> tuple[tuple[str, ...], str | None]:
    """Hubs on the way up, nearest first, and the processor at the top; None: nobody has said."""
    hubs = {hub.id: hub.from_ for hub in machine.board.hubs}
    met: tuple[str, ...] = ()
    while from_ is not None and from_ in hubs:
        met, from_ = (*met, f"{machine.id}/{from_}"), hubs[from_]
    return met, from_


def on_board(problem: Problem, receptacle: Receptacle, way_id: str | None) -> Spot:
    """A receptacle of a board."""
    machine = next(machine for machine in problem.machines if machine.id == receptacle.owner)
    spec = receptacle.spec
    if spec.form == "mounting-place":
        return Spot(machine, receptacle, receptacle, source=receptacle.id)
    assert isinstance(spec, BoardReceptacle)
    same = [one.isolation for one in machine.board.receptacles].count(spec.isolation)
    same += [one.isolation for one in machine.board.devices or ()].count(spec.isolation)
    bare = Spot(
        machine,
        receptacle,
        receptacle,
        source=receptacle.id,
        isolation=f"{machine.id}/{spec.isolation}" if spec.isolation else None,
        alone=spec.isolation is not None and same == 1,
        limits=stated(receptacle),
    )
    group = group_at(machine, spec.id)
    if group is None:
        return replace(bare, processor=climb(machine, spec.from_)[1])
    way = next(way for way in group.arrangements if way.id == way_id)
    hubs, processor = climb(machine, group.from_)
    spot = replace(
        bare,
        processor=processor,
        group=as_built(machine, group),
        way=way,
        shared=hubs,
        on_cable=spec.form in ("sata", "sas"),
    )
    given = () if spot.absent else way.gives.get(spec.id, ())
    port = f"{machine.id}/{group.id}/{spec.id}"
    contacts = laid_out(port, group.bus, given, spec.form)
    foreign = contacts and all(lane.bus != group.bus for lane in contacts.values())
    # A generation counts within its bus: that of PCIe lanes says nothing of SATA ones.
    return replace(spot, contacts=contacts, generation=None if foreign else group.generation)


def stated(receptacle: Receptacle) -> tuple[str, ...]:
    """The receptacle, if anyone has said what it supplies."""
    return (receptacle.id,) if receptacle.spec.power_w is not None else ()


def on_part(part: Part, receptacle: Receptacle, below: Spot) -> Spot:
    """A receptacle of a part that sits at `below`."""
    spec, part_spec = receptacle.spec, part.spec
    assert isinstance(spec, PartReceptacle)
    by_cable = below.on_cable or part_spec.part_class == "cable"
    has_plugs = part_spec.power is not None and bool(part_spec.power.aux)
    plain = "" if part_spec.part_class == "cable" else below.plugged_at
    spot = replace(
        below,
        receptacle=receptacle,
        plugged_at=part.id if has_plugs else plain,
        limits=(*stated(receptacle), *(() if by_cable or has_plugs else below.limits)),
        owners=(part.id, *below.owners),
        on_cable=by_cable,
        in_cage=bool(part_spec.own_bays),
        contacts={},
        riser_positions=part_spec.row_positions,
    )
    if spec.form in WITHOUT_LANES:
        return spot
    if part_spec.wiring == "passive":
        return copper(part, spec, spot, below)
    if not any(below.lanes_of(part)):
        return spot
    lanes = spec.lanes or FORMS[spec.form].max_lanes or 1
    own = spec.generation or (part_spec.generation if spec.bus == "pcie" else None)
    row, port = row_of(spec.form, spec.bus), f"{part.id}/{spec.id}"
    spot = replace(
        spot,
        contacts={(row, n): Lane(port, n, spec.bus) for n in range(lanes)},
        generation=own,
        at_most=None,
        copper=(),
        nobody_rated=(),
        shared=(part.id, *below.shared),
        source=part.id,
    )
    return isolated_by_switch(part, spec, spot) if part_spec.wiring == "switch" else spot


def copper(part: Part, receptacle: PartReceptacle, spot: Spot, below: Spot) -> Spot:
    """A receptacle that the lanes below reach through a passive part."""
    wires = [link for link in part.spec.links if receptacle.id in link.to]
    ratings = [wire.generation or part.spec.generation or receptacle.generation for wire in wires]
    limits = [below.at_most, receptacle.generation if wires else None, *ratings]
    contacts = through(wires, below.contacts, below.form, receptacle.form)
    spot = replace(
        spot,
        contacts=contacts,
        at_most=min((limit for limit in limits if limit is not None), default=None),
        copper=(part.id, *(() if part.spec.retimer else below.copper)),
        nobody_rated=(*([part.id] if None in ratings else []), *below.nobody_rated),
    )
    ports = {lane.port for lane in below.contacts.values()}
    if below.alone and len(ports) > 1 and wires:
        # Each port of a divided slot may keep its guests apart from those of the others.
        says = getattr(below.root.spec, "isolates_guests", None)
        if says is False:
            return replace(spot, alone=False)
        return replace(
            spot,
            isolation=f"{below.isolation} lane {wires[0].at}",
            isolators=below.isolators if says else (*below.isolators, below.root.id),
        )
    return spot


def isolated_by_switch(part: Part, receptacle: PartReceptacle, spot: Spot) -> Spot:
    """Each port of a switch is an isolation group of its own, unless it is said not to be."""
    isolates = part.spec.isolates_guests
    if not spot.alone:
        return spot
    if isolates is False:
        return replace(spot, alone=False)
    return replace(
        spot,
        isolation=f"{spot.isolation} {part.id}/{receptacle.id}",
        isolators=spot.isolators if isolates else (*spot.isolators, part.id),
    )
