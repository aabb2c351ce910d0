"""A build file: the machines, the parts with their wishes, today's layout, what matters most."""

from typing import Annotated, Literal, get_args

from annotated_types import MinLen

from slotfit.model.build_part import BuildPart
from slotfit.model.entity import Entity
from slotfit.model.machine import Machine
from slotfit.model.sequence import NOTHING_ASKED, Sequence
from slotfit.model.words import Id, Line, Scope, SiteName, Stage

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
    machines: Annotated[tuple[Machine, ...], MinLen(1)]
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
