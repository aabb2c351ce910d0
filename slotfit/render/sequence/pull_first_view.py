"""What to pull first, as it is shown."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.render.sequence.view import SettingChangeView

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
    rests_on: tuple[tuple[str, str], ...]
    """Facts nobody has proven on which the part's seat then rests, each with how to find it out."""
    changes: tuple[SettingChangeView, ...]
    stops: tuple[str, ...]
    risks: tuple[str, ...]
    elsewhere: tuple[tuple[str, str, str], ...]
    """Item, place where what came out could live, and its link there; none: nowhere."""
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
    short_mb_s: int
    """MB/s of what it moves that do not get through its link there."""
    rests_on: tuple[tuple[str, str], ...]
    """Facts nobody has proven on which that rests, each with how to find it out."""
    moves: tuple[tuple[str, str, str], ...]
    """If moving parts is enough: item, from, to; else none."""
    pulls: tuple[PullView, ...]
    cautions: tuple[str, ...]
    complete: bool
