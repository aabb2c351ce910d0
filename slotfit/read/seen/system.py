"""What the PCI bus and the running system say: functions, links, slots, drives, nodes."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.read.seen.place import PciAddress, Where


@dataclass(frozen=True, slots=True)
class LinkSeen:
    """
    The link on this function's own side, as its registers or a text say.

    `lanes_now` 0 means: no link. `generation_supported` is the highest generation in the vector of
    LnkCap2, which may be above `generation_max`. A current value below the maximum is no fault by
    itself: idle devices slow their link.
    """

    lanes_max: int | None = None
    lanes_now: int | None = None
    generation_max: int | None = None
    generation_now: int | None = None
    generation_supported: int | None = None
    active: bool | None = None


@dataclass(frozen=True, slots=True)
class FunctionSeen:
    """
    One PCI function.

    `class_code` is base class and subclass, 16 bits. `port_type` is a word of `standards.pci_regs`
    (None where rights hid the capability, and for conventional devices but bridges). `parent` is
    the bridge above, where the source shows it directly. `acs_capable` and `acs_enabled` hold the
    words of `pci_regs.ACS_BITS`. `physical_slot` is the system's name of the slot, `slot_number`
    the port's own register. `is_virtual`: an SR-IOV virtual function. `label` is the firmware's
    name of an on-board device.
    """

    where: Where
    address: PciAddress
    class_code: int | None = None
    prog_if: int | None = None
    class_name: str | None = None
    name: str | None = None
    vendor_id: int | None = None
    device_id: int | None = None
    subsystem_vendor_id: int | None = None
    subsystem_id: int | None = None
    subsystem_name: str | None = None
    revision: int | None = None
    driver: str | None = None
    is_bridge: bool | None = None
    port_type: str | None = None
    link: LinkSeen | None = None
    slot_implemented: bool | None = None
    slot_number: int | None = None
    slot_power_w: float | None = None
    hot_plug: bool | None = None
    card_present: bool | None = None
    physical_slot: str | None = None
    primary_bus: int | None = None
    secondary_bus: int | None = None
    subordinate_bus: int | None = None
    parent: PciAddress | None = None
    numa_node: int | None = None
    iommu_group: int | None = None
    acs_capable: tuple[str, ...] | None = None
    acs_enabled: tuple[str, ...] | None = None
    is_virtual: bool | None = None
    label: str | None = None
    product_name: str | None = None


@dataclass(frozen=True, slots=True)
class SlotDirSeen:
    """A folder of /sys/bus/pci/slots: the name, and the address without function."""

    where: Where
    name: str
    domain: int
    bus: int
    device: int | None = None
    """None for a placeholder that names a bus only."""


@dataclass(frozen=True, slots=True)
class DriveSeen:
    """A drive the system names. `transport` is nvme, sata, sas, usb or None."""

    where: Where
    name: str
    model: str | None = None
    transport: str | None = None
    address: PciAddress | None = None


@dataclass(frozen=True, slots=True)
class PortNameSeen:
    """A network, fabric or storage host interface: its system name and its PCI function."""

    where: Where
    name: str
    kind: str
    address: PciAddress | None = None


@dataclass(frozen=True, slots=True)
class NodeSeen:
    """A NUMA node: its processors' numbers, and the sockets (package numbers) they sit in."""

    where: Where
    node: int
    cpus: str | None = None
    packages: tuple[int, ...] | None = None
