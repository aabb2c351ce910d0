"""What `verify` answers: planned against seen, part by part."""

from __future__ import annotations

from dataclasses import dataclass

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class CauseView:
    """A likely cause, and the next thing to try."""

    text: str
    next: str


@dataclass(frozen=True, slots=True)
class FindingView:
    """
    One difference between plan and machine.

    `kind`: missing, elsewhere, another-part, fewer-drives, narrower, slower, resting,
    other-processor, shared-isolation, extra, not-known. `weight`: fault (not as planned), open
    (cannot be told from what was read), note (no fault).
    """

    kind: str
    weight: str
    items: tuple[str, ...]
    site: str | None
    text: str
    causes: tuple[CauseView, ...]


@dataclass(frozen=True, slots=True)
class PartView:
    """One part of the plan, and how it was found."""

    item: str
    site: str
    label: str
    planned: str
    """`16 GT/s x8`; empty for what has no link of its own."""
    seen: str
    """`16 GT/s x8`, `not there`, `not known`."""
    says: str
    """as planned | what is wrong, in a word or two | cannot be seen from the bus"""
    good: bool | None
    """None: nothing that was read can tell."""
    address: str | None
    names: tuple[str, ...]
    """What the system calls it: drives, interfaces."""


@dataclass(frozen=True, slots=True)
class VerifyView:
    """The whole comparison."""

    schema_version: int
    build: str
    machine: str
    against: str
    """`the plan` or `today's layout`."""
    good: bool
    headline: str
    sources: tuple[tuple[str, str], ...]
    parts: tuple[PartView, ...]
    findings: tuple[FindingView, ...]
    unmatched: tuple[str, ...]
    """Receptacles of the plan that nothing in the machine could be tied to."""
    notes: tuple[str, ...]
