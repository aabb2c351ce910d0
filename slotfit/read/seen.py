"""What the PCI bus and the running system say: functions, links, slots, drives, nodes."""

from __future__ import annotations

import re
from dataclasses import dataclass, field, replace

# Linux 6.12 drivers/pci/probe.c: "%04x:%02x:%02x.%d". The domain has at least four digits; domains
# made by volume management controllers start at 10000h (drivers/pci/controller/vmd.c).
_ADDRESS = re.compile(
    r"(?:([0-9a-fA-F]{1,8}):)?([0-9a-fA-F]{1,2}):([0-9a-fA-F]{1,2})(?:\.([0-7]))?"
)


@dataclass(frozen=True, slots=True, order=True)
class PciAddress:
    """
    Domain, bus, device, function of one PCI function; sorts the way the bus is numbered.

    >>> str(PciAddress.read("65:00.0")), str(PciAddress.read("10000:e1:00.0"))
    ('0000:65:00.0', '10000:e1:00.0')
    """

    domain: int
    bus: int
    device: int
    function: int

    @classmethod
    def read(cls, text: str) -> PciAddress | None:
        """The address `text` spells, function 0 if it names none; None if it spells none."""
        found = _ADDRESS.fullmatch(text.strip())
        if not found:
            return None
        domain, bus, device, function = found.groups()
        if int(device, 16) > 0x1F:
            return None
        return cls(int(domain or "0", 16), int(bus, 16), int(device, 16), int(function or "0"))

    @property
    def device_function(self) -> tuple[int, int]:
        """Device and function alone."""
        return self.device, self.function

    def __str__(self) -> str:
        return f"{self.domain:04x}:{self.bus:02x}:{self.device:02x}.{self.function}"


MOST_DIGITS = 9


def whole_number(text: str | None) -> int | None:
    """The number that a text is, of at most `MOST_DIGITS`; None for any other text."""
    return int(text) if text and text.isdecimal() and len(text) <= MOST_DIGITS else None


@dataclass(frozen=True, slots=True, order=True)
class Where:
    """
    A place in a source: a line of a text, or an offset in bytes and a record's handle.

    >>> str(Where("lspci.txt", line=12)), str(Where("DMI", offset=32, handle=16))
    ('lspci.txt:12', 'DMI+0x20 (handle 0x0010)')
    """

    file: str
    line: int | None = None
    offset: int | None = None
    handle: int | None = None

    def __str__(self) -> str:
        text = self.file
        if self.line is not None:
            text += f":{self.line}"
        if self.offset is not None:
            text += f"+0x{self.offset:x}"
        return text if self.handle is None else f"{text} (handle 0x{self.handle:04x})"


@dataclass(frozen=True, slots=True)
class Note:
    """
    Something odd in a source, for people.

    `kind` is one of: `odd` (an unusual or impossible value), `damaged` (text or table is broken
    here), `not-read` (it exists and was refused: rights, limits), `cut` (a limit of ours).
    """

    kind: str
    text: str
    where: Where


@dataclass(slots=True)
class Notes:
    """Collects notes while a parser runs; at most `limit`, so that a hostile file stays small."""

    file: str
    limit: int = 200
    found: list[Note] = field(default_factory=list)

    def add(self, kind: str, text: str, where: Where | None = None) -> None:
        """Add one; beyond the limit only the last says that there were more."""
        if len(self.found) < self.limit:
            self.found.append(Note(kind, text, where or Where(self.file)))
        elif len(self.found) == self.limit:
            self.found.append(Note("cut", "more oddities were found than shown", Where(self.file)))

    def done(self) -> tuple[Note, ...]:
        """All that was noted, in order."""
        return tuple(self.found)


@dataclass(frozen=True, slots=True)
class Seen:
    """Something that a source shows, and where."""

    where: Where


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


@dataclass(frozen=True, slots=True, order=True)
class ErrorCount:
    """
    How often a function has reported one kind of error since the system started.

    `severity` is corrected, nonfatal or fatal; `kind` the kernel's word, `TOTAL` for all together.
    """

    severity: str
    kind: str
    count: int


@dataclass(frozen=True, slots=True)
class FunctionSeen(Seen):
    """
    One PCI function.

    `class_code` is base class and subclass, 16 bits. `port_type` is a word of `standards.pci_regs`
    (None where rights hid the capability, and for conventional devices but bridges). `parent` is
    the bridge above, where the source shows it directly. `acs_capable` and `acs_enabled` hold the
    words of `pci_regs.ACS_BITS`. `physical_slot` is the system's name of the slot, `slot_number`
    the port's own register. `is_virtual`: an SR-IOV virtual function. `label` is the firmware's
    name of an on-board device. `errors`: what it counted; () is none. `flagged`: what its status
    register remembers, words of `pci_regs.DEVICE_STATUS`, whenever that was.
    """

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
    errors: tuple[ErrorCount, ...] | None = None
    flagged: tuple[str, ...] | None = None


@dataclass(frozen=True, slots=True)
class SlotDirSeen(Seen):
    """A folder of /sys/bus/pci/slots: the slot's name, and the domain and bus below its port."""

    name: str
    bus: tuple[int, int]


@dataclass(frozen=True, slots=True)
class NamedSeen(Seen):
    """What the system has a name for, and the PCI function that it hangs on."""

    name: str
    address: PciAddress | None = field(default=None, kw_only=True)


@dataclass(frozen=True, slots=True)
class DriveSeen(NamedSeen):
    """
    A drive. `transport` is nvme, sata, sas, usb or None.

    `way`: the steps to it as the kernel calls them: `ata3`, `2:0:0:0`, `expander-0:1`.
    """

    model: str | None = None
    transport: str | None = None
    way: tuple[str, ...] = ()


@dataclass(frozen=True, slots=True)
class PortNameSeen(NamedSeen):
    """A network, fabric or storage host interface."""

    kind: str


@dataclass(frozen=True, slots=True)
class NodeSeen(Seen):
    """A NUMA node: its processors' numbers, and the sockets (package numbers) they sit in."""

    node: int
    cpus: str | None = None
    packages: tuple[int, ...] | None = None


@dataclass(frozen=True, slots=True)
class KernelLineSeen(Seen):
    """
    One line of the kernel's log that tells of an error.

    `event` is corrected, nonfatal, fatal (PCI Express), link-down, retrained, timeout, reset,
    slowed or error; `who` what it names: an address, `nvme0`, `ata3`, `2:0:0:0`, `sda`. `seconds`
    since the start. `layer` is the first word of the layer that an error was seen in.
    """

    event: str
    who: str
    seconds: int
    layer: str | None = None
    address: PciAddress | None = None


@dataclass(frozen=True, slots=True)
class PeerSeen:
    """Another function that shares the slot (type 9, peer groups). `width` is a raw number."""

    address: PciAddress
    width: int


@dataclass(frozen=True, slots=True)
class SlotSeen(Seen):
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
class ProcessorSeen(Seen):
    """One processor socket (type 4). `populated` False: the socket is empty."""

    handle: int | None = None
    designation: str | None = None
    populated: bool | None = None
    status: str | None = None
    name: str | None = None


@dataclass(frozen=True, slots=True)
class BoardSeen(Seen):
    """A system (type 1) or a base board (type 2); `role` is "system" or "board"."""

    role: str
    manufacturer: str | None = None
    product: str | None = None
    version: str | None = None


@dataclass(frozen=True, slots=True)
class ChassisSeen(Seen):
    """An enclosure (type 3). `height_u`: rack units of 44.45 mm, outside measure."""

    chassis_type: str | None = None
    manufacturer: str | None = None
    height_u: int | None = None


@dataclass(frozen=True, slots=True)
class OnboardSeen(Seen):
    """A device soldered to the board (type 41, or 10 in old tables)."""

    designation: str | None = None
    device_type: str | None = None
    enabled: bool | None = None
    instance: int | None = None
    address: PciAddress | None = None


@dataclass(frozen=True, slots=True)
class PowerSupplySeen(Seen):
    """A power supply (type 39)."""

    name: str | None = None
    model: str | None = None
    max_power_w: int | None = None
    plugged: bool | None = None


@dataclass(frozen=True, slots=True, kw_only=True)
class Inventory:
    """
    What there is, as one source says it or as all of them do.

    `slots_read` is False where the slot table could not be read at all, so that no slots means "not
    read" and not "none". `kernel`: what its log tells of errors; `running_s`: for how long the
    system had run.
    """

    boards: tuple[BoardSeen, ...] = ()
    chassis: tuple[ChassisSeen, ...] = ()
    processors: tuple[ProcessorSeen, ...] = ()
    power_supplies: tuple[PowerSupplySeen, ...] = ()
    nodes: tuple[NodeSeen, ...] = ()
    functions: tuple[FunctionSeen, ...] = ()
    notes: tuple[Note, ...] = ()
    slots_read: bool | None = None
    kernel: tuple[KernelLineSeen, ...] = ()
    running_s: int | None = None


@dataclass(frozen=True, slots=True)
class Reading(Inventory):
    """
    Everything one source said.

    `kind` names the source: "dmidecode text", "smbios table", "lspci text", "lspci hex",
    "lspci tree", "sysfs", "kernel log", "bundle".
    """

    kind: str
    file: str
    slots: tuple[SlotSeen, ...] = ()
    onboard: tuple[OnboardSeen, ...] = ()
    slot_dirs: tuple[SlotDirSeen, ...] = ()
    drives: tuple[DriveSeen, ...] = ()
    port_names: tuple[PortNameSeen, ...] = ()

    def with_notes(self, *notes: Note) -> Reading:
        """The same, with these notes added."""
        return replace(self, notes=self.notes + notes)
