"""Card electromechanical sizes, connectors and slot power, in millimetres and watts."""

from typing import NamedTuple

from slotfit.standards.source import AS_QUOTED, FROM_MEMORY, MEASURED, Source

OUTLINE = Source("open drawing of card outlines", "", MEASURED)
POWER = Source("CEM 1.1 pp. 35-36 (as quoted)", "kept by 2.0 to 5.1", FROM_MEMORY)


class Connector(NamedTuple):
    """One connector size: contacts on each side, housing and card-edge tab length."""

    lanes: int
    contacts_a_side: int
    housing_mm: float
    tab_mm: float
    source: Source


CONNECTORS: dict[int, Connector] = {
    row.lanes: row
    for row in (
        Connector(1, 18, 25.0, 20.30, OUTLINE),
        Connector(4, 32, 39.0, 34.30, OUTLINE),
        Connector(8, 49, 56.0, 51.30, OUTLINE),
        Connector(16, 82, 89.0, 84.30, OUTLINE),
    )
}
"""Contacts and tabs measured; housings are about right, as quoted (contacts + 7 mm)."""

CONNECTOR_LANES = tuple(CONNECTORS)
"""An x2 link has no connector of its own; it sits in an x4 connector."""


def made(width: int | None) -> int | None:
    """
    The size of a connector, if it is one that is made; else it is as good as not known.

    >>> made(8), made(2), made(None)
    (8, None, None)
    """
    return width if width in CONNECTORS else None


FULL_HEIGHT_MM = 111.15
LOW_PROFILE_HEIGHT_MM = 68.90
FULL_LENGTH_MM = 312.00
HALF_LENGTH_MM = 167.65
LOW_PROFILE_LENGTH_MM = 167.65
SIZES_SOURCE = OUTLINE
"""Many pages print the older parallel PCI sizes (106.68, 64.41); these are PCI Express's."""

PITCH_MM = 20.32
PITCH_SOURCE = Source("CEM", "slot pitch, 0.8 inch", FROM_MEMORY)
BOARD_MM = 1.57
SOLDER_SIDE_MM = 2.67
"""What stands out of a card's back at most (CEM, card outline drawing, as quoted)."""
BOARD_SOURCE = Source("CEM", "thickness of a card's board, 0.062 inch", FROM_MEMORY)


class SlotPower(NamedTuple):
    """What a card may draw from its slot once it is configured, in watts."""

    lanes: tuple[int, ...]
    low_profile: bool | None
    graphics: bool | None
    power_w: float
    source: Source


SLOT_POWER: tuple[SlotPower, ...] = (
    SlotPower((1,), True, None, 10, POWER),
    SlotPower((1,), False, None, 25, POWER),
    SlotPower((4, 8), None, None, 25, POWER),
    SlotPower((16,), True, None, 25, POWER),
    SlotPower((16,), False, False, 25, POWER),
    SlotPower((16,), False, True, 75, POWER),
)
"""
First row that fits counts; None fits both. The card's total is the cap, never the sum of its rails.

A board may supply less or more: its manual goes first. The size of the connector decides, not the
lanes wired to it. Many servers grant 75 W to any x16 card: common practice, no source.
"""


def slot_power(connector_width: int, low_profile: bool, graphics: bool) -> SlotPower:
    """The row of SLOT_POWER that applies. KeyError for a width no connector has."""
    for row in SLOT_POWER:
        if (
            connector_width in row.lanes
            and row.low_profile in (None, low_profile)
            and row.graphics in (None, graphics)
        ):
            return row
    raise KeyError(connector_width)


def slot_power_limit_w(connector_width: int, low_profile: bool, graphics: bool) -> float:
    """
    Most a card may draw from its slot once configured, in watts; plugs come on top.

    >>> slot_power_limit_w(16, low_profile=False, graphics=True)
    75
    """
    return slot_power(connector_width, low_profile, graphics).power_w


ENTRY_SOURCE = Source("", "a closed housing stops a longer tab", AS_QUOTED)


def card_enters(card_connector: int, slot_connector: int, open_ended: bool | None) -> bool | None:
    """
    Whether a card's edge goes into a slot's housing; None if that hangs on an unknown open end.

    An open end is the board maker's choice and no part of the standard; what stands behind the
    slot must leave room too.

    >>> card_enters(16, 8, open_ended=None) is None
    True
    """
    return True if card_connector <= slot_connector else open_ended
