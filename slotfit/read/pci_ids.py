"""
Names from a `pci.ids` file: the public list that hosts carry in /usr/share.

Only the vendors asked for are read, so that a list of 40,000 lines costs a few milliseconds.
"""

from __future__ import annotations

import re
from dataclasses import dataclass
from functools import lru_cache
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
        return _vendor(self.text, vendor_id)

    def device(self, vendor_id: int, device_id: int) -> str | None:
        """The device's name, without its vendor's."""
        return _entry(_block(self.text, vendor_id), rf"^\t{device_id:04x}  (.+)$")

    def subsystem(self, vendor_id: int, device_id: int, subsystem: tuple[int, int]) -> str | None:
        """The name of the card a device sits on; `subsystem` is vendor and device number."""
        block = _block(self.text, vendor_id)
        start = re.search(rf"^\t{device_id:04x}  .+\n((?:\t\t.*\n)*)", block, re.MULTILINE)
        if not start:
            return None
        return _entry(start.group(1), rf"^\t\t{subsystem[0]:04x} {subsystem[1]:04x}  (.+)$")


# A machine has many parts of few vendors.
@lru_cache(maxsize=64)
def _vendor(text: str, vendor_id: int) -> str | None:
    at = text.find(f"\n{vendor_id:04x}  ")
    return text[at + 7 : text.find("\n", at + 7)].strip() if at >= 0 else None


@lru_cache(maxsize=64)
def _block(text: str, vendor_id: int) -> str:
    """The lines under one vendor."""
    at = text.find(f"\n{vendor_id:04x}  ")
    if at < 0:
        return ""
    end = _NEXT_VENDOR.search(text, at + 1)
    return text[text.find("\n", at + 1) + 1 : end.start() + 1 if end else None]


@lru_cache(maxsize=1024)
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
