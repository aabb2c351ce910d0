"""M.2: keys, sizes, lanes and power."""

from dataclasses import dataclass

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, Source

KEY_TABLE = Source("PCI Express M.2 (through a drive manual, p. 3)", "keys", AS_QUOTED)
SIZE_TABLE = Source("PCI Express M.2 (through a drive manual)", "module sizes", AS_QUOTED)


@dataclass(frozen=True, slots=True)
class Key:
    """A socket's key: the contacts it leaves out, its links (lanes each) and its buses."""

    letter: str
    first_contact: int
    last_contact: int
    links: tuple[int, ...]
    buses: tuple[str, ...]
    source: Source


KEYS: dict[str, Key] = {
    row.letter: row
    for row in (
        Key("A", 8, 15, (1, 1), ("pcie", "usb"), KEY_TABLE),
        Key("B", 12, 19, (2,), ("pcie", "sata", "usb"), KEY_TABLE),
        Key("E", 24, 31, (1, 1), ("pcie", "usb"), KEY_TABLE),
        Key("M", 59, 66, (4,), ("pcie", "sata"), KEY_TABLE),
    )
}
"""Most a key can carry. An M socket may be wired for PCIe, SATA or both: the key does not tell."""

MODULE_KEYS: dict[str, tuple[str, ...]] = {
    "A": ("A",),
    "B": ("B",),
    "E": ("E",),
    "M": ("M",),
    "B+M": ("B", "M"),
    "A+E": ("A", "E"),
}
"""Notches of a module, and the sockets it goes into: a socket has exactly one key."""
MODULE_KEYS_SOURCE = Source("PCI Express M.2", "modules with two notches", AS_QUOTED)
TWO_NOTCH_LANES = {"B+M": 2}
"""A notch at B costs a module the contacts of lanes 2 and 3."""

WIDTHS_MM = (12, 16, 22, 30)
LENGTHS_MM = (16, 26, 30, 38, 42, 60, 80, 110)
USUAL_SIZES = ("1630", "2230", "2242", "2260", "2280", "22110")
USUAL_SIZES_SOURCE = Source("", "sizes met in shops", COMMON_PRACTICE)

SUPPLY_V = 3.3
CONTACT_CURRENT_A = 0.5
POWER_CONTACTS_M = 9
POWER_CONTACTS_SOURCE = Source("PCI Express M.2", "socket 3 pinout", FROM_MEMORY)

MAX_GENERATION = 5
MAX_GENERATION_SOURCE = Source("PCI Express M.2", "revision 4 and 5", FROM_MEMORY)

DRIVE_POWER_W: dict[str, tuple[float, Source]] = {
    "2280": (8.25, Source("PCI Express M.2", "usual drive envelope", FROM_MEMORY)),
    "2280 generation 5": (14.0, Source("", "11 to 14 W", FROM_MEMORY)),
}
"""What a drive may draw at 3.3 V, in watts."""


def module_fits(notches: str, socket_key: str) -> bool:
    """
    Whether a module goes into a socket. KeyError for notches no module has.

    >>> module_fits("B+M", "M"), module_fits("M", "B")
    (True, False)
    """
    return socket_key in MODULE_KEYS[notches]


def lanes_at_most(notches: str, socket_key: str) -> int:
    """Widest link a module can have in a socket; 0 if it does not go in."""
    if not module_fits(notches, socket_key):
        return 0
    return min(TWO_NOTCH_LANES.get(notches, 4), max(KEYS[socket_key].links))


def size_mm(code: str) -> tuple[int, int]:
    """
    Width and length in millimetres of a size code. ValueError for one not in the standard.

    >>> size_mm("22110")
    (22, 110)
    """
    width, length = code[:2], code[2:]
    if not (code.isascii() and code.isdecimal() and length):
        raise ValueError(f"{code!r} is no M.2 size: write width and length, such as 2280")
    size = int(width), int(length)
    if size[0] not in WIDTHS_MM or size[1] not in LENGTHS_MM:
        raise ValueError(f"{code!r} is no M.2 size: widths {WIDTHS_MM}, lengths {LENGTHS_MM}")
    return size


def power_contacts_limit_w() -> float:
    """What an M socket's power contacts may carry, in watts: contacts x current x volts."""
    return POWER_CONTACTS_M * CONTACT_CURRENT_A * SUPPLY_V
