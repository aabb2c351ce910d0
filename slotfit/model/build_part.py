"""One line of a build file's parts: what to place, and what is wished for it."""

from typing import Annotated, Any, Literal

from annotated_types import Interval
from pydantic import BeforeValidator

from slotfit.model.entity import Entity
from slotfit.model.part import Demand, read_demand
from slotfit.model.words import Generation, Id, Lanes, SiteName


class BuildPart(Entity):
    """One part (or `count` alike) to place, with what is wished for it."""

    id: Id
    part: Any
    """Catalog id, file path, or the part written out here."""
    count: Annotated[int, Interval(ge=1, le=100)] = 1
    """More than one: they are called `id-1`, `id-2`, ..."""
    required: bool = True
    """A plan without it is no plan; `false`: left out if need be."""
    weight: Annotated[int, Interval(ge=1, le=1000)] = 1
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
    endpoints: Annotated[int, Interval(ge=0, le=64)] | None = None
    """How many of its endpoints or sockets must come alive; left out: as many as it has, as a
    preference."""
    demand: Annotated[Demand, BeforeValidator(read_demand)] | None = None
    """Overrides the part's own demand."""
    bracket: Literal["full", "low"] | None = None
    """Bracket that is fitted now, where the part has both."""
