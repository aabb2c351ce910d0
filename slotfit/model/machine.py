"""Where a board lives: the chassis, the power supply, the air."""

from collections import Counter
from typing import Annotated, Any, Literal

from annotated_types import Interval
from pydantic import BeforeValidator, Discriminator, Field, Tag

from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.words import (
    AuxPlug,
    Bay,
    BoardSize,
    Celsius,
    Id,
    Line,
    Millimetres,
    SupplyRail,
    Version,
    Watts,
)

Count = Annotated[int, Interval(ge=0, le=500)]
Airflow = Annotated[float, Interval(ge=0, le=5000)]


class DriveBay(Entity):
    """One drive bay of a chassis."""

    id: Id
    """The name printed beside it."""
    size: Bay
    """The drives that it is made for."""
    live_swap: bool | None = None
    """Whether it takes a drive while the machine runs; left out: not known, taken as no."""


def list_or_sizes(written: Any) -> str:
    """Which of the two ways of telling bays it is."""
    return "sizes" if isinstance(written, dict) else "list"


Bays = Annotated[
    Annotated[dict[Bay, Count], Tag("sizes")] | Annotated[tuple[DriveBay, ...], Tag("list")],
    Discriminator(list_or_sizes),
]
"""Size -> how many, or each bay."""


class Chassis(Entity):
    """A case: openings for brackets, room for cards, bays for drives."""

    kind: Literal["chassis"] = "chassis"
    """What the file describes."""
    id: Id
    name: Line | None = None
    """What to call it in an answer; left out, its id."""
    about: str | None = None
    """What whoever uses the file should know."""
    invented: bool = False
    """The figures are made up, true to a class of things and to no product."""
    sizes: tuple[BoardSize, ...] | None = None
    """Board sizes it has stand-offs for."""
    openings: Annotated[int, Interval(ge=0, le=64)] | None = None
    """Bracket openings beside the board's first row, from position 0 on."""
    bracket: Literal["full", "low"] | None = None
    """Which brackets its openings take."""
    card_length_mm: Millimetres | None = None
    """Room for the length of a card in the board's own slots."""
    card_height_mm: Millimetres | None = None
    """Room for the height of a card in the board's own slots."""
    airflow_lfm: Airflow | None = None
    """Air speed over the slots with the chassis' own fans; 0 for none, left out: not known."""
    bay_airflow_lfm: Airflow | None = None
    """Air speed over the drives in the bays; 0 for none, left out: not known."""
    bays: Bays | None = None
    """Drive bays by size, a size left out: none of it; or a list of them. Nothing written: not
    known."""
    height_u: Annotated[float, Interval(ge=0, le=60)] | None = None
    """Height in rack units."""
    price: Annotated[float, Interval(ge=0)] | None = None
    """In one currency of your own; for comparing ways out."""
    meant: tuple[str, ...] = ()
    """Names of its fields whose figures are right though unlikely: `length_mm`, or
    `slot3.length_mm` for one of several; left out, a figure out of range is a mistake."""
    sources: dict[str, str] = {}
    """Field -> document and section, or a mark."""

    @property
    def bay_counts(self) -> dict[Bay, int] | None:
        """Bays by size, however they are told; None if nobody has."""
        if self.bays is None or isinstance(self.bays, dict):
            return self.bays
        return dict(Counter(one.size for one in self.bays))

    def bays_for(self, size: Bay) -> tuple[DriveBay, ...] | None:
        """Listed bays that a drive of the size goes into; None where they are not listed."""
        if self.bays is None or isinstance(self.bays, dict):
            return None
        return tuple(one for one in self.bays if one.size in (size, "3.5"))


class PowerSupply(Entity):
    """A power supply."""

    kind: Literal["power-supply"] = "power-supply"
    """What the file describes."""
    id: Id
    name: Line | None = None
    """What to call it in an answer; left out, its id."""
    about: str | None = None
    """What whoever uses the file should know."""
    invented: bool = False
    """The figures are made up, true to a class of things and to no product."""
    watts: Watts
    """Continuous output of one supply."""
    low_line_w: Watts | None = None
    """Continuous output at 100 to 127 V, as its label says; left out: not known."""
    start_w: Watts | None = None
    """What it gives for some seconds; left out: no more than `watts` is known."""
    peak_w: Watts | None = None
    """What it bears for about a millisecond; left out: no more than `watts` is known."""
    rails_w: dict[SupplyRail, Watts] | None = None
    """Most watts of its smaller rails, as its label says: `"5"`, `"3.3"` and `"5+3.3"` for both
    together; one left out: no limit of its own. Nothing written: not known."""
    plugs: dict[AuxPlug, Count] | None = None
    """Plugs left for parts, without those that the board takes; a type left out: none of it.
    Nothing written: not known."""
    carries_3v3: bool | None = None
    """Whether its SATA power plugs have 3.3 V on contact 3, on which some drives stay off; left
    out: not known."""
    price: Annotated[float, Interval(ge=0)] | None = None
    """In one currency of your own; for comparing ways out."""
    meant: tuple[str, ...] = ()
    """Names of its fields whose figures are right though unlikely: `length_mm`, or
    `slot3.length_mm` for one of several; left out, a figure out of range is a mistake."""
    sources: dict[str, str] = {}
    """Field -> document and section, or a mark."""


def list_or_classes(written: Any) -> str:
    """Which of the two ways of naming processors it is."""
    return "classes" if isinstance(written, dict) else "list"


Processors = Annotated[
    Annotated[tuple[Id, ...], Tag("list")] | Annotated[dict[Id, Id | None], Tag("classes")],
    Discriminator(list_or_classes),
]
"""Sockets, or socket -> class."""


class Supplies(Entity):
    """Alike supplies that carry one machine."""

    fitted: Annotated[int, Interval(ge=1, le=16)]
    """How many there are."""
    needed: Annotated[int, Interval(ge=1, le=16)]
    """How many of them must carry the whole load; the others may fail."""


def read_names(written: Any) -> Any:
    """One name stands for a list of one."""
    return (written,) if isinstance(written, str) else written


class Measured(Entity):
    """What a meter between the wall and the machine showed."""

    idle_w: Watts | None = None
    """At rest."""
    load_w: Watts | None = None
    """Under full load."""
    with_: Annotated[tuple[Id, ...] | None, BeforeValidator(read_names), Field(alias="with")] = None
    """Parts that were in; left out: what `today` has in it."""


class BuildMachine(Entity):
    """One machine to fill."""

    id: Id
    name: Line | None = None
    """What to call it in an answer; left out, its id."""
    board: Id | Board | Any
    """Catalog id, file path, or the board written out here."""
    processors: Processors | None = None
    """Processors fitted; left out: all of the board's. As a mapping: socket -> which of the classes
    that the board `takes` there sits in it; a list does not say which."""
    firmware: Version | None = None
    """The board's firmware version as the setup screen shows it; left out: not known."""
    keeps: tuple[Id, ...] | None = None
    """Parts and on-board devices that stay with the host: what it boots from, its console. `[]`:
    any may go to a guest; left out: not known."""
    chassis: Id | Chassis | Any = None
    """Catalog id, file path, or the chassis written out here."""
    power_supply: Id | PowerSupply | Any = None
    """Catalog id, file path, or the power supply written out here."""
    base_w: Watts | None = None
    """What board, processors, memory and fans draw before any part is added."""
    supply_limit_percent: Annotated[float, Interval(gt=0, le=100)] = 100
    """Share of the supply's continuous watts to plan with."""
    supplies: Supplies | None = None
    """Several alike supplies; left out: one, and it is needed."""
    input_v: Annotated[float, Interval(gt=0, le=1000)] | None = None
    """Volts at the wall; left out: not known."""
    staggered_start: bool | None = None
    """Adapter or backplane starts the disks one after another; left out: not known."""
    measured: Measured | None = None
    """Watts at the wall; a plan starts from them rather than from `base_w`."""
    airflow_lfm: Airflow | None = None
    """Air over the slots; overrides the chassis."""
    air_by: tuple[Id, ...] = ()
    """Fans of this build that make the air over the slots; an answer names them."""
    airflow_one_failed_lfm: Airflow | None = None
    """Air over the slots while one of those fans stands still; left out: not known, of one: 0."""
    inlet_c: Celsius | None = None
    """Warmest air that reaches the slots; left out: not known."""
    meant: tuple[str, ...] = ()
    """Names of its fields whose figures are right though unlikely: `length_mm`, or
    `slot3.length_mm` for one of several; left out, a figure out of range is a mistake."""
