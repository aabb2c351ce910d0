"""The view of a sequence: windows with what is done, stretches with the state after each."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class MoveView:
    """One part pulled, put in or moved, with what comes along."""

    item: str
    name: str
    from_: str | None
    """Site id; None: it was in no receptacle of this build."""
    from_label: str
    """`SLOT 3`, `beside the machines`, `old/slot1`."""
    to: str | None
    to_label: str
    onto: str
    """Part whose socket it goes into; empty for a board."""
    socket: str
    """Name of that socket."""
    riders: tuple[str, ...]
    """What stays on it all the while."""
    link: str
    """What it trains at in its new place; empty if it leaves or has no links."""
    cables: tuple[str, ...]
    """What to unplug and to plug, in words."""


@dataclass(frozen=True, slots=True)
class SettingChangeView:
    """One lane group to be arranged otherwise."""

    machine: str
    group: str
    before: str
    after: str
    how: str
    """setting, presence, jumper or fixed."""


@dataclass(frozen=True, slots=True)
class MachineWorkView:
    """What is done in one machine that is off."""

    machine: str
    name: str
    out: tuple[MoveView, ...]
    """Parts that leave it."""
    moved: tuple[MoveView, ...]
    """Parts that stay in it elsewhere."""
    in_: tuple[MoveView, ...]
    """Parts that come into it."""
    changes: tuple[SettingChangeView, ...]


@dataclass(frozen=True, slots=True)
class ServiceView:
    """One service in one stretch."""

    name: str
    machines: tuple[str, ...]
    """Where it runs; none: it is down."""
    new: bool
    """It did not run at the beginning."""


@dataclass(frozen=True, slots=True)
class MirrorView:
    """One mirror in one stretch."""

    name: str
    machine: str
    members: int
    in_service: int
    missing: tuple[str, ...]
    """Items of the members that are not in service."""
    released: bool
    """Its data is copied; it is needed no longer."""
    resyncs: bool
    """A member came back and has to catch up before the next window."""


@dataclass(frozen=True, slots=True)
class CopyView:
    """One copy."""

    name: str
    sources: tuple[str, ...]
    targets: tuple[str, ...]
    network: bool
    stretch: int
    """Made in this stretch: 0 before window 1."""
    from_site: str
    """Board receptacle below the source then."""
    to_site: str


@dataclass(frozen=True, slots=True)
class StretchView:
    """How things are between two windows."""

    number: int
    """0 is today; otherwise the window before it."""
    copies: tuple[str, ...]
    """To be made now."""
    waiting: tuple[str, ...]
    """Still to be made later."""
    services: tuple[ServiceView, ...]
    mirrors: tuple[MirrorView, ...]
    beside: tuple[str, ...]
    """Parts that lie beside the machines, were in one before, and will be again."""
    slow: tuple[str, ...]
    """Parts that get less than today and at the goal."""
    out: tuple[str, ...]
    """Parts that run today and at the goal, and not now."""
    shared_loss_mb_s: int
    """More than today and at the goal; 0 if not."""
    checks: tuple[str, ...]
    """What to see to before the next machine is switched off."""
    facts: tuple[str, ...]
    """Ids of the facts that its layout rests on."""
    done: tuple[str, ...]
    """Retired machines that nothing is taken out of any more."""
    stop: str
    """What it means to stop here, as a sentence."""
    whole: bool
    """Nothing is down, missing or slow."""
    places: Mapping[str, str]
    """Part -> receptacle: what a build file says as `today` where one stops here."""
    settings: Mapping[str, str]
    """Lane group -> arrangement: what it says as `settings_today`."""


@dataclass(frozen=True, slots=True)
class WindowView:
    """One power-down."""

    number: int
    off: tuple[str, ...]
    on: tuple[str, ...]
    """Machines that run on."""
    work: tuple[MachineWorkView, ...]
    down: tuple[str, ...]
    """Services that are cut off by it."""
    keep: tuple[str, ...]
    """Services that run through it."""
    risks: tuple[str, ...]
    cautions: tuple[str, ...]
    waits_for: tuple[str, ...]
    """What arrives for it."""
    after: StretchView


@dataclass(frozen=True, slots=True)
class CellView:
    """One receptacle in one stretch."""

    item: str | None
    riders: int
    """Parts that sit on it."""


@dataclass(frozen=True, slots=True)
class PlaceView:
    """One receptacle through all stretches."""

    machine: str
    """Empty: beside the machines."""
    site: str
    label: str
    cells: tuple[CellView, ...]


@dataclass(frozen=True, slots=True)
class FigureView:
    """One figure that was made small."""

    name: str
    value: int
    bound: int
    says: str


@dataclass(frozen=True, slots=True)
class SequenceFactView:
    """Something unproven that some layout rests on."""

    id: str
    statement: str
    find_out: str
    where: str
    stretches: tuple[int, ...]


@dataclass(frozen=True, slots=True)
class HelpView:
    """Helps that together make it possible."""

    do: tuple[str, ...]
    write: tuple[str, ...]
    windows: int
    touches: int
    reduced: int
    proven: bool


@dataclass(frozen=True, slots=True)
class ApartView:
    """Why two ends of a copy never run in one machine."""

    copy: str
    machine: str
    beside: tuple[str, ...]
    reasons: tuple[tuple[str, str], ...]
    """Sentence and rule."""


@dataclass(frozen=True, slots=True)
class NoWayView:
    """Why there is no sequence, and what would help."""

    ruled_out: int | None
    """Windows that do not do; None: no number does."""
    demands: tuple[str, ...]
    minimal: bool
    apart: tuple[ApartView, ...]
    helps: tuple[HelpView, ...]
    tried: int
    complete: bool


@dataclass(frozen=True, slots=True)
class SequenceView:
    """A whole answer."""

    schema_version: int
    build: str
    title: str
    invented: bool
    status: str
    headline: str
    seconds: float
    machines: tuple[tuple[str, str], ...]
    """Id and name."""
    retired: tuple[str, ...]
    today: StretchView | None
    windows: tuple[WindowView, ...]
    copies: tuple[CopyView, ...]
    places: tuple[PlaceView, ...]
    figures: tuple[FigureView, ...]
    facts: tuple[SequenceFactView, ...]
    notes: tuple[str, ...]
    """What was taken for granted."""
    cautions: tuple[str, ...]
    """Every caution of the windows, once."""
    no_way: NoWayView | None = None
