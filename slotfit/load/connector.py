"""What a receptacle's form alone says: its connector's size, what it may carry."""

from __future__ import annotations

from slotfit.model.part import Receptacle
from slotfit.model.words import Bus
from slotfit.standards.forms import PLUG_FORMS


def connector_lanes(receptacle: Receptacle) -> int | None:
    """The connector's size in lanes; None if neither file nor form says it."""
    if receptacle.width is not None:
        return receptacle.width
    made = PLUG_FORMS[receptacle.form].lanes
    return made[0] if len(made) == 1 else None


def most_lanes(receptacle: Receptacle) -> int:
    """No more lanes than these can arrive here."""
    return connector_lanes(receptacle) or PLUG_FORMS[receptacle.form].max_lanes


def usual_bus(form: str, written: Bus, *, said: bool) -> Bus:
    """The bus of a form that cannot carry PCIe, unless the file names one."""
    buses = PLUG_FORMS[form].buses
    if said or not buses or "pcie" in buses:
        return written
    return buses[0]  # type: ignore[return-value]  # the table's words are those of Bus
