"""Power plugs on cables, the sockets they go into, and the watts that follow."""

from typing import NamedTuple

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, Source

ATX = Source("ATX version 3 design guide 336521", "Table 3-5", AS_QUOTED)
SENSE_MISSING = Source("CEM", "a card that misses Sense1 keeps to 75 W", AS_QUOTED)


class Plug(NamedTuple):
    """A power plug: most watts at 12 V in its own socket, contacts, and what to know of it."""

    name: str
    contacts: int
    power_w: int
    note: str
    source: Source


PLUGS: dict[str, Plug] = {
    row.name: row
    for row in (
        Plug("pcie-6", 6, 75, "2x3, for cards", ATX),
        Plug("pcie-8", 8, 150, "2x4, for cards; usually sold as 6+2", ATX),
        Plug("12v-2x6", 16, 600, "12+4; watts follow from its sense contacts", ATX),
        Plug(
            "eps-8",
            8,
            336,
            "2x4, for processors and some accelerators",
            Source("EPS12V", "four contacts of 7 A at 12 V", FROM_MEMORY),
        ),
        Plug(
            "molex-4",
            4,
            132,
            "one 12 V contact; the wire may allow less",
            Source("", "11 A a contact at 12 V", FROM_MEMORY),
        ),
        Plug(
            "sata-power",
            15,
            54,
            "three 12 V contacts of 1.5 A; less than a pcie-6 plug gives",
            Source("Serial ATA 3", "power connector", FROM_MEMORY),
        ),
    )
}


class Mating(NamedTuple):
    """A plug that goes into a socket, and the most watts it then carries."""

    plug: str
    socket: str
    power_w: int
    source: Source


MATINGS: tuple[Mating, ...] = (
    *(Mating(plug.name, plug.name, plug.power_w, plug.source) for plug in PLUGS.values()),
    Mating("pcie-6", "pcie-8", 75, SENSE_MISSING),
    Mating("pcie-8", "pcie-6", 75, Source("", "6+2 plug with the 2 left off", COMMON_PRACTICE)),
)

SENSE_RATINGS_W = (150, 300, 450, 600)
"""Watts that the sense contacts of a 12v-2x6 plug can permit; its shape alone promises none."""
SENSE_RATINGS_SOURCE = Source(
    "ATX version 3 design guide 336521", "SENSE0 and SENSE1: four levels", AS_QUOTED
)
