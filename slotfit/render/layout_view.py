"""Where things are: rows, receptacles, lane groups and bodies, as the drawings need them."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True, slots=True)
class RowView:
    """A slot row: on a board at the rear edge, or on a riser."""

    owner: str
    """Machine id or item id."""
    machine: str
    id: str
    positions: int | None
    """Slot pitches; None: not said."""
    openings: int | None
    """Bracket openings of the chassis beside it, from position 0 on; None: not said."""
    length_mm: float | None
    """Room for a card's length in the chassis; None: not said."""


@dataclass(frozen=True, slots=True)
class GroupView:
    """One lane group with the arrangement that the plan chooses."""

    machine: str
    id: str
    from_: str | None
    """Processor or hub that the lanes come from; None: not known."""
    processor: str | None
    fitted: bool
    generation: int | None
    bus: str
    gives: tuple[tuple[str, str], ...]
    """Receptacle id -> its segments (`x4+x4`)."""
    setting: str | None
    """What to choose; None where there is nothing to choose."""
    how: str
    """setting, presence, jumper or fixed."""
    changes: bool
    proof: str | None


@dataclass(frozen=True, slots=True)
class ReceptacleView:
    """One receptacle of a board, or of a part that has a seat."""

    site: str
    id: str
    label: str
    machine: str
    owner: str
    on_board: bool
    form: str
    form_title: str
    width: int | None
    """Connector size in lanes."""
    open_end: bool | None
    row: str | None
    position: int
    group: str | None
    from_: str | None
    processor: str | None
    generation: int | None
    wired: int | None
    """Most lanes that any arrangement brings here; None: not known."""
    segments: tuple[tuple[int, int, str], ...]
    """First lane, lanes, bus: what arrives under the plan's arrangement."""
    lanes_known: bool
    """False: nobody has said that these lanes are there."""
    gets: str
    """`16 GT/s x16`, `no lanes`."""
    item: str | None
    """What sits in it."""
    state: str
    """taken | free | covered | blocked | dark | unpowered | not known"""
    why: str
    """The reason for the state, as a clause; empty if there is nothing to say."""
    power_w: float | None
    length_mm: float | None
    """Its own room for a card's length; None: not said."""


@dataclass(frozen=True, slots=True)
class BodyView:
    """What a part takes up; None: not said."""

    plug: str
    """Form of its plug."""
    plug_width: int | None
    thickness: int | None
    """Slot pitches, its own included."""
    length_mm: float | None
    """With the air mover that the plan mounts on it."""
    height_mm: float | None
    bracket: str | None
    cooling: str | None
    reach_mm: float | None
    """Length of a cable."""
    companion_of: str | None
    """This is a further connection of that item."""
