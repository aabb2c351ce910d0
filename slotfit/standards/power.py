"""Power plugs on cables, the sockets they go into, and the watts that follow."""

from collections.abc import Iterable
from typing import NamedTuple

from slotfit.standards.forms import (
    POWER_CONTACTS,
    POWER_CONTACTS_SOURCE,
    power_contacts_limit_w,
)
from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, Source

ATX = Source("ATX version 3 design guide 336521", "Table 3-5", AS_QUOTED)
SENSE_MISSING = Source("CEM", "a card that misses Sense1 keeps to 75 W", AS_QUOTED)


class PowerPlug(NamedTuple):
    """A power plug: most watts at 12 V in its own socket, contacts, and what to know of it."""

    name: str
    contacts: int
    power_w: int
    note: str
    source: Source


PLUGS: dict[str, PowerPlug] = {
    row.name: row
    for row in (
        PowerPlug("pcie-6", 6, 75, "2x3, for cards", ATX),
        PowerPlug("pcie-8", 8, 150, "2x4, for cards; usually sold as 6+2", ATX),
        PowerPlug("12v-2x6", 16, 600, "12+4; watts follow from its sense contacts", ATX),
        PowerPlug(
            "eps-8",
            8,
            336,
            "2x4, for processors and some accelerators",
            Source("EPS12V", "four contacts of 7 A at 12 V", FROM_MEMORY),
        ),
        PowerPlug(
            "molex-4",
            4,
            132,
            "one 12 V contact; the wire may allow less",
            Source("", "11 A a contact at 12 V", FROM_MEMORY),
        ),
        PowerPlug(
            "sata-power",
            15,
            54,
            "three 12 V contacts of 1.5 A; less than a pcie-6 plug gives",
            Source("Serial ATA 3", "power connector", FROM_MEMORY),
        ),
    )
}


def plugs_w(plugs: Iterable[str]) -> float:
    """
    What plugs carry together at most, each in its own socket.

    >>> plugs_w(("pcie-8", "pcie-6")), plugs_w(("sata-power",))
    (225, 54)
    """
    return sum(PLUGS[plug].power_w for plug in plugs)


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


class Adapter(NamedTuple):
    """A lead that makes a plug out of several others, and the watts its sense contacts permit."""

    socket: str
    plug: str
    tails: int
    power_w: int
    source: Source


_TAILS = Source("", "leads from two, three and four eight-contact plugs", COMMON_PRACTICE)

ADAPTERS: tuple[Adapter, ...] = (
    Adapter("12v-2x6", "pcie-8", 2, 300, _TAILS),
    Adapter("12v-2x6", "pcie-8", 3, 450, _TAILS),
    Adapter("12v-2x6", "pcie-8", 4, 600, _TAILS),
    Adapter("eps-8", "pcie-8", 2, 300, Source("", "supplied with passive cards", COMMON_PRACTICE)),
)
"""Leads that are made; the weakest of a socket first. Each is one part from one maker."""

PLUG_ROOM_MM = 35
"""What a plug and its cable's bend need beyond a card's edge: common practice, no source."""

SENSE_RATINGS_W = (150, 300, 450, 600)
"""Watts that the sense contacts of a 12v-2x6 plug can permit; its shape alone promises none."""
SENSE_RATINGS_SOURCE = Source(
    "ATX version 3 design guide 336521", "SENSE0 and SENSE1: four levels", AS_QUOTED
)


class Promise(NamedTuple):
    """Watts that any receptacle of a form supplies."""

    form: str
    power_w: float
    source: Source


_OCP = Source("OCP NIC 3.0", "3.9, smallest power envelope", FROM_MEMORY)

PROMISES: dict[str, Promise] = {
    row.form: row
    for row in (
        *(
            Promise(form, power_contacts_limit_w(form), POWER_CONTACTS_SOURCE)
            for form in POWER_CONTACTS
        ),
        Promise("u2", 25, Source("drive maker's page on E1", "25 W reliable limit", AS_QUOTED)),
        Promise("u3", 25, Source("SFF-TA-1001", "the connector of SFF-8639", FROM_MEMORY)),
        Promise("u2-u3", 25, Source("SFF-TA-1001", "the connector of SFF-8639", FROM_MEMORY)),
        Promise("e1s", 12, Source("SFF-TA-1006", "thinnest module, 5.9 mm", AS_QUOTED)),
        Promise("e1l", 25, Source("SFF-TA-1007", "9.5 mm", AS_QUOTED)),
        Promise("e3s", 25, Source("SFF-TA-1008", "7.5 mm", FROM_MEMORY)),
        Promise("e3l", 40, Source("SFF-TA-1008", "7.5 mm", FROM_MEMORY)),
        Promise("ocp3-sff", 15, _OCP),
        Promise("ocp3-lff", 15, _OCP),
    )
}
"""Card edge slots are in `cem.SLOT_POWER`: there the card's class counts. Other forms: nothing."""


def promised_w(form: str) -> float:
    """
    Watts any receptacle of the form supplies; 0 where no promise is known.

    >>> promised_w("u2"), promised_w("mcio-8")
    (25, 0.0)
    """
    row = PROMISES.get(form)
    return row.power_w if row else 0.0


class Rails(NamedTuple):
    """Voltages by which a form feeds what is plugged in."""

    form: str
    rails: tuple[str, ...]
    source: Source


_M2 = Source("PCI Express M.2", "3.3 V is the only supply, whatever the key", FROM_MEMORY)
_BAYS = Source("SFF-8639, SFF-TA-1006 to -1009", "12 V feeds the drive", FROM_MEMORY)

RAILS: dict[str, Rails] = {
    row.form: row
    for row in (
        Rails("cem", ("3.3v", "12v"), Source("CEM 1.1", "pp. 35-36", AS_QUOTED)),
        *(Rails(f"m2-{key}", ("3.3v",), _M2) for key in ("a", "b", "e", "m", "bm", "ae")),
        *(Rails(bay, ("12v",), _BAYS) for bay in ("u2", "u3", "e1s", "e1l", "e3s", "e3l")),
    )
}
"""Forms that have them; of others nothing is said."""

SLOT_3V3_W = 9.9
"""What the contacts of a card slot carry at 3.3 V, x1 to x16."""
SLOT_3V3_SOURCE = Source("CEM 1.1", "pp. 35-36: 3 A at 3.3 V", AS_QUOTED)

COOL_W = 5
"""A passive part that draws more may need moving air: its maker is asked for a figure."""
COOL_SOURCE = Source(
    "820-6536 appendix A", "one network adapter of 12 W asks for 200 LFM at 55 C", AS_QUOTED
)
"""That the question begins at 5 W is common practice, no source."""

WARM_INLET_C = 35
"""Air as warm as this is to be expected before the cards: common practice, no source."""


LOW_LINE_V = 127
"""Up to here the wall is one of 100 to 127 V, at which many server supplies give less."""
LOW_LINE_SOURCE = Source("", "labels of server supplies: two lines of watts", COMMON_PRACTICE)

LOW_LINE_W = 1000
"""What a supply of more than that gives there, where its label is not known: no more may be."""
LOW_LINE_W_SOURCE = Source("", "1000 to 1200 W of server supplies of 1600", COMMON_PRACTICE)

FIVE_VOLT_W = 100
"""What any larger supply gives at 5 V; labels say 100 to 130 W."""
FIVE_VOLT_SOURCE = Source("", "labels of supplies: 20 to 26 A at 5 V", COMMON_PRACTICE)

DISK_FIVE_VOLT_W = 4
"""What a 3.5-inch disk takes at 5 V at most, where its description has no figure."""
DISK_FIVE_VOLT_SOURCE = Source("disk data sheets", "0.6 to 0.8 A at 5 V", AS_QUOTED)

SPIN_UP_W = 30
"""The most that a 3.5-inch disk takes while it starts, where its description has no figure."""
SPIN_UP_SOURCE = Source("disk data sheets", "2 to 2.2 A at 12 V, 0.6 to 0.8 A at 5 V", AS_QUOTED)

PEAK_TIMES = 2
"""An accelerator's draw for about a millisecond, as a multiple of its watts, at most."""
PEAK_SOURCE = Source("ATX version 3 design guide 336521", "power excursions", FROM_MEMORY)
