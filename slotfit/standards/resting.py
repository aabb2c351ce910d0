"""Which parts let their link fall to the lowest rate while nothing moves over it."""

from __future__ import annotations

from types import MappingProxyType
from typing import NamedTuple

from slotfit.standards.source import COMMON_PRACTICE, FROM_MEMORY, Source

RESTING_GENERATION = 1
"""A link at rest runs at 2.5 GT/s, the lowest rate there is (PCIe Base, rates; from memory)."""


class Rest(NamedTuple):
    """Whether parts of a class do so; `rests` None: some do, so only a look under load tells."""

    rests: bool | None
    source: Source


_SEEN = Source("", "", COMMON_PRACTICE)

REST_OF_CLASS = MappingProxyType(
    {
        "accelerator": Rest(True, _SEEN),
        "drive": Rest(True, Source("", "some NVMe drives do", COMMON_PRACTICE)),
        "host-bus-adapter": Rest(False, _SEEN),
        "capture-card": Rest(None, Source("", "", FROM_MEMORY)),
        "network-card": Rest(None, Source("", "", FROM_MEMORY)),
        "sound-card": Rest(None, Source("", "", FROM_MEMORY)),
        "usb-card": Rest(None, Source("", "", FROM_MEMORY)),
        "serial-card": Rest(None, Source("", "", FROM_MEMORY)),
    }
)
"""Class of a part -> whether its link rests; a class that is not here is not known."""


def rests(part_class: str) -> bool | None:
    """Whether the lowest rate is rest; False: it is a fault; None: nobody can say."""
    found = REST_OF_CLASS.get(part_class)
    return found.rests if found else None
