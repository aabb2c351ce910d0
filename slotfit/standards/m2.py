"""M.2: the lengths of modules, and power."""

from slotfit.standards.source import AS_QUOTED, FROM_MEMORY, Source

SIZE_TABLE = Source("PCI Express M.2 (through a drive manual)", "module sizes", AS_QUOTED)

LENGTHS_MM = (16, 26, 30, 38, 42, 60, 80, 110)
"""SIZE_TABLE."""

SUPPLY_V = 3.3
CONTACT_CURRENT_A = 0.5
POWER_CONTACTS_M = 9
POWER_CONTACTS_SOURCE = Source("PCI Express M.2", "socket 3 pinout", FROM_MEMORY)

DRIVE_POWER_W = 8.25
"""What a drive of the usual size (2280) may draw at 3.3 V; generation 5 drives take 11 to 14."""
DRIVE_POWER_SOURCE = Source("PCI Express M.2", "usual drive envelope", FROM_MEMORY)


def power_contacts_limit_w() -> float:
    """
    What an M socket's power contacts may carry, in watts: contacts x current x volts.

    >>> power_contacts_limit_w()
    14.85
    """
    return POWER_CONTACTS_M * CONTACT_CURRENT_A * SUPPLY_V
