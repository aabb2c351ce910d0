"""
Codes of the system management tables: types 9 (slots), 4, 3 and 41.

Source of every table: DMTF DSP0134 "System Management BIOS Reference Specification", clause named
beside the table; read through four independent transcriptions that agree (the slot type and width
columns), not from the document itself. The names are those that the usual decoding tool prints, so
that its text and the binary table meet in one spelling.
"""

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class SlotType:
    """One slot type code: what the slot is, and what the code says of width and generation."""

    code: int
    name: str
    form: str
    generation: int | None = None
    lanes: int | None = None


def _pcie_rows() -> list[SlotType]:
    """A5h..C3h (7.10.1): per generation one row without a width, then x1, x2, x4, x8, x16."""
    rows = []
    for first, generation in ((0xA5, None), (0xAB, 2), (0xB1, 3), (0xB8, 4), (0xBE, 5)):
        stem = "PCI Express" if generation is None else f"PCI Express {generation}"
        rows.append(SlotType(first, stem, "cem", generation))
        for step, lanes in enumerate((1, 2, 4, 8, 16), start=1):
            rows.append(SlotType(first + step, f"{stem} x{lanes}", "cem", generation, lanes))
    return rows


# DSP0134 7.10.1. B7h is a hole in the numbering: no meaning.
_ROWS: tuple[SlotType, ...] = (
    SlotType(0x01, "Other", "other"),
    SlotType(0x02, "Unknown", "unknown"),
    SlotType(0x03, "ISA", "isa"),
    SlotType(0x04, "MCA", "mca"),
    SlotType(0x05, "EISA", "eisa"),
    SlotType(0x06, "PCI", "pci"),
    SlotType(0x07, "PC Card (PCMCIA)", "pc-card"),
    SlotType(0x08, "VLB", "vlb"),
    SlotType(0x09, "Proprietary", "proprietary"),
    SlotType(0x0A, "Processor Card", "processor-card"),
    SlotType(0x0B, "Proprietary Memory Card", "memory-card"),
    SlotType(0x0C, "I/O Riser Card", "riser"),
    SlotType(0x0D, "NuBus", "nubus"),
    SlotType(0x0E, "PCI-66", "pci"),
    SlotType(0x0F, "AGP", "agp"),
    SlotType(0x10, "AGP 2x", "agp"),
    SlotType(0x11, "AGP 4x", "agp"),
    SlotType(0x12, "PCI-X", "pci-x"),
    SlotType(0x13, "AGP 8x", "agp"),
    SlotType(0x14, "M.2 Socket 1-DP", "m2-a"),
    SlotType(0x15, "M.2 Socket 1-SD", "m2-e"),
    SlotType(0x16, "M.2 Socket 2", "m2-b"),
    SlotType(0x17, "M.2 Socket 3", "m2-m"),
    SlotType(0x18, "MXM Type I", "mxm"),
    SlotType(0x19, "MXM Type II", "mxm"),
    SlotType(0x1A, "MXM Type III", "mxm"),
    SlotType(0x1B, "MXM Type III-HE", "mxm"),
    SlotType(0x1C, "MXM Type IV", "mxm"),
    SlotType(0x1D, "MXM 3.0 Type A", "mxm"),
    SlotType(0x1E, "MXM 3.0 Type B", "mxm"),
    SlotType(0x1F, "PCI Express 2 SFF-8639 (U.2)", "u2", 2),
    SlotType(0x20, "PCI Express 3 SFF-8639 (U.2)", "u2", 3),
    SlotType(0x21, "PCI Express Mini 52-pin with bottom-side keep-outs", "mini-card"),
    SlotType(0x22, "PCI Express Mini 52-pin without bottom-side keep-outs", "mini-card"),
    SlotType(0x23, "PCI Express Mini 76-pin", "mini-card"),
    SlotType(0x24, "PCI Express 4 SFF-8639 (U.2)", "u2", 4),
    SlotType(0x25, "PCI Express 5 SFF-8639 (U.2)", "u2", 5),
    SlotType(0x26, "OCP NIC 3.0 Small Form Factor (SFF)", "ocp3-sff"),
    SlotType(0x27, "OCP NIC 3.0 Large Form Factor (LFF)", "ocp3-lff"),
    SlotType(0x28, "OCP NIC Prior to 3.0", "ocp2"),
    SlotType(0x30, "CXL FLexbus 1.0", "cxl"),
    SlotType(0xA0, "PC-98/C20", "pc-98"),
    SlotType(0xA1, "PC-98/C24", "pc-98"),
    SlotType(0xA2, "PC-98/E", "pc-98"),
    SlotType(0xA3, "PC-98/Local Bus", "pc-98"),
    SlotType(0xA4, "PC-98/Card", "pc-98"),
    # "Gen6 and beyond": the generation stands in the slot information byte, so none is taken here.
    SlotType(0xC4, "PCI Express 6+", "cem"),
    SlotType(0xC5, "EDSFF E1", "edsff-e1"),
    SlotType(0xC6, "EDSFF E3", "edsff-e3"),
)

SLOT_TYPES: dict[int, SlotType] = {row.code: row for row in (*_ROWS, *_pcie_rows())}
SLOT_TYPES_BY_NAME: dict[str, SlotType] = {row.name.lower(): row for row in SLOT_TYPES.values()}

# DSP0134 7.10.2, fields 06h and 14h+5n: code -> lanes; codes 3..7 are parallel buses, in bits.
LANES_OF_WIDTH: dict[int, int] = {0x08: 1, 0x09: 2, 0x0A: 4, 0x0B: 8, 0x0C: 12, 0x0D: 16, 0x0E: 32}
BITS_OF_WIDTH: dict[int, int] = {0x03: 8, 0x04: 16, 0x05: 32, 0x06: 64, 0x07: 128}
WIDTH_OTHER, WIDTH_UNKNOWN = 0x01, 0x02

# DSP0134 7.10.3, 7.10.4, and the height field added in 3.5.
SLOT_USAGES: dict[int, str] = {
    1: "other", 2: "unknown", 3: "available", 4: "in use", 5: "unavailable",
}  # fmt: skip
SLOT_LENGTHS: dict[int, str] = {
    1: "other", 2: "unknown", 3: "short", 4: "long",
    5: '2.5" drive form factor', 6: '3.5" drive form factor',
}  # fmt: skip
SLOT_HEIGHTS: dict[int, str] = {
    0: "not applicable", 1: "other", 2: "unknown", 3: "full height", 4: "low-profile",
}  # fmt: skip

# DSP0134 7.10.6 and 7.10.7: bit -> words. Bit 0 of the first byte means "characteristics unknown".
SLOT_TRAITS_1: dict[int, str] = {
    1: "5.0 V is provided",
    2: "3.3 V is provided",
    3: "Opening is shared",
    4: "PC Card-16 is supported",
    5: "Cardbus is supported",
    6: "Zoom Video is supported",
    7: "Modem ring resume is supported",
}
SLOT_TRAITS_2: dict[int, str] = {
    0: "PME signal is supported",
    1: "Hot-plug devices are supported",
    2: "SMBus signal is supported",
    3: "PCIe slot bifurcation is supported",
    4: "Async/surprise removal is supported",
    5: "Flexbus slot, CXL 1.0 capable",
    6: "Flexbus slot, CXL 2.0 capable",
    7: "Flexbus slot, CXL 3.0 capable",
}
SLOT_TRAITS: frozenset[str] = frozenset((*SLOT_TRAITS_1.values(), *SLOT_TRAITS_2.values()))
BIFURCATION_TRAIT = SLOT_TRAITS_2[3]

# DSP0134 7.5, processor status field 18h, bits 2:0.
PROCESSOR_STATUSES: dict[int, str] = {
    0: "unknown",
    1: "enabled",
    2: "disabled by user",
    3: "disabled by firmware",
    4: "idle",
    7: "other",
}

# DSP0134 7.42.2, bits 6:0 of field 05h of type 41; the same list serves type 10 (7.11.1).
ONBOARD_TYPES: dict[int, str] = {
    0x01: "other",
    0x02: "unknown",
    0x03: "video",
    0x04: "scsi controller",
    0x05: "ethernet",
    0x06: "token ring",
    0x07: "sound",
    0x08: "pata controller",
    0x09: "sata controller",
    0x0A: "sas controller",
    0x0B: "wireless lan",
    0x0C: "bluetooth",
    0x0D: "wwan",
    0x0E: "emmc",
    0x0F: "nvme controller",
    0x10: "ufs controller",
}

# DSP0134 7.4.1, chassis type field 05h, bits 6:0 (bit 7 = lock present); from memory.
CHASSIS_TYPES: dict[int, str] = {
    0x01: "other",
    0x02: "unknown",
    0x03: "desktop",
    0x04: "low profile desktop",
    0x05: "pizza box",
    0x06: "mini tower",
    0x07: "tower",
    0x08: "portable",
    0x09: "laptop",
    0x0A: "notebook",
    0x0B: "hand held",
    0x0C: "docking station",
    0x0D: "all in one",
    0x0E: "sub notebook",
    0x0F: "space-saving",
    0x10: "lunch box",
    0x11: "main server chassis",
    0x12: "expansion chassis",
    0x13: "sub chassis",
    0x14: "bus expansion chassis",
    0x15: "peripheral chassis",
    0x16: "raid chassis",
    0x17: "rack mount chassis",
    0x18: "sealed-case pc",
    0x19: "multi-system",
    0x1A: "compactpci",
    0x1B: "advancedtca",
    0x1C: "blade",
    0x1D: "blade enclosing",
    0x1E: "tablet",
    0x1F: "convertible",
    0x20: "detachable",
    0x21: "iot gateway",
    0x22: "embedded pc",
    0x23: "mini pc",
    0x24: "stick pc",
}
