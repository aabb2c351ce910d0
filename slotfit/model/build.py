"""A build file: the machines, the parts with their wishes, today's layout, what matters most."""

from typing import Annotated, Any, Literal, get_args

from pydantic import BeforeValidator, Field

from slotfit.model.entity import Entity
from slotfit.model.machine import Machine
from slotfit.model.part import Demand, read_demand
from slotfit.model.sequence import NOTHING_ASKED, Sequence
from slotfit.model.words import Generation, Id, Lanes, Line, Scope, SiteName, Stage

DEFAULT_STAGES: tuple[Stage, ...] = get_args(Stage)
"""All of them, in the order of importance."""


class BuildPart(Entity):
    """One part (or `count` alike) to place, with what is wished for it."""

    id: Id
    part: Any
    """Catalog id, file path, or the part written out here."""
    count: Annotated[int, Field(ge=1, le=100)] = 1
    """More than one: they are called `id-1`, `id-2`, ..."""
    required: bool = True
    """A plan without it is no plan; `false`: left out if need be."""
    weight: Annotated[int, Field(ge=1, le=1000)] = 1
    """How much an optional part counts against other optional ones."""
    pin: SiteName | None = None
    """It goes here and nowhere else."""
    only: tuple[SiteName, ...] = ()
    """It goes into one of these; a part's name stands for all its receptacles."""
    ban: tuple[SiteName, ...] = ()
    """It does not go into these."""
    machine: Id | None = None
    near: SiteName | None = None
    """Processor it should hang on (`cpu0` or `machine/cpu0` where several)."""
    must_be_near: bool = False
    """`near` is a requirement, not a preference."""
    guest: str | None = None
    """Virtual machine it is handed to; different guests share no isolation group."""
    min_lanes: Lanes | None = None
    """Fewer lanes than these are refused."""
    min_generation: Generation | None = None
    """A slower link is refused."""
    endpoints: Annotated[int, Field(ge=0, le=64)] | None = None
    """How many of its endpoints or sockets must come alive; left out: as many as it has, as a
    preference."""
    demand: Annotated[Demand, BeforeValidator(read_demand)] | None = None
    """Overrides the part's own demand."""
    bracket: Literal["full", "low"] | None = None
    """Bracket that is fitted now, where the part has both."""


class Group(Entity):
    """Parts that go together or stay apart."""

    parts: Annotated[tuple[Id, ...], Field(min_length=1)]
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
    machines: Annotated[tuple[Machine, ...], Field(min_length=1)]
    """What can be filled; at least one."""
    parts: tuple[BuildPart, ...] = ()
    """What is to be placed."""
    together: tuple[Group, ...] = ()
    """Parts that must share a machine, a processor, a lane group and so on."""
    apart: tuple[Group, ...] = ()
    """Parts that must not."""
    today: dict[Id, SiteName] = {}
    """Part -> receptacle it sits in now."""
    preferences: tuple[Stage, ...] = DEFAULT_STAGES
    untouchable: tuple[str, ...] = ()
    """Ways out not to offer: part ids, or `machine`, `board`, `processors`, `buy`."""
    retire: tuple[Id, ...] = ()
    """Machines taken out of service, and parts that leave: `place` uses neither."""
    sequence: Sequence = NOTHING_ASKED
    """What to keep to on the way from `today` to the plan."""
