"""How much room there is for a card's length or height, and who says so."""

from __future__ import annotations

from dataclasses import dataclass
from typing import Literal

from slotfit.model.machine import Chassis
from slotfit.model.part import Receptacle
from slotfit.model.problem import Problem, Site
from slotfit.model.span import Span

Size = Literal["length_mm", "height_mm"]


@dataclass(frozen=True, slots=True)
class Room:
    """The smallest room that anyone has named, in mm, and where."""

    mm: float
    span: Span | None


def room_for(size: Size, problem: Problem, site: Site, machine: str) -> Room | None:
    """
    Room for a card's length or height; None if nobody has said.

    A chassis' figures are for cards in the board's own slots: in a riser a card lies another way.
    """
    said: list[tuple[Receptacle | Chassis, str]] = [(site.receptacle, size)]
    chassis = problem.rig[machine].chassis
    if site.on_board and chassis is not None:
        said.append((chassis, f"card_{size}"))
    rooms = [
        Room(mm, where.span(field))
        for where, field in said
        if (mm := getattr(where, field)) is not None
    ]
    return min(rooms, key=lambda room: room.mm, default=None)
