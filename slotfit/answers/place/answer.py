"""
The view: everything an answer shows, worked out once; renderers only lay it out.

Plain values: names, whole numbers with their unit in the name, texts that are sentences.
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.place.layout import BodyView, GroupView, ReceptacleView, RowView

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class LinkView:
    """One link of a part: what it trains at, and what it could."""

    at: int
    lanes: int
    """0: it stays dark."""
    generation: int | None
    able_lanes: int
    able_generation: int | None
    bus: str
    mb_s: int
    """Usable, each way."""
    text: str
    """`8 GT/s x8`, `dark`."""
    able_text: str
    to: tuple[str, ...]
    why: str
    """Why it is dark or below its ability; empty if neither."""


@dataclass(frozen=True, slots=True)
class SeatView:
    """One part where the plan puts it."""

    item: str
    part: str
    part_class: str
    name: str
    site: str
    label: str
    """The name printed beside the receptacle, or its id."""
    machine: str
    owner: str
    """Machine id or item id that the receptacle belongs to."""
    depth: int
    processor: str | None
    """Id of the processor whose lanes it uses."""
    hub: str | None
    group: str | None
    setting: str | None
    links: tuple[LinkView, ...]
    wanted_in_mb_s: int
    wanted_out_mb_s: int
    short_mb_s: int
    """In and out together, at its own link."""
    shared_short_mb_s: int
    """What its own link up loses for the parts on it (switches, controllers)."""
    slot_w: float | None
    aux_w: float | None
    aux: tuple[str, ...]
    positions: tuple[int, ...]
    today: str | None
    facts: tuple[str, ...]
    """Ids of the facts it rests on."""
    near: str | None
    far: bool
    reason: str = ""
    """Why it is here rather than elsewhere; empty for parts on other parts."""
    body: BodyView | None = None
    guest: str | None = None
    """Virtual machine it is handed to."""
    recognise: tuple[str, ...] = ()
    """PCI numbers by which it can be told from other parts, if its description has any."""


@dataclass(frozen=True, slots=True)
class SettingView:
    """What to choose for one lane group."""

    machine: str
    group: str
    text: str
    how: str
    """setting, presence, jumper or fixed."""
    changes: bool
    """Other than what the board does if nothing is set."""
    gives: tuple[tuple[str, str], ...]
    """Receptacle id -> its segments (`x4+x4`)."""
    proof: str | None


@dataclass(frozen=True, slots=True)
class FreeView:
    """A receptacle that stays empty."""

    site: str
    label: str
    machine: str
    form: str
    gets: str
    """`16 GT/s x16`, `no lanes`, `not known`."""
    state: str
    """free | covered | blocked | dark | unpowered | not known"""
    why: str


@dataclass(frozen=True, slots=True)
class FactView:
    """Something unproven that the plan rests on."""

    id: str
    statement: str
    find_out: str
    where: str
    items: tuple[str, ...]


RETIRED = "it is being retired"
"""Why a part is left out that is not wanted any more."""


@dataclass(frozen=True, slots=True)
class LeftOutView:
    """A part without a seat."""

    item: str
    part: str
    why: str


@dataclass(frozen=True, slots=True)
class HopView:
    """A shared link and what flows through it."""

    name: str
    machine: str
    capacity_mb_s: int
    in_mb_s: int
    out_mb_s: int
    short_mb_s: int


@dataclass(frozen=True, slots=True)
class PowerView:
    """One machine's budget."""

    machine: str
    supply_w: float | None
    limit_w: float | None
    base_w: float | None
    parts_w: float
    unknown: tuple[str, ...]
    """Items whose draw nobody has said."""
    plugs: tuple[tuple[str, int, int | None], ...]
    """Plug type, used, available (None: no supply described)."""


@dataclass(frozen=True, slots=True)
class MachineView:
    """One machine."""

    id: str
    name: str
    board: str
    board_name: str
    invented: bool
    processors: tuple[tuple[str, str, bool], ...]
    """Id, label, fitted."""
    hubs: tuple[tuple[str, str, str], ...]
    """Id, from, link text."""
    chassis: str | None
    air_lfm: float | None


@dataclass(frozen=True, slots=True)
class StageView:
    """One preference with the plan's value in it."""

    stage: str
    value: int
    bound: int
    unit: str
    says: str


@dataclass(frozen=True, slots=True)
class View:
    """A whole answer."""

    schema_version: int
    build: str
    title: str
    status: str
    headline: str
    seconds: float
    machines: tuple[MachineView, ...]
    seats: tuple[SeatView, ...]
    settings: tuple[SettingView, ...]
    free: tuple[FreeView, ...]
    left_out: tuple[LeftOutView, ...]
    facts: tuple[FactView, ...]
    hops: tuple[HopView, ...]
    power: tuple[PowerView, ...]
    stages: tuple[StageView, ...]
    notes: tuple[str, ...]
    """Findings on the finished plan, such as gaps where a fan has no air."""
    cautions: tuple[str, ...]
    rows: tuple[RowView, ...] = ()
    receptacles: tuple[ReceptacleView, ...] = ()
    groups: tuple[GroupView, ...] = ()
