"""What the firmware's table (SMBIOS) says: slots, processors, boards, on-board devices."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.read.seen.place import PciAddress, Where


@dataclass(frozen=True, slots=True)
class PeerSeen:
    """Another function that shares the slot (type 9, peer groups). `width` is a raw number."""

    address: PciAddress
    width: int


@dataclass(frozen=True, slots=True)
class SlotSeen:
    """
    One system slot record (SMBIOS type 9, DSP0134 7.10), from the table or from its text.

    `lanes` is the electrical width (field 06h); `type_lanes` the width in the slot type, mostly the
    connector's; `physical_lanes` the physical width of 3.4 and later. `width_bits` is the width of
    a parallel bus. `base_width` and `information` are raw bytes: their meaning varies (`base_width`
    is a lane count, a width code or rubbish). `usage`, `length`, `height` are words of
    `standards.smbios`, or `code NN` for a code no table has. `address` is as written, sentinel or
    not. `traits` is None if the characteristics are not known. `layout` says where the fields of
    3.4 stood: "13h", "14h", or None.
    """

    where: Where
    handle: int | None = None
    designation: str | None = None
    type_code: int | None = None
    type_name: str | None = None
    form: str | None = None
    generation: int | None = None
    type_lanes: int | None = None
    lanes: int | None = None
    width_bits: int | None = None
    usage: str | None = None
    length: str | None = None
    slot_id: int | None = None
    traits: tuple[str, ...] | None = None
    address: PciAddress | None = None
    base_width: int | None = None
    peers: tuple[PeerSeen, ...] | None = None
    information: int | None = None
    physical_lanes: int | None = None
    pitch_mm: float | None = None
    height: str | None = None
    layout: str | None = None


@dataclass(frozen=True, slots=True)
class ProcessorSeen:
    """One processor socket (type 4). `populated` False: the socket is empty."""

    where: Where
    handle: int | None = None
    designation: str | None = None
    populated: bool | None = None
    status: str | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True)
class BoardSeen:
    """A system (type 1) or a base board (type 2); `role` is "system" or "board"."""

    where: Where
    role: str
    manufacturer: str | None = None
    product: str | None = None
    version: str | None = None


@dataclass(frozen=True, slots=True)
class ChassisSeen:
    """An enclosure (type 3). `height_u`: rack units of 44.45 mm, outside measure."""

    where: Where
    chassis_type: str | None = None
    manufacturer: str | None = None
    height_u: int | None = None


@dataclass(frozen=True, slots=True)
class OnboardSeen:
    """A device soldered to the board (type 41, or 10 in old tables)."""

    where: Where
    designation: str | None = None
    device_type: str | None = None
    enabled: bool | None = None
    instance: int | None = None
    address: PciAddress | None = None


@dataclass(frozen=True, slots=True)
class PowerSupplySeen:
    """A power supply (type 39)."""

    where: Where
    name: str | None = None
    model: str | None = None
    max_power_w: int | None = None
    plugged: bool | None = None
