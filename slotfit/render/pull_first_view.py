"""What to pull first, as it is shown."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.render.sequence_view import SettingChangeView

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class PullView:
    """What it means to pull some parts."""

    items: tuple[str, ...]
    riders: tuple[str, ...]
    frees: tuple[str, ...]
    """`SLOT 3: 16 GT/s x16`, `75 W`, `one pcie-8 plug`."""
    makes_room: bool
    goes_to: str
    """Where the part goes then; empty if it still has no room."""
    link: str
    changes: tuple[SettingChangeView, ...]
    stops: tuple[str, ...]
    risks: tuple[str, ...]
    elsewhere: tuple[tuple[str, str], ...]
    """Item and place where what came out could live; none: nowhere."""
    stops_then: tuple[str, ...]
    """Services that stay down even so."""


@dataclass(frozen=True, slots=True)
class PullFirstView:
    """The whole answer to what to pull first."""

    schema_version: int
    build: str
    title: str
    part: str
    along: tuple[str, ...]
    headline: str
    fits_now: str
    """Where it goes without anything being pulled; empty if nowhere."""
    moves: tuple[tuple[str, str, str], ...]
    """If moving parts is enough: item, from, to; else none."""
    pulls: tuple[PullView, ...]
    cautions: tuple[str, ...]
    complete: bool
