"""Everything one source said."""

from __future__ import annotations

from dataclasses import dataclass, replace

from slotfit.read.seen.place import Note
from slotfit.read.seen.system import DriveSeen, FunctionSeen, NodeSeen, PortNameSeen, SlotDirSeen
from slotfit.read.seen.table import (
    BoardSeen,
    ChassisSeen,
    OnboardSeen,
    PowerSupplySeen,
    ProcessorSeen,
    SlotSeen,
)


@dataclass(frozen=True, slots=True)
class Reading:
    """
    Everything one source said.

    `kind` names the source: "dmidecode text", "smbios table", "lspci text", "lspci hex",
    "lspci tree", "sysfs", "bundle". `slots_read` is False where the source could not read the slot
    table at all, so that no slots means "not read" and not "none".
    """

    kind: str
    file: str
    boards: tuple[BoardSeen, ...] = ()
    chassis: tuple[ChassisSeen, ...] = ()
    processors: tuple[ProcessorSeen, ...] = ()
    slots: tuple[SlotSeen, ...] = ()
    onboard: tuple[OnboardSeen, ...] = ()
    power_supplies: tuple[PowerSupplySeen, ...] = ()
    functions: tuple[FunctionSeen, ...] = ()
    slot_dirs: tuple[SlotDirSeen, ...] = ()
    drives: tuple[DriveSeen, ...] = ()
    port_names: tuple[PortNameSeen, ...] = ()
    nodes: tuple[NodeSeen, ...] = ()
    notes: tuple[Note, ...] = ()
    slots_read: bool | None = None

    def with_notes(self, *notes: Note) -> Reading:
        """The same, with these notes added."""
        return replace(self, notes=self.notes + notes)
