"""What a plan leaves room for, worked out once; renderers only lay it out."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.compare.answer import OutlookView


@dataclass(frozen=True, slots=True)
class NewSeatView:
    """One added part where it would go."""

    item: str
    part: str
    site: str
    label: str
    """The name printed beside the receptacle."""
    link: str
    """`16 GT/s x8`, `power only`."""
    hangs_on: str
    """`cpu1 via chipset`; empty if it takes no lanes."""
    inside: bool
    """It sits in another added part."""


@dataclass(frozen=True, slots=True)
class MoveView:
    """A part that has to go elsewhere for it."""

    item: str
    from_: str
    to: str


@dataclass(frozen=True, slots=True)
class RoomView:
    """What became of one addition."""

    name: str
    asked: int
    """So many were tried at most."""
    fits: int
    """How many of it fit at once."""
    counted: bool
    """One more was proven not to fit, or was not asked for; False: time ran out."""
    fewest_moves: bool
    """No way to add them moves fewer parts."""
    seats: tuple[NewSeatView, ...]
    moves: tuple[MoveView, ...]
    settings: tuple[str, ...]
    """What has to be set otherwise than the plan has it."""
    worse: tuple[str, ...]
    """What the parts that are there lose: shares of a link, the processor they should be near."""
    facts: tuple[str, ...]
    """Unproven facts it rests on beyond those of the plan."""
    why_no_more: str
    """What stands in the way of one more; empty if all that were asked for fit."""
    drives: int
    """NVMe drives among what fits."""


@dataclass(frozen=True, slots=True)
class HeadroomView:
    """All additions, each tried on its own beside the plan."""

    schema_version: int
    build: str
    title: str
    status: str
    """Of the plan: proven, unproven, impossible or unknown; with the last two nothing is tried."""
    headline: str
    """The same in a sentence without its full stop."""
    rooms: tuple[RoomView, ...]
    outlook: OutlookView | None
    """Which of the likely futures fit, if any were asked about; `rooms` has each of them."""
    untried: tuple[str, ...]
    """Additions that were not tried because the run was stopped."""
