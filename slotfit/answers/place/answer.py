"""
What `place` answers: one value, which is the JSON; text, page and pictures draw from it.

Plain values: names, numbers with their unit in the field's name, texts that are clauses or
sentences. None is not known, never zero.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slotfit.answers.answer_word import AnswerWord
from slotfit.model.build import UNKNOWN
from slotfit.model.plan import StageValue

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class LinkRate:
    """How wide and how fast a link is."""

    lanes: int
    """0: it is not detected."""
    generation: int | None


@dataclass(frozen=True, slots=True)
class PlannedLink:
    """One link of a part: what it trains at, and what it could."""

    at: int
    """The part's lane at which it begins."""
    bus: str
    trains: LinkRate
    able: LinkRate
    mb_s: int
    """What it carries, one way; PCIe with packets of 256 bytes of data."""
    text: str
    """`gen 3 x8`, `dark`."""
    able_text: str
    to: tuple[str, ...]
    """The part's own receptacles that it leads to; none: it ends in the part."""
    why: str
    """Why it is dark or slower than it could be; empty if neither."""


@dataclass(frozen=True, slots=True)
class PartBody:
    """What a part takes up."""

    plug: str
    """Form of its plug."""
    plug_width: int | None
    """In lanes."""
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
    """This is a further connection of that part."""


@dataclass(frozen=True, slots=True)
class PlannedSeat:
    """One part where the plan puts it."""

    item: str
    part: str
    """Catalog id of what it is."""
    part_class: str
    name: str
    site: str
    """The receptacle's id in files."""
    label: str
    """The name printed beside the receptacle, or its id."""
    machine: str
    owner: str
    """Machine id or part id that the receptacle belongs to."""
    depth: int
    """0 on a board, 1 in a part on a board, and so on."""
    processor: str | None
    """Id of the processor whose lanes it uses."""
    hub: str | None
    group: str | None
    """Its lane group, `machine/group`."""
    setting: str | None
    """What the lane group has to be set to; None if there is nothing to choose."""
    links: tuple[PlannedLink, ...]
    wanted_stated: bool
    """What it moves was stated; if not, it is taken to move all that its own links could carry."""
    wanted_in_mb_s: int
    """What it needs towards it."""
    wanted_out_mb_s: int
    """What it needs from it."""
    short_mb_s: int
    """What its own link lacks, both ways added."""
    shared_short_mb_s: int
    """What its own link up loses for the parts on it (switches, controllers), both ways added."""
    slot_w: float | None
    aux_w: float | None
    positions: tuple[int, ...]
    """Places in the slot row that it covers."""
    today: str | None
    facts: tuple[str, ...]
    """The facts it rests on."""
    near: str | None
    """Processor that it should be near."""
    far: bool
    """It is attached to another one."""
    body: PartBody
    guest: str | None = None
    """Virtual machine it is handed to."""
    recognise: tuple[str, ...] = ()
    """PCI numbers by which it can be told from other parts, if its description has any."""

    @property
    def is_unknown(self) -> bool:
        """Whether nobody has said what it is."""
        return self.part == UNKNOWN

    @property
    def needs_mb_s(self) -> int:
        """What it needs, one way: the busier one."""
        return max(self.wanted_in_mb_s, self.wanted_out_mb_s)

    @property
    def carries_mb_s(self) -> int | None:
        """What the links that end in it carry, one way; None where each leads on to another."""
        ends = [link.mb_s for link in self.links if not link.to]
        return sum(ends) if ends else None


@dataclass(frozen=True, slots=True)
class AirSource:
    """A fan over the slots, or a blower on a card."""

    item: str
    on: str
    """The card that it is mounted on; empty: it blows over the slots."""
    stops: tuple[str, ...]
    """Parts that have too little air while it stands still."""
    may_stop: tuple[str, ...]
    """Parts of which that is not known."""


@dataclass(frozen=True, slots=True)
class PlannedMachine:
    """One machine."""

    id: str
    name: str
    board: str
    board_name: str
    invented: bool
    """The board is of no maker."""
    processors: tuple[tuple[str, str, bool], ...]
    """Id, label, fitted."""
    hubs: tuple[tuple[str, str, str], ...]
    """Id, from, link text."""
    chassis: str | None
    air_lfm: float | None
    air_by: tuple[AirSource, ...] = ()
    """Fans and blowers that are parts of the build."""
    devices: tuple[tuple[str, str], ...] = ()
    """On-board devices that the board's file lists: id, kind."""


@dataclass(frozen=True, slots=True)
class PlannedRow:
    """A slot row: on a board at the rear edge, or on a riser."""

    owner: str
    """Machine id or part id."""
    id: str
    positions: int | None
    """Slot pitches."""
    openings: int | None
    """Bracket openings of the chassis beside it, from position 0 on."""
    card_length_mm: float | None
    """Room for a card's length in the chassis."""
    card_length_at: tuple[tuple[int, float], ...] = ()
    """Positions with other room for it, and how much."""

    def room_mm(self, position: int) -> float | None:
        """Room for a card's length at a position; None if nobody has said."""
        return dict(self.card_length_at).get(position, self.card_length_mm)


Step = Literal["set", "stays", "must be", ""]
"""
What to do about a division: choose it, for it is another today; leave it, for it is chosen already;
see that it is chosen, where the build file does not say what is today; nothing.
"""


@dataclass(frozen=True, slots=True)
class Division:
    """How a lane group is divided, and what has to be done for it."""

    text: str
    """What the menu or the manual calls it, or who gets what."""
    arrangement: str | None
    """Its id in files, if it has one."""
    how: str
    """setting, presence, jumper or fixed."""
    step: Step
    """`must be`: what is chosen today is not in the build file. Empty: there is nothing to choose,
    or nothing depends on it."""
    now: str | None
    """What is chosen today; None: not known."""
    gives: tuple[tuple[str, str], ...]
    """Receptacle id -> its segments (`x4+x4`)."""
    proof: str | None


@dataclass(frozen=True, slots=True)
class PlannedGroup:
    """One lane group with the division in force."""

    machine: str
    id: str
    lanes_from: str | None
    """Processor or hub."""
    processor: str | None
    fitted: bool
    """Its processor is there, or it is not known which one that is."""
    generation: int | None
    bus: str
    choice: bool
    """There is something to choose."""
    division: Division


@dataclass(frozen=True, slots=True)
class PlannedReceptacle:
    """One receptacle of a board, or of a part that has a seat."""

    site: str
    id: str
    label: str
    machine: str
    owner: str
    """Machine or part that bears it."""
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
    """Processor or hub that its lanes come from."""
    processor: str | None
    generation: int | None
    wired: int | None
    """Most lanes that any division brings here."""
    segments: tuple[tuple[int, int, str], ...]
    """First lane, lanes, bus: what arrives under the plan's division."""
    lanes_known: bool
    """False: nobody has said that these lanes are there."""
    gets: str
    """`gen 4 x16`, `no lanes`."""
    item: str | None
    """What sits in it."""
    state: str
    """taken | free | covered | blocked | no lanes | unpowered | not known"""
    why: str
    """The reason for the state, as a clause; empty if there is nothing to say."""
    power_w: float | None
    length_mm: float | None
    """Its own room for a card's length."""


@dataclass(frozen=True, slots=True)
class PlannedCable:
    """One cable, or one connection that needs a cable nobody has named."""

    letter: str
    """To write on a flag at both ends."""
    machine: str
    item: str
    """The cable, or the further connection of a part."""
    named: bool
    """It is a part of its own."""
    from_item: str | None
    """The part it starts from; None: the board."""
    from_label: str
    to: tuple[str, ...]
    """Parts at its far ends; none yet if empty."""
    ends: tuple[str, ...]
    """The same in words."""
    link: str
    reach_mm: float | None


@dataclass(frozen=True, slots=True)
class SettingToChoose:
    """How one lane group has to be divided."""

    machine: str
    lane_group: str
    division: Division


@dataclass(frozen=True, slots=True)
class SpeedToHold:
    """A receptacle whose lanes have to be held to a lower generation."""

    machine: str
    site: str
    """Receptacle id."""
    label: str
    """What is printed beside it, or its id."""
    menu: str
    """The menu entry."""
    generation: int
    """What to set it to: what the slowest wires on the way carry."""
    items: tuple[str, ...]
    """Parts whose links would come up faster and err."""


@dataclass(frozen=True, slots=True)
class FirmwareToSee:
    """Something to look for in one machine's firmware, beside divided slots."""

    machine: str
    need: str
    menu: str
    """What menus call it."""
    value: str
    """What it has to be."""
    why: str
    """What goes wrong without it, as a clause."""
    items: tuple[str, ...]
    """Parts that need it."""


@dataclass(frozen=True, slots=True)
class Mind:
    """What whoever fits some parts has to know."""

    text: str
    """A sentence, from their description."""
    items: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class PlugsToConnect:
    """Plugs from the supply to one part."""

    item: str
    plugs: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class NetworkEnd:
    """What is plugged into one network port, and where its cable leads."""

    item: str
    port: str
    to: str
    """An outside end, a machine, or `part/port`."""
    by: str | None
    """Module or cable; None: not known."""
    run_m: float | None
    """Metres the cable runs; None: not known."""

    @property
    def in_words(self) -> str:
        """`module-25g-100m into p1, to client-a, 40 m`."""
        run = f", {self.run_m:g} m" if self.run_m else ""
        return f"{self.by or 'module or cable'} into {self.port}, to {self.to}{run}"


@dataclass(frozen=True, slots=True)
class UnprovenFact:
    """Something unproven that the plan rests on."""

    fact: str
    """Its id."""
    statement: str
    find_out: str
    where: str
    """File, line and column; empty if nobody wrote it down."""
    items: tuple[str, ...]
    """Parts that depend on it."""


@dataclass(frozen=True, slots=True)
class TypicalFigure:
    """A figure that is typical of a class, where a quarter more would break the plan."""

    items: tuple[str, ...]
    """Parts that are of that class."""
    field: str
    """Key of the description that has the figure."""
    figure: float
    unit: str
    """Unit of the figure; empty if it has none."""
    limits: tuple[str, ...]
    """What it is held to, such as `slot1: power_w 15 W`."""


Slower = Literal["sata", "sata-unknown", "uplink-unknown"]


@dataclass(frozen=True, slots=True)
class SharedLink:
    """A shared link and what flows through it."""

    name: str
    machine: str
    capacity_mb_s: int
    """What it carries, one way."""
    in_mb_s: int
    out_mb_s: int
    lost_mb_s: int
    """Both ways added."""
    slower: Slower | None = None
    """Why less counts than its own rate. `sata`: SATA drives hold an expander's way up at 6 Gb/s a
    lane; `sata-unknown`: they do unless it gathers what they send, which nobody has said.
    `uplink-unknown`: a hub's uplink varies with the processor or firmware, and which is fitted
    nobody has said: the slowest counts."""


@dataclass(frozen=True, slots=True)
class PowerBudget:
    """One machine's watts and plugs."""

    machine: str
    supply_w: float | None
    """What the supplies that must carry the load give for long, at the wall's volts if said."""
    limit_w: float | None
    """Of the supply's watts what may be drawn for long."""
    base_w: float | None
    parts_w: float
    """What they add; for parts that were measured, what was left for them in the measure."""
    unknown: tuple[str, ...]
    """Parts whose draw nobody has said."""
    plugs: tuple[tuple[str, int, int | None], ...]
    """Plug type, used, available (None: no supply described)."""
    supplies: tuple[int, int] = (1, 1)
    """Supplies that must carry the load, supplies fitted."""
    limit_percent: float = 100
    """Share of the supply's watts that is planned with; what is left is held back."""
    start_w: float | None = None
    """While all disks start at once, for some seconds; None: nothing takes more then, or they
    start one after another."""
    peak_w: float | None = None
    """While all accelerators peak, for about a millisecond; None: none there takes more then."""
    measured_w: float | None = None
    """At the wall under load, with what was in then."""
    measured_with: tuple[str, ...] = ()
    """Parts that were in."""
    estimate_w: float | None = None
    """What `base_w` and the parts' figures come to; None: `base_w` is not said."""
    typical_w: float | None = None
    """What the parts add by what is typical of their classes; None: none of their figures varies,
    and else `parts_w` is by the worst."""

    @property
    def is_near_limit(self) -> bool:
        """More than four fifths of what may be used: it will be warm and loud."""
        return bool(self.limit_w) and self.total_w > 0.8 * (self.limit_w or 0)

    @property
    def total_w(self) -> float:
        """Base load, if said, and parts."""
        return (self.base_w or 0) + self.parts_w


@dataclass(frozen=True, slots=True)
class YearAtRest:
    """One machine at rest all year long."""

    idle_w: float
    """All figures that are known, added."""
    kwh: float
    cost: float | None
    """None: no price is said."""
    missing: tuple[str, ...]
    """Parts whose watts at rest nobody has said, and the machine itself where it was not measured:
    they are not in the figures."""


@dataclass(frozen=True, slots=True)
class MachineAtRest:
    """What one machine draws in a year at rest, today and with the plan."""

    machine: str
    today: YearAtRest | None
    """None: what is in it today is not said."""
    plan: YearAtRest


@dataclass(frozen=True, slots=True)
class StageOutcome:
    """One preference with what the plan comes to in it."""

    value: StageValue
    says: str


@dataclass(frozen=True, slots=True)
class CountedShortage:
    """More is needed than there is, wherever the parts go: counted, before any search."""

    items: tuple[str, ...]
    """Ids of the parts that need it."""
    unit: str
    """`W`, `receptacles`, or what the limit counts, such as `pcie-8 plugs`."""
    needed: float
    """By all of them, at the least."""
    there: float
    says: str
    """The whole of it, as a clause."""
    rules: tuple[str, ...]
    """Ids of the rules whose limits these are; none where receptacles are too few."""
    where: tuple[str, ...]
    """`file:line:column` of the facts behind the limits."""


@dataclass(frozen=True, slots=True)
class LeftOutPart:
    """A part without a seat."""

    item: str
    kind: str
    """Catalog id of what it is."""
    why: str
    retired: bool
    """It is not wanted any more."""


@dataclass(frozen=True, slots=True)
class SeatReason:
    """Why a part is where it is rather than elsewhere."""

    item: str
    reason: str


@dataclass(frozen=True, slots=True)
class LeftOver:
    """A receptacle that stays empty."""

    site: str
    gets: str
    """What arrives there, where that is worth a word."""


@dataclass(frozen=True, slots=True)
class PlaceVerdict:
    """How far the answer is proven."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """proven, unproven, impossible or unknown."""
    headline: str
    """The answer in a sentence that begins with the word, without its full stop."""
    seconds: float


@dataclass(frozen=True, slots=True)
class PlacePlan:
    """What goes where. Without a plan: the machines as they come."""

    machines: tuple[PlannedMachine, ...]
    seats: tuple[PlannedSeat, ...] = ()
    rows: tuple[PlannedRow, ...] = ()
    receptacles: tuple[PlannedReceptacle, ...] = ()
    groups: tuple[PlannedGroup, ...] = ()

    @property
    def slower(self) -> list[tuple[PlannedSeat, PlannedLink]]:
        """Links that do less than their part could."""
        return [(seat, link) for seat in self.seats for link in seat.links if link.why]


@dataclass(frozen=True, slots=True)
class PlaceToDo:
    """What has to be done."""

    settings: tuple[SettingToChoose, ...] = ()
    speeds: tuple[SpeedToHold, ...] = ()
    firmware: tuple[FirmwareToSee, ...] = ()
    """Settings to look for: whether the firmware has them is not known."""
    cables: tuple[PlannedCable, ...] = ()
    plugs: tuple[PlugsToConnect, ...] = ()
    network: tuple[NetworkEnd, ...] = ()
    minds: tuple[Mind, ...] = ()
    """What descriptions of the parts say that whoever fits them has to know."""
    cautions: tuple[str, ...] = ()
    cautions_in_short: tuple[str, ...] = ()
    """The same in a few words each."""


@dataclass(frozen=True, slots=True)
class PlaceToWatch:
    """What to watch."""

    rests_on: tuple[UnprovenFact, ...] = ()
    shared: tuple[SharedLink, ...] = ()
    """Links that several parts share; some may lose bandwidth."""
    typical: tuple[TypicalFigure, ...] = ()
    """Figures that are only typical of a class, and decide whether the plan stands."""
    notes: tuple[str, ...] = ()
    """Findings on the finished plan, such as gaps where a fan has no air."""
    shortages: tuple[CountedShortage, ...] = ()
    """Where there is no plan: everything that counting alone shows too little of."""

    @property
    def short(self) -> list[SharedLink]:
        """Shared links that lose bandwidth."""
        return [one for one in self.shared if one.lost_mb_s]


@dataclass(frozen=True, slots=True)
class PlaceMore:
    """The rest, on request."""

    reasons: tuple[SeatReason, ...] = ()
    stages: tuple[StageOutcome, ...] = ()
    left_out: tuple[LeftOutPart, ...] = ()
    left_over: tuple[LeftOver, ...] = ()
    power: tuple[PowerBudget, ...] = ()
    rest: tuple[MachineAtRest, ...] = ()
    """Machines of which some watts at rest are known, or a price is."""


@dataclass(frozen=True, slots=True)
class PlaceAnswer:
    """Which slot each part goes in."""

    schema_version: int
    build: str
    title: str
    verdict: PlaceVerdict
    plan: PlacePlan
    do: PlaceToDo
    watch: PlaceToWatch
    more: PlaceMore
