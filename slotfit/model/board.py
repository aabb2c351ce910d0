"""A board: receptacles, lane groups, processors, hubs, positions in the slot row."""

from typing import Annotated, Any, Literal

from annotated_types import Interval, MinLen
from pydantic import BeforeValidator, Field, StringConstraints

from slotfit.model.entity import Entity
from slotfit.model.part import ReceptacleSpec
from slotfit.model.words import (
    BoardSize,
    Bus,
    ChosenBy,
    DeviceKind,
    Generation,
    GigabytesPerSecond,
    Id,
    Lanes,
    Line,
    MemoryType,
    Millimetres,
    Proof,
    Rpm,
    Version,
)

Width = Annotated[int, Interval(ge=1, le=32)] | Literal["sata", "sas"]
"""One segment: so many PCIe lanes, or one SATA or SAS lane."""

Order = Literal["known", "unknown"]
LabelOrder = Literal["low-first", "high-first"]


def read_split(written: Any) -> Any:
    """`x8x8` is short for `{split: x8x8}`."""
    return {"split": written} if isinstance(written, str) else written


def read_together(written: Any) -> Any:
    """One socket stands for a list of one."""
    return (written,) if isinstance(written, str) else written


Together = Annotated[tuple[Id, ...], MinLen(1), BeforeValidator(read_together)]


class MemorySockets(Entity):
    """The memory sockets of one processor."""

    types: tuple[MemoryType, ...] | None = None
    """Modules that they take; left out: not known."""
    order: tuple[Together, ...] | None = None
    """All sockets in the order in which the manual fills them, those that it fills together in one
    list: `[[A1, B1], [A2, B2]]`; left out: not known."""


class Processor(Entity):
    """A processor socket."""

    id: Id
    label: Line | None = None
    """The name printed beside the socket."""
    takes: tuple[Id, ...] = ()
    """Classes of processors that the manual tells apart, in your words; left out: one class."""
    most_links: Annotated[int, Interval(ge=1, le=16)] | None = None
    """Into so many links any sixteen of its lanes divide at most, whatever a menu says; it bounds
    divisions that nobody has listed and promises none. Left out: not known."""
    must_be_filled: bool | None = None
    """The machine does not start while this socket is empty; left out: not known, and asked of the
    first by name."""
    memory: MemorySockets | None = None
    """Its memory sockets; left out: not known."""
    slots_at_mm: Millimetres | None = None
    """From the middle of the socket to position 0 of the first row of slots; left out: not
    known."""
    memory_at_mm: Millimetres | None = None
    """From the middle of the socket to the nearest memory socket; left out: not known."""


class Condition(Entity):
    """What must be in the machine for something to be there."""

    processor: tuple[Id, ...] | None = None
    """Any of these classes in the socket that the lanes come from; left out: whichever."""
    firmware: Version | None = None
    """It is there from this version on; left out: in every version."""


class Uplink(Entity):
    """What a hub's uplink is with some processors or firmware."""

    needs: Condition
    """It is so only with these."""
    generation: Generation
    """Generation of the uplink then."""
    lanes: Lanes
    """Its lanes then."""


class Hub(Entity):
    """A chipset or an on-board switch: everything behind it shares its uplink."""

    id: Id
    label: Line | None = None
    """The name printed in the block diagram."""
    from_: Annotated[Id, Field(alias="from")]
    """The processor (or hub) above."""
    generation: Generation
    """Generation of its uplink."""
    lanes: Lanes
    """Lanes of its uplink."""
    uplinks: tuple[Uplink, ...] = ()
    """What its uplink is instead with some processors or firmware: the first whose `needs` are
    met. Where nobody has said what is fitted, the slowest that may be counts."""
    background_gb_s: GigabytesPerSecond = 0
    """What on-board devices behind it take of the uplink, each way."""


class Row(Entity):
    """A row of slots at the rear edge."""

    id: Id
    positions: Annotated[int, Interval(ge=1, le=64)]
    """How many slot pitches it has, openings without a slot included."""


class Arrangement(Entity):
    """One way of dividing a lane group."""

    id: Id | None = None
    gives: dict[Id, tuple[Width, ...]]
    """Receptacle -> its segments from its own lane 0 up. Left out: it gets none."""
    setting: Line | None = None
    """What to choose in the firmware menu, in its words."""
    proof: Proof | None = None
    chosen_by: ChosenBy = "setting"
    order: Order = "known"
    """`unknown`: only an asymmetric label is known, not which lanes are the wide ones."""
    needs: Condition | None = None
    """It is there only with these; left out: with whatever is fitted."""
    generation: Generation | None = None
    """Highest generation of these lanes while they are divided so; left out: the lane group's."""
    source: str | None = None
    """Document and section that say so."""

    @property
    def served(self) -> frozenset[str]:
        """Receptacles that get lanes."""
        return frozenset(name for name, widths in self.gives.items() if widths)


class LaneGroup(Entity):
    """Lanes of one root port (or switch) that are divided together."""

    id: Id
    from_: Annotated[Id | None, Field(alias="from")] = None
    """The processor or hub the lanes come from; left out on a board with several: not known."""
    generation: Generation | None = None
    """Highest generation of these lanes; left out: not known."""
    bus: Bus = "pcie"
    arrangements: Annotated[tuple[Arrangement, ...], MinLen(1)]
    """The first is what the board does if nothing is set."""

    def arrangement(self, id_: str | None) -> Arrangement:
        """The arrangement of that id; what the board does by itself if there is none."""
        return next((way for way in self.arrangements if way.id == id_), self.arrangements[0])

    def by_hand(self, way: Arrangement) -> bool:
        """Whether somebody has to choose it: no label and first is what the board does anyway."""
        menu = way.setting is not None or way.id != self.arrangements[0].id
        return way.chosen_by == "jumper" or (way.chosen_by == "setting" and menu)


class Split(Entity):
    """Short form of an arrangement of one receptacle."""

    split: Annotated[str, StringConstraints(pattern=r"^x\d+(x\d+)*$")]
    """The division as menus write it: `x8x8`, `x4x4x4x4`."""
    setting: Line | None = None
    """What to choose in the firmware menu, in its words."""
    proof: Proof | None = "documented"
    """Listed in a board file without a word: taken as documented."""
    chosen_by: ChosenBy = "setting"


class BoardReceptacle(ReceptacleSpec):
    """A receptacle on a board. `from`, `lanes`, `splits` are the short form of a lane group."""

    from_: Annotated[Id | None, Field(alias="from")] = None
    """Processor or hub its lanes come from, where no lane group is spelled out; left out on a board
    with several: not known."""
    generation: Generation | None = None
    """Highest generation of its lanes; left out: not known."""
    bus: Bus = "pcie"
    lanes: Annotated[int, Interval(ge=0, le=32)] | None = None
    """Wired lanes, 0 for none; not the connector's size."""
    splits: tuple[Annotated[Split, BeforeValidator(read_split)], ...] | None = None
    """Every way its lanes can be divided, undivided included; the first is what the board does if
    nothing is set. `[]`: undivided and nothing else; left out: not known."""
    label_order: LabelOrder | None = None
    """Whether split labels name the low or the high lanes first; left out: not known."""
    reversed: bool | None = None
    """Lane 0 of the slot is the port's highest lane; left out: not known."""
    speed_setting: Line | Literal[False] | None = None
    """Menu entry that holds its lanes to a lower generation, in the menu's words; `false`: there is
    none; left out: not known."""
    isolation: Id | None = None
    """Receptacles and on-board devices with the same word here cannot be given to different
    guests; of a SATA port: the word of its controller."""
    isolates_guests: bool | None = None
    """Whether the ports that its lanes are divided into keep guests apart (access control services,
    or what the kernel knows of such ports in their place); left out: not known."""
    powered_without_processor: bool | None = None
    """Has power though its processor is absent."""
    blocked_by: tuple[Id, ...] = ()
    """Cannot be used while a part sits in one of these (they block each other)."""
    under: tuple[Id, ...] = ()
    """Slots whose card lies right over it: a hot one warms what sits here."""
    above_mm: Millimetres | None = None
    """Room from the board of a module that sits here up to such a card; left out: not known."""


class Device(Entity):
    """A device soldered to the board or inside its chipset."""

    id: Id
    label: Line | None = None
    """What the manual calls it."""
    kind: DeviceKind = "other"
    """What it is to whoever hands it over."""
    isolation: Id | None = None
    """The word of its isolation group, as receptacles have one; left out: not known."""


class Board(Entity):
    """One board model."""

    kind: Literal["board"] = "board"
    """What the file describes."""
    id: Id
    name: Line | None = None
    """What to call it in an answer; left out, its id."""
    about: str | None = None
    """What whoever uses the file should know."""
    invented: bool = False
    """The figures are made up, true to a class of things and to no product."""
    size: BoardSize | None = None
    """Outline of the board; the chassis must have stand-offs for it."""
    lowest_fan_rpm: Rpm | None = None
    """Below this the management controller takes a fan for failed, and drives all others to full
    speed; 0: there is no such controller."""
    processors: Annotated[tuple[Processor, ...], MinLen(1)]
    """Processor sockets; at least one."""
    hubs: tuple[Hub, ...] = ()
    """Chipsets and on-board switches that share one uplink."""
    rows: tuple[Row, ...] = ()
    """Rows of slots, for bodies that are thicker than one slot."""
    lane_groups: tuple[LaneGroup, ...] = ()
    """Lanes that are divided together, where a receptacle's short form cannot say it."""
    devices: tuple[Device, ...] | None = None
    """On-board devices, which a guest takes along if they share its group; `[]`: none there; left
    out: not known."""
    receptacles: tuple[BoardReceptacle, ...]
    """Everything that takes a part; `[]` where nothing is known of any."""
    price: Annotated[float, Interval(ge=0)] | None = None
    """In one currency of your own; for comparing ways out."""
    meant: tuple[str, ...] = ()
    """Names of its fields whose figures are right though unlikely: `length_mm`, or
    `slot3.length_mm` for one of several; left out, a figure out of range is a mistake."""
    sources: dict[str, str] = {}
    """Field or receptacle id -> document and section, or a mark."""
