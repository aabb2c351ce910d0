"""
Names from a `pci.ids` file: the public list that hosts carry in /usr/share.

Only the vendors asked for are read, so that a list of 40,000 lines costs a few milliseconds.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from pathlib import Path

_NEXT_VENDOR = re.compile(r"\n(?=[0-9a-fA-FC])")
PLACES = (
    Path("/usr/share/misc/pci.ids"),
    Path("/usr/share/hwdata/pci.ids"),
    Path("/usr/share/pci.ids"),
)


@dataclass(frozen=True, slots=True)
class PciIds:
    """The text of a list; look-ups give None for what it does not have."""

    text: str

    def vendor(self, vendor_id: int) -> str | None:
        """The vendor's name."""
        at = self.text.find(f"\n{vendor_id:04x}  ")
        return self.text[at + 7 :].partition("\n")[0].strip() if at >= 0 else None

    def device(self, vendor_id: int, device_id: int) -> str | None:
        """The device's name, without its vendor's."""
        return _entry(self._block(vendor_id), rf"^\t{device_id:04x}  (.+)$")

    def subsystem(self, vendor_id: int, device_id: int, subsystem: tuple[int, int]) -> str | None:
        """The name of the card a device sits on; `subsystem` is vendor and device number."""
        block = self._block(vendor_id)
        start = re.search(rf"^\t{device_id:04x}  .+\n((?:\t\t.*\n)*)", block, re.MULTILINE)
        if not start:
            return None
        return _entry(start.group(1), rf"^\t\t{subsystem[0]:04x} {subsystem[1]:04x}  (.+)$")

    def _block(self, vendor_id: int) -> str:
        """The lines under one vendor."""
        at = self.text.find(f"\n{vendor_id:04x}  ")
        if at < 0:
            return ""
        end = _NEXT_VENDOR.search(self.text, at + 1)
        return self.text[self.text.find("\n", at + 1) + 1 : end.start() + 1 if end else None]


def _entry(text: str, pattern: str) -> str | None:
    found = re.search(pattern, text, re.MULTILINE)
    return found.group(1).strip() if found else None


def load(places: tuple[Path, ...] = PLACES) -> PciIds | None:
    """The first list that is there and can be read; None if none is."""
    for place in places:
        try:
            return PciIds(place.read_text(encoding="utf-8", errors="replace"))
        except OSError:
            continue
    return None
