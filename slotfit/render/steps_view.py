"""Steps to tick off at the open case."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to do or to check."""

    id: str
    """The same for the same plan, so that ticks find their step again."""
    text: str
    details: tuple[str, ...] = ()
    code: tuple[str, ...] = ()
    """Commands to type, or lines to look for."""
    letter: str = ""
    """The cable's letter in the picture."""


@dataclass(frozen=True, slots=True)
class Section:
    """Steps that belong together, in the order of the work."""

    id: str
    title: str
    steps: tuple[Step, ...]
    note: str = ""
    remarks: tuple[str, ...] = ()
    """What is good to know and nothing to tick."""
