"""The ordered preferences as linear sums to be made small, one a stage."""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from slotfit.costs import (
    breathes,
    capability,
    dark_endpoints,
    far,
    is_hot,
    moved,
)
from slotfit.flow import Path, capacity, demand_of, hub_capacity, is_hub, met, paths, serving
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.model.words import Stage
from slotfit.slot_row import Position, positions
from slotfit.solve.engine import FAR, Model, Term


@dataclass(frozen=True)
class Frame:
    """What a stage is built from."""

    problem: Problem
    seating: Seating
    model: Model
    x: dict[str, int]

    def seats(self, cost: Callable[[Seat], int]) -> list[Term]:
        """The sum of a cost over the chosen seats."""
        return [(self.x[s.key], worth) for s in self.seating.seats if (worth := cost(s))]


def optional_parts(frame: Frame) -> list[Term]:
    """Weight of optional parts left out, up to a constant: every seat of one earns its weight."""
    optional = {item.id: item for item in frame.problem.items if not item.wish.required}
    earned = frame.seats(lambda s: optional[s.item].wish.weight if s.item in optional else 0)
    return [(variable, -weight) for variable, weight in earned]


def dark(frame: Frame) -> list[Term]:
    """Endpoints that stay dark."""
    return frame.seats(lambda seat: dark_endpoints(frame.problem.item[seat.item], seat))


def bandwidth(frame: Frame) -> list[Term]:
    """MB/s short of demand, at each part's own link and at each shared link."""
    serves = serving(frame.problem, frame.seating.by_site)

    def short(seat: Seat) -> int:
        item = frame.problem.item[seat.item]
        wanted = demand_of(item, seat, item.id in serves)
        return sum(wanted) - sum(met(wanted, seat))

    return [*frame.seats(short), *shared(frame, serves, 0), *shared(frame, serves, 1)]


def shared(frame: Frame, serves: frozenset[str], way: int) -> list[Term]:
    """
    One variable a shared link: the MB/s that do not get through, `way` 0 in, 1 out.

    What a lower link holds back does not reach the links above it.
    """
    arriving: dict[Path, list[Term]] = {}
    for seat in frame.seating.seats:
        item = frame.problem.item[seat.item]
        flow = met(demand_of(item, seat, item.id in serves), seat)[way]
        if seat.offer.hops and flow:
            arriving.setdefault(seat.offer.hops, []).append((frame.x[seat.key], flow))
    excess: list[Term] = []
    for path in paths(list(frame.seating.seats)):
        inflow = arriving.get(path, [])
        if not inflow:
            continue
        held = frame.model.variable(0, sum(weight for _, weight in inflow if weight > 0))
        room, constant = room_of(frame, path)
        minus_room = [(variable, -weight) for variable, weight in room]
        frame.model.row([*inflow, (held, -1), *minus_room], -FAR, constant)
        arriving.setdefault(path[1:], []).extend([*inflow, (held, -1)])
        excess.append((held, 1))
    return excess


def room_of(frame: Frame, path: Path) -> tuple[list[Term], int]:
    """What a shared link carries: a constant for a hub, by seat for a part."""
    if is_hub(path[0]):
        return [], hub_capacity(frame.problem, path[0])
    seats = [s for s in frame.seating.by_item.get(path[0], []) if s.offer.hops == path[1:]]
    return [(frame.x[seat.key], capacity(seat)) for seat in seats], 0


def unproven(frame: Frame) -> list[Term]:
    """Facts rested on, each once."""
    users: dict[str, list[str]] = {}
    for seat in frame.seating.seats:
        for fact in seat.facts:
            users.setdefault(fact.id, []).append(seat.key)
    terms: list[Term] = []
    for keys in users.values():
        rests = frame.model.variable()
        for key in keys:
            frame.model.row([(frame.x[key], 1), (rests, -1)], -FAR, 0)
        terms.append((rests, 1))
    return terms


def locality(frame: Frame) -> list[Term]:
    """Parts that hang on another processor than they should."""
    return frame.seats(lambda seat: far(frame.problem.item[seat.item], seat))


def cooling(frame: Frame) -> list[Term]:
    """Gaps where a fan has no air to draw, and gaps with a hot card on either side."""
    starts: dict[Position, list[Seat]] = {}
    ends: dict[Position, list[Seat]] = {}
    for seat in frame.seating.seats:
        covered = positions(frame.problem, seat)
        if covered:
            starts.setdefault(covered[0], []).append(seat)
            ends.setdefault(covered[-1], []).append(seat)
    terms: list[Term] = []
    for (owner, row, place), before in ends.items():
        after = starts.get((owner, row, place + 1), [])
        fans = [seat for seat in before if breathes(frame.problem.item[seat.item])]
        hot = [seat for seat in before if is_hot(frame.problem.item[seat.item])]
        hot_after = [seat for seat in after if is_hot(frame.problem.item[seat.item])]
        for here, there in ((fans, after), (hot, hot_after)):
            terms.extend(both(frame, here, there))
    return terms


def both(frame: Frame, here: list[Seat], there: list[Seat]) -> list[Term]:
    """A variable that is 1 where a seat of either list is chosen; each list holds at most one."""
    if not here or not there:
        return []
    crowded = frame.model.variable()
    terms = [(frame.x[seat.key], 1) for seat in (*here, *there)]
    frame.model.row([*terms, (crowded, -1)], -FAR, 1)
    return [(crowded, 1)]


def moves(frame: Frame) -> list[Term]:
    """Parts that sit elsewhere today."""
    return frame.seats(lambda seat: moved(frame.problem, seat))


def reserve(frame: Frame) -> list[Term]:
    """GB/s of receptacles taken, each counted at its best arrangement."""
    return frame.seats(lambda seat: capability(frame.problem, frame.problem.site[seat.site]))


STAGES: dict[Stage, Callable[[Frame], list[Term]]] = {
    "optional-parts": optional_parts,
    "dark-endpoints": dark,
    "bandwidth": bandwidth,
    "unproven-facts": unproven,
    "locality": locality,
    "cooling": cooling,
    "moves": moves,
    "reserve": reserve,
}
