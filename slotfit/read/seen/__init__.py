"""
What one source said of a machine: neutral values that every reader fills and `merge` puts together.

Three conventions hold for every field of every value here:

- `None` means "the source does not say". It never means zero, no, or none there.
- An empty tuple means "the source says there are none"; where that differs from not said, the
  field is `tuple | None`.
- `where` is the place in the source the value was read from, for the reader of the answer.

A parser is a pure function `parse(text_or_bytes, file) -> Reading`. It raises nothing for odd
input: what it cannot read becomes a `Note`.
"""

from slotfit.read.seen.place import Note, Notes, PciAddress, Where
from slotfit.read.seen.reading import Reading
from slotfit.read.seen.system import (
    DriveSeen,
    FunctionSeen,
    LinkSeen,
    NodeSeen,
    PortNameSeen,
    SlotDirSeen,
)
from slotfit.read.seen.table import (
    BoardSeen,
    ChassisSeen,
    OnboardSeen,
    PeerSeen,
    PowerSupplySeen,
    ProcessorSeen,
    SlotSeen,
)

__all__ = [
    "BoardSeen",
    "ChassisSeen",
    "DriveSeen",
    "FunctionSeen",
    "LinkSeen",
    "NodeSeen",
    "Note",
    "Notes",
    "OnboardSeen",
    "PciAddress",
    "PeerSeen",
    "PortNameSeen",
    "PowerSupplySeen",
    "ProcessorSeen",
    "Reading",
    "SlotDirSeen",
    "SlotSeen",
    "Where",
]
