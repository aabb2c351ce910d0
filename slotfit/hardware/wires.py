"""
What passive wires on the way do to a link.

Both ends settle on a rate and know nothing of the wires between them: a link comes up faster than a
riser, cable or carrier is good for, and then errs, unless the port is held to a lower generation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from slotfit.hardware.training import lowest
from slotfit.model.board import BoardReceptacle
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Trained, Upstream

EASY_GENERATION = 3
"""Up to here ordinary risers, cables and carriers carry a link; common practice, no source."""


@dataclass(frozen=True, slots=True)
class HeldPort:
    """A board's receptacle whose lanes are to be held to a generation, by a menu entry."""

    machine: str
    receptacle: str
    menu: str
    generation: int
    parts: tuple[str, ...]
    """Whose links would come up faster than the wires on the way carry."""


def ends_here(links: Iterable[Trained]) -> Iterator[Trained]:
    """PCIe links that train and end in the part itself."""
    return (link for link in links if link.lanes and link.bus == "pcie" and not link.to)


def outruns_wires(links: Iterable[Trained], upstream: Upstream) -> bool:
    """Whether both ends of a link, as far as they are known, are faster than the wires between."""
    settled = (lowest(link.able_generation, upstream.generation) for link in ends_here(links))
    return upstream.passes is not None and any((one or 0) > upstream.passes for one in settled)


def maker_of_lanes(problem: Problem, upstream: Upstream) -> str:
    """The switch that makes the lanes, or else the board receptacle that they come through."""
    for carrier in upstream.carriers:
        if problem.part[carrier].spec.wiring != "passive":
            return carrier
    return upstream.root


def speed_setting(problem: Problem, upstream: Upstream) -> str | bool | None:
    """The menu entry that holds the port to a lower generation; False: none; None: not known."""
    port = problem.receptacle.get(maker_of_lanes(problem, upstream))
    return port.spec.speed_setting if port and isinstance(port.spec, BoardReceptacle) else None


def held_ports(problem: Problem, seats: Iterable[Seat]) -> tuple[HeldPort, ...]:
    """Every port that is to be held, to what the slowest wires in use below it carry."""
    found: dict[str, HeldPort] = {}
    for seat in seats:
        here, menu = seat.upstream, speed_setting(problem, seat.upstream)
        if here.passes is None or not isinstance(menu, str) or not outruns_wires(seat.links, here):
            continue
        known = found.get(here.root)
        generation = min(here.passes, known.generation) if known else here.passes
        parts = (*(known.parts if known else ()), seat.part)
        found[here.root] = HeldPort(here.machine, here.root, menu, generation, parts)
    return tuple(found.values())
