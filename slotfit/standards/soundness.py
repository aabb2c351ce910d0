"""From how many errors on a link that works is not sound. All common practice, no source."""

from __future__ import annotations

from slotfit.standards.source import COMMON_PRACTICE, Source

FEW_CORRECTED = 10
"""So many corrected errors in all are no sign: a link makes some while it trains."""

QUIET_PER_HOUR = 1.0
"""Nor are so many an hour; a sound link makes none for days."""

START_S = 120
"""Resets while the system starts are its own: adapters and drivers reset what they find."""

HARMLESS = frozenset(("UnsupReq", "NonFatalErr"))
"""Kinds that a system makes itself while it looks for devices: requests that nobody answers."""

OF_THE_WIRES = frozenset(("RxErr", "BadTLP", "BadDLLP", "Rollover", "Timeout"))
"""Corrected kinds of the physical and the data link layer (PCI Express Base, 6.2; from memory)."""

SOURCE = Source("", "", COMMON_PRACTICE)
