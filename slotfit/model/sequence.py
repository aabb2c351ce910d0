"""What has to hold while a build is carried out, from one power-down to the next."""

from typing import Annotated, Any, Literal

from annotated_types import Interval, MinLen
from pydantic import BeforeValidator, Field

from slotfit.model.entity import Entity
from slotfit.model.words import Id, SiteName

Number = Annotated[int, Interval(ge=1, le=30)]
"""A window's number; the first is 1."""


def read_names(written: Any) -> Any:
    """One name stands for a list of one."""
    return (written,) if isinstance(written, str) else written


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

    goal: dict[Id, SiteName] = {}
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
