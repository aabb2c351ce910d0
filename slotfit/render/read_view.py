"""What `read` has to say beside the files it writes."""

from __future__ import annotations

from dataclasses import dataclass

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class SlotRow:
    """One receptacle of the board."""

    id: str
    label: str
    form: str
    lanes: int | None
    generation: int | None
    processor: str | None
    """Processor or hub the lanes come from; None: not known."""
    holds: str
    """What sits in it; empty: nothing that is known."""
    sure: bool
    """False: only its port shows it, or nothing is known but that."""


@dataclass(frozen=True, slots=True)
class PartRow:
    """One part of the build."""

    item: str
    name: str
    site: str | None
    file: str
    assumed: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadView:
    """Everything that was found, and what there is to doubt, to measure and to find out."""

    schema_version: int
    machine: str
    title: str
    sources: tuple[tuple[str, str], ...]
    """What kind of listing each was, and where it stands."""
    processors: tuple[tuple[str, str, bool | None], ...]
    """Id, label, fitted (None: nobody says)."""
    slots: tuple[SlotRow, ...]
    parts: tuple[PartRow, ...]
    omitted: tuple[tuple[str, str], ...]
    """Receptacles that are not described, and why."""
    soldered: tuple[str, ...]
    disagreements: tuple[str, ...]
    not_read: tuple[str, ...]
    odd: tuple[str, ...]
    gaps: tuple[tuple[str, tuple[str, ...], str], ...]
    """What is not known, of which receptacles, and how to find it out."""
    files: tuple[str, ...]
    next: tuple[str, ...]
    """Commands to go on with."""
