"""
Likely causes of each kind of difference, in the order in which to look.

Common practice, no source, as far as nothing else is named. A cause stands only where its condition
holds; what the machine itself shows (`CauseEvidence`) moves a cause to the front.
"""

from __future__ import annotations

from collections.abc import Callable, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property

from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.read.layout import with_homes
from slotfit.answers.verify.answer import LikelyCause
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
from slotfit.answers.verify.planned import MachinePlan
from slotfit.read.machine import MachineSeen, ReceptacleSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import FunctionSeen, LinkSeen

Places = Mapping[str, tuple[ReceptacleSeen, ...]]


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


@dataclass(frozen=True, slots=True)
class CauseEvidence:
    """
    What is known around a difference; None is not known.

    `split`: the plan divides the slot. `divided`: its ports are divided as planned now.
    `port_able`: the port itself offers what was planned. `passive`: lanes pass through a carrier.
    `long_way`: they pass through a riser, an adapter or a cable. `holder_answers`: the part that
    holds what is missing has a switch, and that answers.
    """

    setting: str | None = None
    split: bool = False
    divided: bool | None = None
    port_able: bool | None = None
    card_able: bool | None = None
    passive: bool = False
    long_way: bool = False
    generation: int = 0
    plugs: bool = False
    holder_answers: bool = False
    on_hub: bool = False


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause: when it may be, when the machine shows that it is likely, and what to try."""

    text: str
    next: str
    may_be: Callable[[CauseEvidence], bool] = lambda _: True
    likely: Callable[[CauseEvidence], bool] = lambda _: False


SPLIT = Cause(
    "the split is not set: the slot's lanes are not divided as planned",
    "in the firmware setup choose {setting}; save, power the machine off and on again, and look "
    "once more",
    lambda shown: shown.split and shown.divided is not True,
    lambda shown: shown.divided is False,
)
WRONG_PORT = Cause(
    "the setting was made for another port: menus name ports, not slots",
    "set {setting} for one port after the other and see which slot it divides; the manual has the "
    "table of ports",
    lambda shown: shown.split and shown.divided is not True,
)
NEIGHBOUR = Cause(
    "a card in a neighbouring slot takes the lanes",
    "power off, unplug, and take the neighbour out once; if that helps, the board shares these "
    "lanes",
    lambda shown: shown.port_able is not True and not shown.holder_answers,
    lambda shown: shown.port_able is False and not shown.split,
)
SEATING = Cause(
    "it is not fully seated",
    "power off, unplug, press it in until it is level, fix the bracket or screw",
    likely=lambda shown: shown.port_able is True and shown.card_able is True,
)
CONTACTS = Cause(
    "its contacts are dirty",
    "power off, unplug, wipe the contacts with a lint-free cloth and isopropyl alcohol",
)
PLUGS = Cause(
    "it gets no power: a plug is loose or missing",
    "power off, unplug; seat every plug of the card until it clicks, with the supply's own cables",
    lambda shown: shown.plugs,
)
TOO_LONG = Cause(
    "the riser or cable is too long, or not made, for this generation",
    "set the port one generation lower; if it comes up, use a shorter or better riser or cable, or "
    "one with a retimer",
    lambda shown: shown.long_way,
    lambda shown: shown.generation >= 4,
)
OLD_FIRMWARE = Cause(
    "old firmware of the board or the part",
    "read the release notes of both for slots, splits and links; update as their makers say",
)
SLOT_OFF = Cause(
    "the slot is switched off in the firmware, or held for something else",
    "look for the slot in the firmware setup: enabled, speed automatic, not given to a storage "
    "volume controller",
)
BROKEN = Cause(
    "the part or the slot is broken",
    "power off, unplug; try the part in another slot, and another part in this one",
)
WRONG_SLOT = Cause(
    "it was put into another slot than planned",
    "power off, unplug, and move it; or plan again with `pin` where it is",
)
WRONG_LABEL = Cause(
    "the firmware calls the slot by another number than the board has printed on it",
    "power off, unplug, take the card out and see which slot empties; then put the firmware's name "
    "for it as `label` in the board file",
)
LIMIT_SET = Cause(
    "the port's speed is limited in the firmware",
    "set the slot's link speed to automatic",
    likely=lambda shown: shown.port_able is False,
)
FILE_WRONG = Cause(
    "the description says more than the hardware can do",
    "compare the part's data sheet and the board's manual with their files, and correct them",
    likely=lambda shown: shown.card_able is False,
)
BOARD_FILE = Cause(
    "the board file names the wrong processor for this slot",
    "look at the board's block diagram; correct `from`",
)
NO_ISOLATION = Cause(
    "the port above does not keep apart what is below it",
    "look for access control services (ACS) in the firmware setup and switch them on",
)
SHARED_SWITCH = Cause(
    "both are attached to one switch or chipset that does not keep them apart",
    "move one of them to a slot with a root port of its own",
    likely=lambda shown: shown.on_hub,
)
DRIVE_KIND = Cause(
    "a drive of another bus sits in the socket (SATA in one wired for NVMe)",
    "read the label of the drive",
    lambda shown: shown.passive,
)
VOLUME = Cause(
    "a storage volume controller of the processor or a RAID mode hides the drives",
    "in the firmware setup see whether it is on for these ports; back up before you change it, for "
    "volumes that it made cannot be read without it",
)
CABLE = Cause(
    "a data or power cable of a drive is loose, or in another port",
    "power off, unplug, and follow each cable from the adapter to the drive",
)
LOGICAL = Cause(
    "the adapter shows volumes, not drives",
    "look with the adapter's own tool, or set it to pass drives through",
)
SWAPPED = Cause(
    "they were put into each other's sockets",
    "look at the labels in the sockets; power off, unplug, and swap them; or swap them in the plan",
)
COUNTED_BACKWARDS = Cause(
    "the board leads the slot's lanes in the opposite order, or the file has them so",
    "take one drive out and see which one is gone; then correct the carrier's `links` or the board",
)
NOT_IN_PLAN = Cause(
    "the build file does not know it",
    "add it to the build file and plan again; or take it out",
)

CAUSES: dict[str, tuple[Cause, ...]] = {
    "missing": (PLUGS, SEATING, SLOT_OFF, NEIGHBOUR, TOO_LONG, CONTACTS, OLD_FIRMWARE, BROKEN),
    "elsewhere": (WRONG_SLOT, WRONG_LABEL),
    "another-part": (WRONG_SLOT, WRONG_LABEL),
    "fewer-drives": (
        SPLIT, WRONG_PORT, NEIGHBOUR, SEATING, DRIVE_KIND, CONTACTS, TOO_LONG, VOLUME,
        OLD_FIRMWARE, BROKEN,
    ),
    "fewer-disks": (CABLE, LOGICAL, SEATING, OLD_FIRMWARE, BROKEN),
    "narrower": (
        SPLIT, WRONG_PORT, NEIGHBOUR, SEATING, CONTACTS, TOO_LONG, FILE_WRONG, OLD_FIRMWARE, BROKEN,
    ),
    "slower": (TOO_LONG, LIMIT_SET, CONTACTS, SEATING, FILE_WRONG, OLD_FIRMWARE, BROKEN),
    "other-processor": (WRONG_SLOT, BOARD_FILE, WRONG_LABEL),
    "shared-isolation": (NO_ISOLATION, SHARED_SWITCH, OLD_FIRMWARE),
    "other-order": (SWAPPED, COUNTED_BACKWARDS),
    "extra": (NOT_IN_PLAN,),
}  # fmt: skip
"""Kind of finding -> causes, the likeliest first."""


def causes_of(kind: str, shown: CauseEvidence) -> tuple[LikelyCause, ...]:
    """The causes that may be, those that the machine points to before the others."""
    may_be = [cause for cause in CAUSES.get(kind, ()) if cause.may_be(shown)]
    ordered = sorted(may_be, key=lambda cause: not cause.likely(shown))
    setting = f'"{shown.setting}"' if shown.setting else "the split"
    return tuple(
        LikelyCause(cause.text, cause.next.replace("{setting}", setting)) for cause in ordered
    )


LONG_WAYS = ("riser", "adapter", "cable")


@dataclass(frozen=True)
class Scene:
    """One machine of a plan, and that machine as it is."""

    planned: MachinePlan
    seen: MachineSeen
    topology: Topology
    units: tuple[Unit, ...]
    places: Mapping[str, tuple[ReceptacleSeen, ...]]
    matched: Matched

    @cached_property
    def seats(self) -> Mapping[str, PlannedSeat]:
        """Part -> its seat."""
        return {seat.item: seat for seat in self.planned.seats}

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
        return [unit.seat, *self.planned.holders(unit.seat)][-1]

    def port_link(self, end: End) -> LinkSeen | None:
        """The link of the port above something that answers."""
        port = self.port(end)
        return port.link if port else None

    def port(self, end: End) -> FunctionSeen | None:
        """The port above something that answers."""
        return self.topology.functions.get(end.part.port) if end.part.port else None

    def shown(self, unit: Unit, end: End | None = None) -> CauseEvidence:
        """What is known around a difference."""
        root = self.root_seat(unit)
        way = [unit.seat, *self.planned.holders(unit.seat)]
        split = sum(1 for link in root.links if link.trains.lanes) > 1
        link = end.part.top.link if end else None
        port = self.port_link(end) if end else None
        return CauseEvidence(
            setting=unit.seat.setting or root.setting,
            split=split,
            divided=self.divided(unit, root) if split else None,
            port_able=able(port, unit),
            card_able=able(link, unit),
            passive=any(seat.part_class == "carrier" for seat in way),
            long_way=any(seat.part_class in LONG_WAYS for seat in way),
            generation=unit.link.trains.generation or 0,
            plugs=unit.seat.part_class == "accelerator",
        )

    def divided(self, unit: Unit, root: PlannedSeat) -> bool | None:
        """Whether the slot's first port is as narrow as the plan divides it."""
        group = self.places.get(unit.root, ())
        lanes = [port.link.lanes_max for one in group for port in one.ports if port.link]
        first = min(root.links, key=lambda link: link.at)
        return lanes[0] <= first.able.lanes if lanes and lanes[0] else None


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


def scene_of(planned: MachinePlan, seen: MachineSeen) -> Scene:
    """The two side by side, everything paired that can be."""
    topology = Topology({one.address: one for one in seen.functions})
    seen, adrift = with_homes(seen, topology)
    units = tuple(units_of(planned))
    places = with_siblings(places_of(planned.on_board, seen.receptacles), planned, seen.receptacles)
    ends = ends_of(seen, [part for part, _ in adrift])
    return Scene(planned, seen, topology, units, places, match(units, ends, places))
