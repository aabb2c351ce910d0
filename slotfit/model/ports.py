"""Network ports of parts, what is plugged into them, and what stands at the far end."""

from typing import Annotated, Any

from annotated_types import Interval, MinLen

from slotfit.model.entity import Entity
from slotfit.model.words import CageForm, GigabytesPerSecond, Id, Line

Metres = Annotated[float, Interval(gt=0, le=100_000)]


class Port(Entity):
    """One socket for a network cable."""

    id: Id
    label: Line | None = None
    """The name printed beside it."""
    cage: CageForm | None = None
    """Its cage or jack; left out: not known."""
    gb_s: Annotated[tuple[GigabytesPerSecond, ...], MinLen(1)] | None = None
    """Rates at which it runs, each way: 1.25 for 10 Gb/s; left out: not known."""
    shares_speed_with: tuple[Id, ...] | None = None
    """Ports that run at the same rate as this one at any time; `[]`: none; left out: not known."""


class PortEnd(Entity):
    """What is plugged into one port of a part."""

    to: Annotated[str, MinLen(1)]
    """An outside end, a machine, or `part/port` of another part."""
    by: Any = None
    """Module or cable: catalog id, file path, or the part written out here; left out: not known."""
    run_m: Metres | None = None
    """How far the cable runs; left out: not known, and its reach is not judged."""


class Outside(Entity):
    """What stands at the far end of a cable and is no machine of the build."""

    id: Id
    gb_s: GigabytesPerSecond | None = None
    """Rate of its port, each way; left out: not known."""


def read_outside(written: Any) -> Any:
    """A name alone says no more."""
    return {"id": written} if isinstance(written, str) else written


def number_or_list(written: Any) -> str:
    """Which of the two ways of telling ports it is."""
    return "list" if isinstance(written, tuple | list) else "number"
