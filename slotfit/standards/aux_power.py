"""Power plugs on cables, the sockets they go into, and the watts that follow."""

from dataclasses import dataclass

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, WORKED_OUT, Source

ATX = Source("ATX version 3 design guide 336521", "Table 3-5", AS_QUOTED)
CEM_5 = Source("CEM 5.0", "12VHPWR sense levels", FROM_MEMORY)
CEM_5_1 = Source("CEM 5.1", "12V-2x6 sense levels", FROM_MEMORY)
SENSE_MISSING = Source("CEM", "a card that misses Sense1 keeps to 75 W", AS_QUOTED)


@dataclass(frozen=True, slots=True)
class Plug:
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


@dataclass(frozen=True, slots=True)
class Mating:
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

NEVER: dict[frozenset[str], str] = {
    frozenset({"eps-8", socket}): (
        "an EPS plug has 12 V where a PCIe socket has ground; it must never be forced in"
    )
    for socket in ("pcie-6", "pcie-8")
}
NEVER_SOURCE = Source("CEM", "8-pin plug may be mistaken for EPS12V; sides swapped", FROM_MEMORY)


@dataclass(frozen=True, slots=True)
class SenseLevel:
    """What a 12v-2x6 cable's sense contacts permit: watts at first, and sustained."""

    sense0_grounded: bool
    sense1_grounded: bool
    initial_w: int
    sustained_w: int
    source: Source


SENSE_LEVELS: tuple[SenseLevel, ...] = (
    SenseLevel(True, True, 375, 600, CEM_5_1),
    SenseLevel(False, True, 225, 450, CEM_5_1),
    SenseLevel(True, False, 150, 300, CEM_5_1),
    SenseLevel(False, False, 0, 0, CEM_5_1),
)
"""Of this connector alone. The older 12VHPWR grants 100 W, then 150 W, with both left open."""

OLD_BOTH_OPEN = SenseLevel(False, False, 100, 150, CEM_5)
SHORTED_TOGETHER_W = 150
SHORTED_TOGETHER_SOURCE = CEM_5_1
SENSE_RATINGS_W = (150, 300, 450, 600)
SENSE_RATINGS_SOURCE = Source(
    "ATX version 3 design guide 336521", "SENSE0 and SENSE1: four levels", AS_QUOTED
)


def mating_of(plug: str, socket: str) -> Mating | None:
    """The row for this plug in this socket; None if it does not go in."""
    return next((row for row in MATINGS if (row.plug, row.socket) == (plug, socket)), None)


def plug_power_w(plug: str, socket: str, rating_w: int | None = None) -> int | None:
    """
    Most watts a plug brings to a socket; 0 if it must not go in, None if not known.

    `rating_w` is what the label of a 12v-2x6 cable or supply says, one of SENSE_RATINGS_W.
    Without it the answer for that plug is not known: the shape alone never means 600 W.

    >>> plug_power_w("pcie-6", "pcie-8"), plug_power_w("eps-8", "pcie-8")
    (75, 0)
    """
    row = mating_of(plug, socket)
    if row is None:
        return 0
    if plug == "12v-2x6":
        return None if rating_w is None else min(rating_w, row.power_w)
    return row.power_w


def why_not(plug: str, socket: str) -> str:
    """Why a plug must not go into a socket, as a clause; empty if it may."""
    if mating_of(plug, socket) is not None:
        return ""
    return NEVER.get(frozenset({plug, socket}), f"a {plug} plug is not made for a {socket} socket")


TWO_PLUGS_AND_SLOT_W = 375
TWO_PLUGS_SOURCE = Source("", "two pcie-8 plugs and a 75 W slot", WORKED_OUT)
