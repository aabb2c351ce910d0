"""What is asked: one part, with what sits on it, held to receptacles one by one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from typing import NamedTuple

from slotfit.hardware.training import drawing, served
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Problem, Receptacle


class Question(NamedTuple):
    """
    A part, the drives on it, and the machine as it is today.

    The problem holds as parts what sits in the machine today, the part and its drives, and nothing
    else; none of them has a wish about where it goes.
    """

    problem: Problem
    part_id: str
    """Part id of the part asked about."""
    receptacles: tuple[str, ...]
    """Receptacles it is held to."""
    drives: Mapping[str, str] = {}
    """Part id of a drive (or whatever sits on the part) -> the part's socket it sits in."""
    today: Mapping[str, str] = {}
    """Part id of what is in the machine already -> its receptacle."""
    sat_in: str | None = None
    """Receptacle the part itself is in today, where it is one of the build's."""
    unconnected: tuple[str, ...] = ()
    """Further plugs of the part that must be connected too, and that nobody looked at."""

    @property
    def part(self) -> Part:
        """The part asked about."""
        return self.problem.part[self.part_id]


def receptacles_of(problem: Problem, asked: set[str]) -> tuple[Receptacle, ...]:
    """Receptacles of the machine and of what sits in it, not of the part itself."""
    return tuple(one for one in problem.receptacles if one.on_board or one.owner not in asked)


def is_lane_socket(spec: PartSpec, name: str) -> bool:
    """Whether a receptacle of a part takes a drive or card, not an air mover."""
    socket = next(one for one in spec.receptacles if one.id == name)
    return socket.form not in ("cooling-mount", "opening")


def keep_empty(group: LaneGroup, way: Arrangement, own: str) -> tuple[str, ...]:
    """Receptacles that would draw lanes away from `own` if something were plugged into them."""
    drawn = dict.fromkeys(name for names in drawing(group).values() for name in names)
    return tuple(name for name in drawn if name not in served(way) and name != own)


def while_filled(group: LaneGroup, own: str) -> Iterator[tuple[Arrangement, tuple[str, ...]]]:
    """Arrangements with lanes for `own` that come only while others are filled, and which."""
    drawn = drawing(group)
    for way in group.arrangements:
        others = tuple(name for name in drawn.get(way.id, ()) if name != own)
        if others and own in served(way):
            yield way, others


def taken_from(today: Arrangement, way: Arrangement, own: str) -> Iterator[str]:
    """Other receptacles that have fewer lanes than today."""
    for name, before in today.gives.items():
        if name != own and size(way.gives.get(name, ())) < size(before):
            yield name


def size(widths: tuple[int | str, ...]) -> int:
    """Lanes in all; a SATA or SAS lane is one."""
    return sum(width if isinstance(width, int) else 1 for width in widths)
