"""Where a board lives: the chassis, the power supply, the air."""

from collections import Counter
from collections.abc import Iterable, Iterator
from typing import Annotated, Any, Literal, Self

from annotated_types import Interval, MinLen
from pydantic import BeforeValidator, Discriminator, Field, Tag

from slotfit.model.board import Board
from slotfit.model.entity import Entity
from slotfit.model.part import ReceptacleSpec
from slotfit.model.words import (
    AuxPlug,
    Bay,
    BoardSize,
    Celsius,
    Id,
    Line,
    MemoryType,
    Millimetres,
    SupplyRail,
    Version,
    Watts,
)

Count = Annotated[int, Interval(ge=0, le=500)]
Airflow = Annotated[float, Interval(ge=0, le=5000)]


class RoomAt(Entity):
    """Other room than elsewhere, in line with some openings: a cage, a fan wall, a brace."""

    at: Annotated[tuple[Annotated[int, Interval(ge=0, le=63)], ...], MinLen(1)]
    """Openings, as positions of the board's first row; a thick card needs room at each of its."""
    length_mm: Millimetres | None = None
    """Room for a card's length there; left out: `card_length_mm`."""
    height_mm: Millimetres | None = None
    """Room for a card's height there; left out: `card_height_mm`."""


class Place(Entity):
    """Where a part that needs no slot can be screwed: a tray, a side wall."""

    id: Id
    label: Line | None = None
    """What to call it; left out, its id."""
    count: Annotated[int, Interval(ge=1, le=64)] = 1
    """So many alike; more than one are called `id-1`, `id-2` ..."""
    length_mm: Millimetres | None = None
    """Room for the part's length; left out: not known."""
    height_mm: Millimetres | None = None
    """Room for the part's height, which lies along the tray or wall; left out: not known."""
    thickness: Annotated[int, Interval(ge=1, le=16)] | None = None
    """Room above it, in slot pitches; left out: not known."""
    airflow_lfm: Airflow | None = None
    """Air speed there; 0 for none, left out: not known."""

    def spelled_out(self) -> "Iterator[MountingPlace]":
        """The receptacles that it stands for."""
        for number in range(1, self.count + 1):
            several = self.count > 1
            made = MountingPlace.model_construct(
                id=f"{self.id}-{number}" if several else self.id,
                label=f"{self.label} {number}" if several and self.label else self.label,
                form="mounting-place",
                bracket="none",
                length_mm=self.length_mm,
                height_mm=self.height_mm,
                airflow_lfm=self.airflow_lfm,
                thickness=self.thickness,
            )
            made.marks.update(self.marks)
            yield made


class MountingPlace(ReceptacleSpec):
    """One place of a chassis, as what takes a part."""

    thickness: Annotated[int, Interval(ge=1, le=16)] | None = None
    """Room above it, in slot pitches; left out: not known."""


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
    room_at: tuple[RoomAt, ...] = ()
    """Openings that have other room; left out: all have the same."""
    airflow_lfm: Airflow | None = None
    """Air speed over the slots with the chassis' own fans; 0 for none, left out: not known."""
    bay_airflow_lfm: Airflow | None = None
    """Air speed over the drives in the bays; 0 for none, left out: not known."""
    bays: Bays | None = None
    """Drive bays by size, a size left out: none of it; or a list of them. Nothing written: not
    known."""
    cooler_height_mm: Millimetres | None = None
    """Room for a processor's cooler, from the processor to the closed lid; left out: not known."""
    places: tuple[Place, ...] = ()
    """Places for parts that need no slot; left out: none."""
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

    @property
    def mounting_places(self) -> tuple[MountingPlace, ...]:
        """Its places one by one."""
        return tuple(one for place in self.places for one in place.spelled_out())


class SupplyCable(Entity):
    """A cable of a power supply that has several plugs."""

    plugs: dict[AuxPlug, Annotated[int, Interval(ge=1, le=16)]]
    """Its plugs, as far as they are left for parts: `{pcie-8: 2}`."""
    watts: Watts
    """What it carries to all of them together."""
    count: Annotated[int, Interval(ge=1, le=64)] = 1
    """So many alike."""


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
    cables: tuple[SupplyCable, ...] | None = None
    """Cables with several of those plugs, which share what the cable carries; the other plugs have
    a cable each. Left out: not known."""
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


class Cooler(Entity):
    """The cooler on a processor. What is said of it is held against chassis, slots and memory."""

    height_mm: Millimetres | None = None
    """From the processor to its top; left out: not asked whether the chassis has room."""
    to_slots_mm: Millimetres | None = None
    """From its middle to its edge, fans included, on the side of the slots; left out: not asked
    whether it stands over them."""
    to_memory_mm: Millimetres | None = None
    """The same on the side of the memory; left out: not asked whether it stands over it."""
    clear_mm: Millimetres | None = None
    """Room between the board and what of it overhangs; left out: not known."""


class FittedMemory(Entity):
    """The memory of one processor."""

    type: MemoryType | None = None
    """Left out: not asked whether the board takes it."""
    count: Annotated[int, Interval(ge=0, le=64)] | None = None
    """So many modules; left out: as many as `in` names, else not known."""
    in_: Annotated[tuple[Id, ...] | None, Field(alias="in")] = None
    """Sockets that they are in; left out: not known."""
    height_mm: Millimetres | None = None
    """Height of a module, its heat spreader included; left out: not known."""

    @property
    def modules(self) -> int | None:
        """How many there are; None if nobody has said."""
        return len(self.in_) if self.count is None and self.in_ is not None else self.count


def read_memory(written: Any) -> Any:
    """`8` is short for `{count: 8}`."""
    is_count = isinstance(written, int) and not isinstance(written, bool)
    return {"count": written} if is_count else written


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
    memory: dict[Id, Annotated[FittedMemory, BeforeValidator(read_memory)]] | None = None
    """Processor socket -> the memory modules of it; a number is that many. Left out: not asked."""
    coolers: dict[Id, Cooler] | None = None
    """Processor socket -> the cooler on it; left out: not asked."""
    firmware: Version | None = None
    """The board's firmware version as the setup screen shows it; left out: not known."""
    keeps: tuple[Id, ...] | None = None
    """Parts and on-board devices that stay with the host: what it boots from, its console. `[]`:
    any may go to a guest; left out: not known."""
    perhaps_in_use: tuple[Id, ...] = ()
    """Receptacles of the board that one source calls in use and a better one empty: a plan that
    uses one rests on it."""
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

    def with_processors(self, fitted: Iterable[str]) -> Self:
        """With these fitted, of their classes as far as those were said."""
        said = self.processors
        known = {one: said.get(one) for one in fitted} if isinstance(said, dict) else tuple(fitted)
        return self.model_copy(update={"processors": known})
