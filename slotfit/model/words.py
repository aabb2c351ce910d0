"""The closed vocabularies of the files."""

from typing import Annotated, Literal

from annotated_types import Interval
from pydantic import AfterValidator, StringConstraints

from slotfit.model.spread import MaySpread


def one_line(text: str) -> str:
    """The text on one line, its spaces single: a name never breaks a table or a picture."""
    return " ".join(text.split())


Line = Annotated[str, AfterValidator(one_line)]
"""A name, label or menu entry as it is shown."""

Version = Annotated[str, AfterValidator(one_line), StringConstraints(min_length=1, max_length=40)]
"""A firmware's version as the setup screen shows it."""

Id = Annotated[str, StringConstraints(pattern=r"^[A-Za-z0-9][A-Za-z0-9_.+-]*$", max_length=80)]
"""A name used to refer to a thing: letters, digits, `_ . + -`, no spaces, no slash."""

ReceptacleName = Annotated[str, StringConstraints(pattern=r"^[^\s/]+(/[^\s/]+)?$", max_length=170)]
"""A receptacle: `slot1`, `machine/slot1`, or `part/socket` for one on another part."""

Lanes = Annotated[int, Interval(ge=1, le=32)]
Pins = Annotated[int, Interval(ge=2, le=12)]
Rpm = Annotated[float, Interval(ge=0, le=50_000)]
Generation = Annotated[int, Interval(ge=1, le=7)]
Decibels = Annotated[float, Interval(ge=0, le=100)]
Watts = Annotated[float, Interval(ge=0, le=10_000)]
AirSpeed = Annotated[float, Interval(ge=0, le=5_000)]
Celsius = Annotated[float, Interval(ge=-40, le=120)]
Millimetres = Annotated[float, Interval(ge=0, le=5_000)]
GigabytesPerSecond = Annotated[float, Interval(ge=0, le=10_000)]

WattsOfClass = Annotated[Watts, MaySpread()]
MillimetresOfClass = Annotated[Millimetres, MaySpread()]
AirSpeedOfClass = Annotated[AirSpeed, MaySpread()]

# slotfit.standards.forms has a row with its source for each.
Form = Literal[
    "cem",
    "m2-a",
    "m2-b",
    "m2-e",
    "m2-m",
    "m2-bm",
    "m2-ae",
    "u2",
    "u3",
    "u2-u3",
    "e1s",
    "e1l",
    "e3s",
    "e3l",
    "ocp3-sff",
    "ocp3-lff",
    "oculink-4",
    "slimsas-4",
    "slimsas-8",
    "mcio-4",
    "mcio-8",
    "mcio-16",
    "sff-8643",
    "sff-8644",
    "sff-8087",
    "sff-8088",
    "sata",
    "sas",
    "usb-header",
    "cooling-mount",
    "fan-header",
    "opening",
    "mounting-place",
    "12v-2x6",
    "eps-8",
    "sata-power",
    "molex-4",
    "sfp",
    "sfp-plus",
    "sfp28",
    "qsfp-plus",
    "qsfp28",
    "qsfp56",
    "qsfp-dd",
    "osfp",
    "rj45",
]
"""The shape of a plug or a receptacle."""

# slotfit.standards.cages has a row with its source for each.
CageForm = Literal[
    "sfp", "sfp-plus", "sfp28", "qsfp-plus", "qsfp28", "qsfp56", "qsfp-dd", "osfp", "rj45"
]
"""The cage or jack of a network port."""

Gender = Literal["plug", "socket"]
"""Which half of a connector: what is pushed in, or what takes it."""

Bus = Literal["pcie", "sata", "sas", "usb"]
"""What the lanes carry. `generation` counts within the bus: PCIe 1-7, SATA 1-3, SAS 1-4."""

Direction = Literal["forward", "reverse"]
"""From an adapter to drives, or from a board's SATA ports to a backplane."""

Proof = Literal["seen", "documented", "menu-only", "refuted"]
"""seen on this board | in its manual | only listed in a menu | tried and does not work."""

ChosenBy = Literal["setting", "presence", "jumper", "fixed"]
"""What picks an arrangement: a firmware setting, the card itself, a jumper, or nothing can."""

Wiring = Literal["passive", "switch", "controller"]
"""How a part's own receptacles get lanes: wired through, behind a PCIe switch, or made by a
controller (a host bus adapter's SAS ports)."""

Bracket = Literal["full", "low", "both", "none"]
Cooling = Literal["none", "passive", "fan", "blower"]
Medium = Literal["twinax", "twisted-pair", "multimode", "single-mode"]
"""What a network module sends over; twinax comes as a cable with its plugs on."""

AuxPlug = Literal["pcie-6", "pcie-8", "12v-2x6", "eps-8", "molex-4", "sata-power"]
Voltage = Literal["3.3v", "12v"]
"""A voltage that a receptacle gives; written as a word."""

FirmwareNeed = Literal["large-windows", "resizable-windows", "nvme-boot", "legacy-rom"]
"""Memory windows above 4 GB | windows that the system resizes | starting from an NVMe drive | a
start-up program of the old kind alone. slotfit.standards.firmware has what menus call them."""

Bay = Literal["2.5", "3.5"]
Rail = Literal["5", "3.3"]
SupplyRail = Literal["5", "3.3", "5+3.3"]
Scope = Literal["machine", "processor", "lane-group", "hub", "carrier"]

PartClass = Literal[
    "host-bus-adapter",
    "sas-expander",
    "network-card",
    "network-module",
    "accelerator",
    "carrier",
    "riser",
    "adapter",
    "backplane",
    "port-multiplier",
    "cable",
    "drive",
    "capture-card",
    "sound-card",
    "usb-card",
    "serial-card",
    "air-mover",
    "power-adapter",
    "splitter",
    "fan",
    "fan-hub",
    "other",
]

DeviceKind = Literal["storage", "usb", "network", "sound", "graphics", "other"]

MemoryType = Literal[
    "ddr3-udimm",
    "ddr3-rdimm",
    "ddr3-lrdimm",
    "ddr3-sodimm",
    "ddr4-udimm",
    "ddr4-rdimm",
    "ddr4-lrdimm",
    "ddr4-sodimm",
    "ddr5-udimm",
    "ddr5-rdimm",
    "ddr5-sodimm",
]
"""Generation and build of memory modules: unbuffered, registered, load-reduced, small outline."""

FirmwareMode = Literal["plain", "raid"]
"""An adapter shows each drive as it is, or keeps them behind arrays of its own."""

SharedBy = Literal["virtual-functions", "mediated", "host-service"]

BoardSize = Literal["mini-itx", "micro-atx", "atx", "eatx", "ssi-eeb", "proprietary"]

Stage = Literal[
    "demand",
    "optional-parts",
    "optional-demand",
    "dark-endpoints",
    "unproven-facts",
    "bandwidth",
    "locality",
    "cooling",
    "moves",
    "reserve",
    "spare-lanes",
]
"""A preference. The order of the list is the order of importance."""
