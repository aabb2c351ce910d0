"""What is asked: one part, with what sits on it, held to receptacles one by one."""

from collections.abc import Mapping
from typing import NamedTuple

from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Site


class Question(NamedTuple):
    """
    A part, the drives on it, and the machine as it is today.

    The problem holds as items what sits in the machine today, the part and its drives, and nothing
    else; none of them has a wish about where it goes.
    """

    problem: Problem
    part: str
    """Item id of the part asked about."""
    sites: tuple[str, ...]
    """Receptacles it is held to."""
    drives: Mapping[str, str] = {}
    """Item id of a drive (or whatever sits on the part) -> the part's socket it sits in."""
    today: Mapping[str, str] = {}
    """Item id of what is in the machine already -> its receptacle."""
    sat_in: str | None = None
    """Receptacle the part itself is in today, where it is one of the build's."""
    unconnected: tuple[str, ...] = ()
    """Further plugs of the part that must be connected too, and that nobody looked at."""

    @property
    def item(self) -> Item:
        """The part asked about."""
        return self.problem.item[self.part]


def sites_of(problem: Problem, asked: set[str]) -> tuple[Site, ...]:
    """Receptacles of the machine and of what sits in it, not of the part itself."""
    return tuple(site for site in problem.sites if site.on_board or site.owner not in asked)


def is_lane_socket(part: Part, name: str) -> bool:
    """Whether a receptacle of a part takes a drive or card, not an air mover."""
    socket = next(one for one in part.receptacles if one.id == name)
    return socket.form not in ("cooling-mount", "opening")
