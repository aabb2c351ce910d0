"""
What figures of a description can be: outside it a slip of the pen, or a thing that says so.

Ranges are wide enough for everything that is sold, and narrow enough that inches written for
millimetres, or kilowatts for watts, fall out of them.
"""

from typing import NamedTuple

from slotfit.standards import cem, pcie, storage
from slotfit.standards.forms import LENGTHS_MM, SIZE_TABLE
from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, Source


class Range(NamedTuple):
    """From least to most; what it is of, and who says so. 0 is no figure: nothing, or none."""

    of: str
    least: float
    most: float
    source: Source
    zero: bool = False
    """0 means something here: none, or nothing needed."""

    def holds(self, figure: float) -> bool:
        return self.least <= figure <= self.most or (self.zero and figure == 0)


_SEEN = Source("", "", COMMON_PRACTICE)
_DRIVES = Source("SFF-8201, SFF-8301", "lengths of 100 and 147 mm", FROM_MEMORY)
_OCP = Source("OCP NIC 3.0", "115 mm deep", AS_QUOTED)
_E1 = Source("SFF-TA-1006, -1007", "lengths", AS_QUOTED)
_E3 = Source("SFF-TA-1008", "lengths", FROM_MEMORY)
_AIR = Source("", "data sheets ask for 60 to 870 LFM", COMMON_PRACTICE)

LONGEST_CARD_MM = 400
"""Full length is 312; cards with large coolers run over it, up to about 360."""

_M2 = Range("an M.2 module", min(LENGTHS_MM), max(LENGTHS_MM), SIZE_TABLE)
_DRIVE = Range("a drive", 60, 160, _DRIVES)
_EDGE_SHORT = Range("an E1.S drive", 105, 125, _E1)
_AIR_SPEED = Range("air over cards", 30, 1200, _AIR, zero=True)
_INLET = Range("air before cards", 10, 70, _SEEN)
_FAN = Range("a fan", 50, 40_000, _SEEN, zero=True)
_OCP_LENGTH = Range("a card of that form", 100, 130, _OCP)

LENGTHS: dict[str, Range] = {
    **dict.fromkeys(("m2-m", "m2-b", "m2-e", "m2-a", "m2-bm", "m2-ae"), _M2),
    **dict.fromkeys(("u2", "u3", "u2-u3", "sata", "sas"), _DRIVE),
    **dict.fromkeys(("ocp3-sff", "ocp3-lff"), _OCP_LENGTH),
    "e1s": _EDGE_SHORT,
    "e1l": Range("an E1.L drive", 310, 325, _E1),
    "e3s": Range("an E3.S drive", 105, 120, _E3),
    "e3l": Range("an E3.L drive", 135, 150, _E3),
    "cem": Range("a card", 20, LONGEST_CARD_MM, cem.OUTLINE),
    "": Range("a part", 15, LONGEST_CARD_MM, _SEEN),
}
"""Form -> what a part of it can be long; the last is for all other forms."""

HEIGHTS: dict[str, Range] = {
    **dict.fromkeys(("cem", "opening"), Range("a card", 30, 180, _SEEN)),
    "": Range("a part", 1.5, 180, _SEEN),
}

DRAWS: dict[str, Range] = {
    "cem": Range("a card from its slot", 0.1, 75, cem.POWER, zero=True),
    **dict.fromkeys(
        ("m2-m", "m2-b", "m2-e", "m2-a", "m2-bm", "m2-ae"),
        Range("an M.2 module", 0.1, 25, _SEEN, zero=True),
    ),
    "": Range("a part", 0.1, 600, _SEEN, zero=True),
}
ROOMS: dict[str, Range] = {
    "cem": Range("room for a card", 60, 700, _SEEN),
    **dict.fromkeys(("ocp3-sff", "ocp3-lff"), _OCP_LENGTH),
    "": Range("room for a part", 15, 700, _SEEN),
}
SUPPLIES: dict[str, Range] = {
    "cem": Range("a slot", 3, 300, _SEEN, zero=True),
    "": Range("a receptacle", 0.5, 600, _SEEN, zero=True),
}

FIELDS: dict[str, Range] = {
    "PartSpec.airflow_lfm": _AIR_SPEED,
    "PartSpec.gives_airflow_lfm": _AIR_SPEED,
    "ReceptacleSpec.airflow_lfm": _AIR_SPEED,
    "Chassis.airflow_lfm": _AIR_SPEED,
    "Chassis.bay_airflow_lfm": _AIR_SPEED,
    "BuildMachine.airflow_lfm": _AIR_SPEED,
    "PartSpec.airflow_at_c": _INLET,
    "BuildMachine.inlet_c": _INLET,
    "BuildMachine.airflow_one_failed_lfm": _AIR_SPEED,
    "PartSpec.min_rpm": _FAN,
    "Board.lowest_fan_rpm": _FAN,
    "PartSpec.generation": Range("PCIe", 1, max(pcie.GENERATIONS), pcie.LINUX_PCI_H),
    "PartSpec.modules_w": Range("modules in ports", 0.1, 200, _SEEN, zero=True),
    "PartSpec.component_mm": Range("a card's highest thing", 2, 160, _SEEN, zero=True),
    "PartSpec.adds_length_mm": Range("an air mover", 10, 300, _SEEN, zero=True),
    "PartSpec.reach_mm": Range("a cable", 100, 5000, _SEEN),
    "PartSpec.weight_kg": Range("a part", 0.005, 20, _SEEN),
    "PartSpec.ports": Range("a part", 1, 32, _SEEN, zero=True),
    "PartSpec.row_positions": Range("a riser", 1, 24, _SEEN),
    "Power.aux_w": Range("a part through its plugs", 0.5, 1500, _SEEN, zero=True),
    "Power.plug_mm": Range("room for a plug", 5, 100, _SEEN, zero=True),
    "Power.start_w": Range("a part at start", 1, 1500, _SEEN, zero=True),
    "Power.peak_w": Range("a part for a millisecond", 1, 3000, _SEEN, zero=True),
    "Power.idle_w": Range("a part at rest", 0.05, 600, _SEEN, zero=True),
    "Power.rails_w": Range("a part from a smaller rail", 0.05, 60, _SEEN, zero=True),
    "ReceptacleSpec.behind_mm": Range("room behind a slot", 4, 400, _SEEN, zero=True),
    "ReceptacleSpec.run_mm": Range("a cable's run", 30, 5000, _SEEN, zero=True),
    "ReceptacleSpec.drive_lengths": _M2,
    "Demand.in_gb_s": Range("a part", 0.0001, 256, pcie.LINUX_PCI_H, zero=True),
    "Demand.out_gb_s": Range("a part", 0.0001, 256, pcie.LINUX_PCI_H, zero=True),
    "Processor.slots_at_mm": Range("a board", 25, 300, _SEEN),
    "Processor.memory_at_mm": Range("a board", 15, 150, _SEEN),
    "Cooler.height_mm": Range("a cooler", 15, 250, _SEEN),
    "Cooler.to_slots_mm": Range("half of a cooler", 20, 150, _SEEN),
    "Cooler.to_memory_mm": Range("half of a cooler", 20, 150, _SEEN),
    "Cooler.clear_mm": Range("room under a cooler", 5, 120, _SEEN, zero=True),
    "FittedMemory.height_mm": Range("a memory module", 15, 70, _SEEN),
    "Chassis.cooler_height_mm": Range("room for a cooler", 15, 250, _SEEN),
    "Place.length_mm": Range("a place in a chassis", 40, 700, _SEEN),
    "Place.height_mm": Range("a place in a chassis", 30, 400, _SEEN),
    "Place.thickness": Range("a place in a chassis", 1, 8, _SEEN),
    "Place.airflow_lfm": _AIR_SPEED,
    "BoardReceptacle.above_mm": Range("room under a card", 1, 60, _SEEN, zero=True),
    "Row.positions": Range("a row of slots", 1, 24, _SEEN),
    "Chassis.card_length_mm": Range("room for cards", 100, 700, _SEEN),
    "Chassis.card_height_mm": Range("room for cards", 30, 250, _SEEN),
    "RoomAt.length_mm": Range("room for cards", 100, 700, _SEEN),
    "RoomAt.height_mm": Range("room for cards", 30, 250, _SEEN),
    "Chassis.openings": Range("a chassis", 1, 24, _SEEN, zero=True),
    "Chassis.height_u": Range("a chassis", 1, 20, _SEEN),
    "Chassis.bays": Range("a chassis", 1, 120, _SEEN, zero=True),
    "PowerSupply.watts": Range("a power supply", 30, 5000, _SEEN),
    "PowerSupply.low_line_w": Range("a power supply", 30, 5000, _SEEN),
    "PowerSupply.start_w": Range("a power supply", 30, 10000, _SEEN),
    "PowerSupply.peak_w": Range("a power supply", 30, 10000, _SEEN),
    "PowerSupply.rails_w": Range("a smaller rail", 3, 300, _SEEN),
    "PowerSupply.plugs": Range("a power supply", 1, 60, _SEEN, zero=True),
    "BuildMachine.base_w": Range("a machine without its parts", 3, 3000, _SEEN, zero=True),
    "BuildMachine.input_v": Range("the wall", 90, 280, _SEEN),
    "Measured.idle_w": Range("a machine at rest", 1, 3000, _SEEN),
    "Measured.load_w": Range("a machine under load", 3, 10000, _SEEN),
    "BuildMachine.supply_limit_percent": Range("the share to plan with", 10, 100, _SEEN),
}
"""Entity and field -> range, where the form does not decide."""

BY_FORM: dict[str, dict[str, Range]] = {
    "PartSpec.length_mm": LENGTHS,
    "PartSpec.height_mm": HEIGHTS,
    "Power.slot_w": DRAWS,
    "ReceptacleSpec.length_mm": ROOMS,
    "ReceptacleSpec.height_mm": HEIGHTS,
    "ReceptacleSpec.power_w": SUPPLIES,
}
"""Entity and field -> ranges by form."""

GENERATIONS: dict[str, Range] = {
    "pcie": Range("PCIe", 1, max(pcie.GENERATIONS), pcie.LINUX_PCI_H),
    "sata": Range("SATA", 1, 3, storage.TECHNOLOGY_BRIEF),
    "sas": Range("SAS", 1, 4, storage.LINUX_SAS),
}
"""Bus -> generations that it has."""


def field_range(entity: str, field: str, form: str, width: int | None) -> Range | None:
    """The range of a field of an entity whose plug or receptacle has this form."""
    key = f"{entity}.{field}"
    if key == "PartSpec.length_mm" and form == "cem":
        return card_length(width)
    ranges = BY_FORM.get(key)
    return (ranges.get(form) or ranges[""]) if ranges else FIELDS.get(key)


def uplink(generation: int, lanes: int) -> Range:
    """What can be behind a link, in GB/s: no more than it carries."""
    carried = pcie.lane_mb_s(generation, lanes) / 1000
    return Range(f"generation {generation} x{lanes}", 0.0005, carried, pcie.LINUX_PCI_H, zero=True)


def card_length(width: int | None) -> Range:
    """A card is no shorter than the tab of its edge connector."""
    connector = cem.CONNECTORS.get(width or 0)
    if connector is None:
        return LENGTHS["cem"]
    return Range(f"an x{width} card", connector.tab_mm, LONGEST_CARD_MM, cem.OUTLINE)


class MistakenUnit(NamedTuple):
    """A unit that is written for another one: what it is called, and what to multiply by."""

    name: str
    factor: float


MISTAKEN: dict[str, tuple[MistakenUnit, ...]] = {
    "mm": (
        MistakenUnit("inches", 25.4),
        MistakenUnit("cm", 10),
        MistakenUnit("metres", 1000),
        MistakenUnit("tenths of a millimetre", 0.1),
        MistakenUnit("thousandths of an inch", 0.0254),
    ),
    "W": (MistakenUnit("kW", 1000), MistakenUnit("mW", 0.001), MistakenUnit("a tenth", 0.1)),
    "LFM": (
        MistakenUnit("metres a second", 196.85),
        MistakenUnit("linear feet an hour", 1 / 60),
    ),
    "GB/s": (
        MistakenUnit("gigabits", 1 / 8),
        MistakenUnit("MB/s", 0.001),
        MistakenUnit("TB/s", 1000),
    ),
    "kg": (MistakenUnit("grams", 0.001),),
    "%": (MistakenUnit("a share of 1", 100),),
}
"""Unit -> what is often written in its stead, the likeliest first."""


def likely_unit(figure: float, unit: str, range_: Range) -> tuple[str, float] | None:
    """
    The unit in which a figure would be in range, and the figure in ours; None if none does.

    >>> likely_unit(13.78, "mm", card_length(16))
    ('inches', 350.0)
    """
    for name, factor in MISTAKEN.get(unit, ()):
        if range_.holds(meant := float(f"{figure * factor:.4g}")):
            return name, meant
    return None
