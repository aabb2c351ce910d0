"""The receptacles of the board: which are described, and what is known of each."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence
from dataclasses import dataclass, replace

from slotfit.answers.read.yaml_text import Ids, Places, Sourced, assumed, clean, slug
from slotfit.read.designation import hints_of
from slotfit.read.machine import MachineSeen, PartSeen, ReceptacleSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.receptacles import is_of_an_old_bus
from slotfit.read.seen import FunctionSeen
from slotfit.read.soldered import may_be_soldered
from slotfit.standards import pci_regs as regs
from slotfit.standards.cem import CONNECTOR_LANES
from slotfit.standards.forms import FORMS
from slotfit.standards.pci_regs import ACS_ISOLATING
from slotfit.standards.pcie import GENERATIONS

_SAME = ("cem", "m2-a", "m2-b", "m2-e", "m2-m", "u2", "ocp3-sff", "ocp3-lff")
_BY_WIDTH = {
    "mcio": ("mcio-4", "mcio-8", "mcio-16"),
    "slimsas": ("slimsas-4", "slimsas-8"),
    "oculink": ("oculink-4",),
}
_LIKELIEST = {
    "edsff-e1": ("e1s", "the code means E1.S and E1.L alike"),
    "edsff-e3": ("e3s", "the code means E3.S and E3.L alike"),
    "bay": ("u2", "a place for a drive; which connector it has, nothing says"),
    "cxl": ("cem", "such a slot has the connector of a card edge slot"),
}
_SAYS_NOTHING = (None, "unknown", "other", "proprietary")


def form_of(
    seen: ReceptacleSeen, lanes: int | None, parts: tuple[PartSeen, ...]
) -> Sourced[str] | None:
    """
    The form to write, without a basis where the receptacle's own word is taken.

    None for a form that slotfit does not describe (older buses, soldered modules).
    """
    said = seen.form
    if said in _SAME:
        return Sourced(str(said), "")
    if said in _BY_WIDTH:
        return _by_width(_BY_WIDTH[str(said)], lanes)
    if said in _LIKELIEST:
        return assumed(*_LIKELIEST[str(said)])
    if said in _SAYS_NOTHING and (parts or (seen.ports and not seen.records)):
        return _by_content(lanes, parts)
    return None


def _by_width(forms: tuple[str, ...], lanes: int | None) -> Sourced[str]:
    """The smallest connector of its family that carries the lanes."""
    if lanes is None:
        return assumed(forms[0], "the width is not said, and it decides")
    room = (form for form in forms if FORMS[form].max_lanes >= lanes)
    return Sourced(next(room, forms[-1]), "")


def _by_content(lanes: int | None, parts: tuple[PartSeen, ...]) -> Sourced[str]:
    drive = bool(parts) and all(part.main.class_code == regs.CLASS_NVME for part in parts)
    widths = [part.top.link.lanes_max or 0 for part in parts if part.top.link]
    narrow = max(widths, default=lanes or 0) <= FORMS["m2-m"].max_lanes
    if drive and narrow and len(parts) == 1 and (lanes or 0) <= FORMS["m2-m"].max_lanes:
        return assumed("m2-m", "nothing names the connector; a drive of four lanes sits in it")
    return assumed("cem", "nothing names the connector")


def connector_for(lanes: int) -> int:
    """The smallest card edge connector with so many lanes; the largest if none has."""
    return next((size for size in CONNECTOR_LANES if size >= lanes), CONNECTOR_LANES[-1])


def room_of(form: str) -> int:
    """Lanes a receptacle of the form can have at most."""
    return FORMS[form].max_lanes


def isolation_of(
    name: str, seen: ReceptacleSeen, topology: Topology, places: Places
) -> Sourced[str] | None:
    """
    The word for its group: that of what sits in it, else its port's if that must be shared.

    A port that keeps what is below it apart gives an empty receptacle a group of its own. None if
    the system has no groups.
    """
    for part in seen.parts:
        for function in every_function(part):
            if function.iommu_group is not None:
                basis = f"group of {function.address}, {places.at(function.where)}"
                return Sourced(f"group{function.iommu_group}", basis)
    port = seen.ports[0] if seen.ports else None
    if port is None or port.iommu_group is None:
        return None
    # Access control as Linux 6.12 asks for it (drivers/iommu/iommu.c, REQ_ACS_FLAGS).
    way_up = [port, *topology.chain(port.address)]
    if all(frozenset(step.acs_enabled or ()) >= ACS_ISOLATING for step in way_up):
        return Sourced(name, f"port {port.address} keeps apart what is below it")
    if any(step.acs_enabled is None and step.acs_capable is None for step in way_up):
        return None
    basis = f"group of port {port.address}, which does not keep apart what is below it"
    return Sourced(f"group{port.iommu_group}", basis)


def every_function(part: PartSeen) -> list[FunctionSeen]:
    """Functions of a part and of what is in it, bridges last."""
    own = [*part.functions, *(seen for inner in part.inside for seen in every_function(inner))]
    return sorted(own, key=lambda seen: (bool(seen.is_bridge), seen.address))


MOST_GENERATIONS = max(GENERATIONS)
MOST_W = 10_000
NOTHING_SAYS_THE_KIND = (
    "nothing says which connector it is: look, and write it into board.yaml if it takes parts"
)


@dataclass(frozen=True, slots=True)
class BoardSlot:
    """
    One receptacle of the board as it will be written; None is not known.

    `sure` False: only its port shows it, so that what is in it may be soldered on. `aside`: written
    as a comment. `split`: the widths of its ports as they are divided now, if there are several.
    """

    id: str
    label: str
    seen: ReceptacleSeen
    parts: tuple[PartSeen, ...]
    form: Sourced[str]
    width: Sourced[int] | None = None
    lanes: Sourced[int] | None = None
    generation: Sourced[int] | None = None
    power_w: Sourced[float] | None = None
    isolation: Sourced[str] | None = None
    split: tuple[int, ...] = ()
    sure: bool = True
    aside: bool = False
    remarks: tuple[str, ...] = ()

    @property
    def holds_unknown(self) -> bool:
        """Whether something is in it, and nothing says what."""
        return bool(self.seen.occupied.value) and not self.parts and not self.aside

    @property
    def perhaps_in_use(self) -> bool:
        """Whether one source calls it in use, and a better one empty."""
        occupied = self.seen.occupied
        return occupied.value is False and any(one.value for one in occupied.claims)


@dataclass(frozen=True, slots=True)
class Omitted:
    """A receptacle that is not described, and why."""

    label: str
    why: str


def slots_of(
    seen: MachineSeen, topology: Topology, places: Places
) -> tuple[tuple[BoardSlot, ...], tuple[Omitted, ...]]:
    """Every receptacle that can be described, in the order in which it was found; and the rest."""
    table = any(one.records and one.form in (None, "cem", "m2-m") for one in seen.receptacles)
    slots: list[BoardSlot] = []
    omitted: list[Omitted] = []
    called = _names(seen.receptacles)
    for one in seen.receptacles:
        why = why_omitted(one, seen.receptacles, topology)
        form = form_of(one, one.lanes.value, one.parts)
        if why or form is None:
            omitted.append(Omitted(clean(one.label), why or ""))
            continue
        known = BoardSlot(called[id(one)], clean(one.label), one, one.parts, form)
        slots.append(_with_facts(known, topology, places, table=table))
    for port, below in seen.leading_out:
        devices = sum(not one.is_bridge for one in below)
        behind = f"; {devices} devices on the cable are no parts of the build" if devices else ""
        omitted.append(Omitted(str(port.address), f"it leads out of the case{behind}"))
    return tuple(slots), tuple(omitted)


def _names(receptacles: Sequence[ReceptacleSeen]) -> dict[int, str]:
    """Ids: `slot3` after the number in the name where no other has it, else after the name."""
    ids = Ids(("machine",))
    numbers = Counter(hints_of(one.label).number for one in receptacles if one.records)
    found: dict[int, str] = {}
    for one in receptacles:
        number = hints_of(one.label).number if one.records else None
        plain = number is not None and numbers[number] == 1 and one.form in (None, "cem")
        stem = "slot" if one.records or one.label.isdecimal() else "port"
        found[id(one)] = ids.new(
            f"slot{number}" if plain else slug(one.label.partition(" (")[0] or one.label, stem)
        )
    return found


def why_omitted(
    one: ReceptacleSeen, everyone: Sequence[ReceptacleSeen], topology: Topology
) -> str | None:
    """Why a receptacle is not described; None if it is."""
    if hints_of(one.label).not_a_slot and one.records and one.form not in ("m2-a", "m2-e"):
        return "its name says that it is no slot for cards"
    if one.records and hints_of(one.label).mezzanine and one.form in (*_SAYS_NOTHING, "cem", "pci"):
        return "a mezzanine, of which nothing says the kind"
    below = {seen.address for port in one.ports for seen in topology.all_below(port)}
    inner = [
        clean(other.label, 40)
        for other in everyone
        if other is not one and any(port.address in below for port in other.ports)
    ]
    if inner:
        return f"what sits in it leads to {', '.join(inner[:6])}, which are described instead"
    if form_of(one, one.lanes.value, one.parts) is None:
        if one.form in _SAYS_NOTHING:
            return NOTHING_SAYS_THE_KIND
        return f"a receptacle of form {one.form}"
    return None


def _with_facts(slot: BoardSlot, topology: Topology, places: Places, *, table: bool) -> BoardSlot:
    """The slot with everything that is known of it."""
    seen = slot.seen
    lanes, remarks = _lanes(slot, places)
    split = _split(seen, room_of(slot.form.value))
    if split and (lanes is None or sum(split) > lanes.value):
        lanes = Sourced(sum(split), "the widths of its ports as they are divided now")
    generation = places.told(seen.generation)
    if generation and generation.value > MOST_GENERATIONS:
        generation = None
    return replace(
        slot,
        lanes=lanes,
        width=_width(slot, lanes, places),
        generation=generation,
        power_w=_power(slot, places),
        isolation=isolation_of(slot.id, seen, topology, places),
        split=split,
        sure=bool(seen.records) or not (table or may_be_soldered(slot.parts)),
        aside=table and not seen.records and not slot.parts and not seen.occupied.value,
        remarks=(*remarks, *_remarks(slot, table=table)),
    )


def _lanes(slot: BoardSlot, places: Places) -> tuple[Sourced[int] | None, tuple[str, ...]]:
    """The wired lanes, unless the form has no room for them or the table denies them."""
    told = places.told(slot.seen.lanes)
    room = room_of(slot.form.value)
    if told is None or told.value not in regs.LEGAL_LANES:
        return None, ()
    if told.value > room:
        text = f"lanes: {told.value} said ({told.basis}), and the form has {room}: left open"
        return None, (text,)
    unusable = slot.seen.usable.value is False and slot.seen.processor.value is None
    if unusable and not slot.parts:
        text = (
            f"lanes: {told.value} ({told.basis}), but the table says that it cannot be used as the "
            "machine is now (a processor that is missing, lanes given to a neighbour): left open"
        )
        return None, (text,)
    return told, ()


def _width(slot: BoardSlot, lanes: Sourced[int] | None, places: Places) -> Sourced[int] | None:
    """The connector's size: as said, but never smaller than what is wired to it or sits in it."""
    if slot.form.value != "cem":
        return None
    said = places.told(slot.seen.shape_lanes)
    told = Sourced(connector_for(said.value), said.basis) if said else None
    least: list[tuple[int, str]] = []
    if lanes:
        least.append((connector_for(lanes.value), "so many lanes are wired to it"))
    held = max((part.top.link.lanes_max or 0 for part in slot.parts if part.top.link), default=0)
    if held and len(slot.parts) == 1:
        least.append((connector_for(held), f"a part with a link of {held} lanes sits in it"))
    for size, why in sorted(least):
        if told is None or size > told.value:
            against = f"; not {told.value} ({told.basis})" if told and said else ""
            told = Sourced(size, f"at least: {why}{against}", assumed=told is None)
    return told


def _split(seen: ReceptacleSeen, room: int) -> tuple[int, ...]:
    """Widths of its ports in bus order, where there are several, each known, and room for all."""
    ports = sorted(seen.ports, key=lambda port: port.address)
    widths = [port.link.lanes_max or 0 for port in ports if port.link]
    known = len(widths) == len(ports) > 1 and all(width in regs.LEGAL_LANES for width in widths)
    return tuple(widths) if known and sum(widths) <= room else ()


def _power(slot: BoardSlot, places: Places) -> Sourced[float] | None:
    """What the port says, where something sits below it: firmware leaves defaults at empty ones."""
    seen = slot.seen
    if not slot.parts or not seen.power_w or not 0 < seen.power_w <= MOST_W:
        return None
    port = next(port for port in seen.ports if port.slot_power_w)
    return Sourced(
        seen.power_w, f"slot power limit of port {port.address}, {places.at(port.where)}"
    )


def _remarks(slot: BoardSlot, *, table: bool) -> Iterator[str]:
    seen = slot.seen
    if not seen.records:
        yield (
            "no slot record names it, only its port shows it: whether this is a slot, and which "
            "connector it has, is to be seen on the board"
            if table
            else "only its port shows it; what is in it may be soldered on"
        )
    if hints_of(seen.label).chipset:
        yield (
            "its name puts it behind the chipset, whose uplink nothing shows: what shares it "
            "is not counted until a hub with `generation` and `lanes` is added"
        )
    if len(slot.parts) > 1 and len(seen.ports) == 1:
        yield f"{len(slot.parts)} devices answer below it; they are taken for one card"
    yield from _doubts(slot)


def _doubts(slot: BoardSlot) -> Iterator[str]:
    """What its records and its port say and cannot be taken at their word."""
    seen = slot.seen
    if seen.splits and not slot.split:
        yield "the table says that it can be divided, and never into what"
    if seen.power_w and not slot.parts:
        yield (
            f"power_w: its port is set to {seen.power_w:g} W, and nothing answers below it: often "
            "a default that the firmware left; the manual's slot table says what it supplies"
        )
    widths = {record.designation: record.lanes for record in seen.records}
    if len(widths) > 1 and not slot.split:
        ports = ", ".join(f"{clean(name, 30)} x{lanes or '?'}" for name, lanes in widths.items())
        yield f"the table lists its ports ({ports}): it can be divided, into what is to be seen"
    if seen.of_template:
        yield (
            "the table has the names of a reference design, so it may be another board's: width, "
            "lanes and generation are left open; hold each slot against the board"
        )
    if any(is_of_an_old_bus(record) for record in seen.records):
        yield "its type is of an older bus and its name is not: hold it against the board"
