"""What has to hold while a build is carried out, from one power-down to the next."""

from __future__ import annotations

from typing import Annotated, Any, Literal, get_args

from annotated_types import Interval, Len, MinLen
from pydantic import BeforeValidator, Discriminator, Field, Tag

from slotfit.model.entity import Entity
from slotfit.model.machine import BuildMachine, read_names
from slotfit.model.part import Demand, read_demand
from slotfit.model.ports import Outside, PortEnd, read_outside
from slotfit.model.words import (
    FirmwareMode,
    FirmwareNeed,
    Generation,
    Id,
    Lanes,
    Line,
    ReceptacleName,
    Scope,
    SharedBy,
    Stage,
    Watts,
)


def one_or_several(written: Any) -> str:
    """Whether one guest is named, or a list of them."""
    return "several" if isinstance(written, tuple | list) else "one"


Guests = Annotated[
    Annotated[str, Tag("one")] | Annotated[tuple[str, ...], MinLen(1), Tag("several")],
    Discriminator(one_or_several),
]
"""A guest, or several that share."""


UNKNOWN = "unknown"
"""What stands for a part of which only its place is known."""


class BuildPart(Entity):
    """One part (or `count` alike) to place, with what is wished for it."""

    id: Id
    part: Any
    """Catalog id, file path, or the part written out here; `unknown`: something is there, and
    nobody has said what: nothing else goes where its `pin` says."""
    count: Annotated[int, Interval(ge=1, le=100)] = 1
    """More than one: they are called `id-1`, `id-2`, ..."""
    required: bool = True
    """A plan without it is no plan; `false`: left out if need be."""
    weight: Annotated[int, Interval(ge=1, le=1000)] = 1
    """How much an optional part counts against other optional ones."""
    pin: ReceptacleName | None = None
    """It goes here and nowhere else."""
    only: tuple[ReceptacleName, ...] = ()
    """It goes into one of these; a part's name stands for all its receptacles."""
    ban: tuple[ReceptacleName, ...] = ()
    """It does not go into these."""
    machine: Id | None = None
    near: ReceptacleName | None = None
    """Processor it should be attached to (`cpu0` or `machine/cpu0` where several)."""
    must_be_near: bool = False
    """`near` is a requirement, not a preference."""
    guest: Guests | None = None
    """Virtual machine it is handed to; different guests share no isolation group. A list: these
    share it, and it stays with the host."""
    shared_by: SharedBy | None = None
    """How guests share it; left out: not known, if several do."""
    mode: FirmwareMode | None = None
    """Mode that the firmware of an adapter is in: `plain` shows each drive as it is, `raid` keeps
    them behind arrays; left out: not known."""
    min_lanes: Lanes | None = None
    """Fewer lanes than these are refused."""
    min_generation: Generation | None = None
    """A slower link is refused."""
    endpoints: Annotated[int, Interval(ge=0, le=64)] | None = None
    """How many of its endpoints or sockets must be detected; left out: as many as it has, as a
    preference."""
    needs_firmware: tuple[FirmwareNeed, ...] = ()
    """What it needs of the firmware here beside what its description says: `nvme-boot` of a drive
    from which the system starts."""
    demand: Annotated[Demand, BeforeValidator(read_demand)] | None = None
    """Overrides the part's own demand."""
    bracket: Literal["full", "low"] | None = None
    """Bracket that is on it now; where it has both, the plan says when to change it."""
    modules_w: Watts | None = None
    """What the modules in its ports draw, all together, on top of its own watts; left out: those
    that `ends` name, else not known, and not counted."""
    ends: dict[Id, PortEnd] = {}
    """Network port -> what is plugged in there; left out: nothing is, as far as is known."""

    @property
    def is_unknown(self) -> bool:
        """Whether nobody has said what it is."""
        return bool(self.part == UNKNOWN)

    @property
    def guests(self) -> tuple[str, ...]:
        """Every guest that has it or a share of it."""
        return (self.guest,) if isinstance(self.guest, str) else self.guest or ()

    @property
    def is_shared(self) -> bool:
        """Whether the host keeps it and guests get shares."""
        return len(set(self.guests)) > 1 or (self.shared_by is not None and bool(self.guests))

    @property
    def owner(self) -> str | None:
        """The guest that it is handed to whole; None: it stays with the host."""
        return None if self.is_shared or not self.guests else self.guests[0]

    @property
    def is_handed_over(self) -> bool:
        """Whether a guest drives it, or a virtual function of it."""
        return self.owner is not None or (self.is_shared and self.shared_by == "virtual-functions")


Number = Annotated[int, Interval(ge=1, le=30)]
"""A window's number; the first is 1."""


Names = Annotated[tuple[Id, ...], BeforeValidator(read_names), MinLen(1)]
"""Parts; one with a `count` stands for all of them, one that holds drives for its drives."""


class Copy(Entity):
    """Everything on some parts is copied to others while both run, before the first ones leave."""

    from_: Annotated[Names, Field(alias="from")]
    to: Names
    over: Literal["machine", "network"] = "machine"
    """`machine`: both in one machine. `network`: in one or in two."""
    through: Annotated[tuple[Id, ...], BeforeValidator(read_names)] = ()
    """Network cards for that: one of them in either machine. Left out: the boards' own ports."""


class Service(Entity):
    """Something that runs on one machine while all of the parts it needs run there."""

    id: Id
    needs: Names
    """A part that is copied may be replaced by its copy once that is made."""
    may_be_down: Annotated[int, Interval(ge=0, le=30)] = 0
    """For so many of the stretches between two windows it may be down."""
    windows: tuple[Number, ...] | None = None
    """Windows in which its machine may be off; left out: any."""


class Mirror(Entity):
    """Parts that hold the same data."""

    parts: Names
    keep: Annotated[int, Interval(ge=1, le=100)] = 1
    """So many of them run in every stretch, and stay over every window."""


class Sequence(Entity):
    """What to keep to on the way from today's layout to the goal."""

    goal: dict[Id, ReceptacleName] = {}
    """Part -> receptacle at the end; the others where `place` finds best."""
    copies: tuple[Copy, ...] = ()
    """Data that is copied on the way."""
    services: tuple[Service, ...] = ()
    """What is to keep running."""
    mirrors: tuple[Mirror, ...] = ()
    """Parts of which some must always be there."""
    arrivals: dict[Id, Number] = {}
    """Part or machine -> the first window in which it is there."""
    settings_today: dict[str, Id] = {}
    """Lane group (`machine/group`) -> the arrangement chosen now."""
    at_once: Annotated[int, Interval(ge=1, le=100)] = 1
    """So many machines may be off in one window."""
    most_windows: Number = 8


NOTHING_ASKED = Sequence.model_construct()
"""Where a build says nothing of the way. Not checked: a validator takes time to build."""


DEFAULT_STAGES: tuple[Stage, ...] = get_args(Stage)
"""All of them, in the order of importance."""


class Group(Entity):
    """Parts that go together or stay apart."""

    parts: Annotated[tuple[Id, ...], MinLen(1)]
    """A part with a `count` stands for all of them."""
    by: Scope = "machine"
    """What they share, or must not share."""


class Build(Entity):
    """What to plan."""

    kind: Literal["build"] = "build"
    """What the file describes."""
    id: Id
    name: Line | None = None
    """What to call it in an answer; left out, its id."""
    about: str | None = None
    """What whoever uses the file should know."""
    invented: bool = False
    """The figures are made up, true to a class of things and to no product."""
    machines: Annotated[tuple[BuildMachine, ...], MinLen(1)]
    """What can be filled; at least one."""
    parts: tuple[BuildPart, ...] = ()
    """What is to be placed."""
    outside: tuple[Annotated[Outside, BeforeValidator(read_outside)], ...] = ()
    """What stands at far ends of network cables: ids, or `{id, gb_s}`."""
    together: tuple[Group, ...] = ()
    """Parts that must share a machine, a processor, a lane group and so on."""
    apart: tuple[Group, ...] = ()
    """Parts that must not."""
    today: dict[Id, ReceptacleName] = {}
    """Part -> receptacle it sits in now."""
    preferences: tuple[Stage, ...] = DEFAULT_STAGES
    price_per_kwh: Annotated[float, Interval(ge=0, le=1000)] | None = None
    """In the currency of `price`; left out: a year at rest is told in kilowatt-hours alone."""
    untouchable: tuple[str, ...] = ()
    """Ways out not to offer: part ids, or `machine`, `board`, `processors`, `buy`."""
    retire: tuple[Id, ...] = ()
    """Machines taken out of service, and parts that leave: `place` uses neither."""
    sequence: Sequence = NOTHING_ASKED
    """What to keep to on the way from `today` to the plan."""


class Addition(Entity):
    """Parts that may be added."""

    part: Any
    """Catalog id, file path, or the part written out here."""
    count: Annotated[int, Interval(ge=1, le=64)] = 1
    """So many of it."""


class LikelyFuture(Entity):
    """One future."""

    id: Id
    """Its name in the answer."""
    weight: Annotated[float, Interval(gt=0, le=1000)] = 1
    """How likely it is, against the others."""
    parts: Annotated[tuple[Addition, ...], Len(1, 64)]
    """What is added in it, all together."""


class Futures(Entity):
    """Several futures to hold a board against."""

    kind: Literal["futures"] = "futures"
    """What this file describes."""
    futures: Annotated[tuple[LikelyFuture, ...], Len(1, 100)]
    """The futures, in any order."""
