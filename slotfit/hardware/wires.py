"""
What passive wires on the way do to a link.

Both ends settle on a rate and know nothing of the wires between them: a link comes up faster than a
riser, cable or carrier is good for, and then errs, unless the port is held to a lower generation.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from slotfit.hardware.training import lowest
from slotfit.model.board import BoardReceptacle
from slotfit.model.part import PartSpec, ReceptacleSpec
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seat, Trained, Upstream
from slotfit.standards.pcie import CHANNEL_DB

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


def ends_here(links: Iterable[Trained], *, made_anew: bool = False) -> Iterator[Trained]:
    """PCIe links that train and end in the part itself; `made_anew`: where a retimer takes them."""
    mine = (link for link in links if link.lanes and link.bus == "pcie")
    return (link for link in mine if made_anew or not link.to)


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


@dataclass(frozen=True, slots=True)
class Lost:
    """What a signal of one generation loses from chip to chip, as far as files say."""

    stated_db: float
    stated: int
    """How many pieces of the way say it."""
    silent: tuple[tuple[str, PartSpec | ReceptacleSpec], ...]
    """Pieces of the way that do not, from the part's own on."""


def lost(problem: Problem, part: Part, upstream: Upstream, generation: int) -> Lost:
    """The losses from the port, or from the last retimer, to the part."""
    through = [part.spec, *(problem.part[name].spec for name in upstream.pieces)]
    pieces: list[tuple[str, PartSpec | ReceptacleSpec]] = [(one.id, one) for one in through]
    if not any(one.retimer for one in through[1:]):
        maker = maker_of_lanes(problem, upstream)
        board = problem.receptacle.get(maker)
        pieces.append((maker, board.spec if board else problem.part[maker].spec))
    said = [(piece, piece[1].loss_db) for piece in pieces]
    losses = [(piece, loss.at(generation) if loss else None) for piece, loss in said]
    known = [loss for _, loss in losses if loss is not None]
    return Lost(sum(known), len(known), tuple(piece for piece, loss in losses if loss is None))


def ends_channel(part: Part) -> bool:
    """Whether a signal ends in the part, or is made anew there."""
    links = part.spec.links
    return part.spec.retimer or any(one.bus == "pcie" and not one.to for one in links)


def within_budget(problem: Problem, part: Part, upstream: Upstream) -> Upstream:
    """The offer held to the generation at which the stated losses leave enough of the signal."""
    if not ends_channel(part):
        return upstream
    over = [
        generation
        for generation, budget in CHANNEL_DB.items()
        if lost(problem, part, upstream, generation).stated_db > budget
    ]
    return replace(upstream, passes=lowest(upstream.passes, min(over) - 1)) if over else upstream


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
