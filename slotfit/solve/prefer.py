"""The ordered preferences as linear sums to be made small, one a stage."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from slotfit.engine.costs import breathes, covers, is_hot, moved, weight
from slotfit.hardware.flow import (
    FLOWS,
    Flow,
    Path,
    at_sata,
    capacity,
    hub_capacity,
    paths,
    ports_of,
    slows,
)
from slotfit.hardware.room import Position, positions
from slotfit.model.keys import HubKey
from slotfit.model.plan import StageValue
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, settles
from slotfit.model.words import Stage
from slotfit.solve.engine import Model, Term
from slotfit.solve.frame import Frame


def optional_parts(frame: Frame) -> list[Term]:
    """Weight of optional parts left out, up to a constant: every seat of one earns its weight."""
    return frame.total(lambda seat: -weight(frame.problem.part[seat.part]))


def dark(frame: Frame) -> list[Term]:
    """Endpoints that stay dark."""
    return frame.total(lambda seat: frame.worth[seat.key].dark)


def short(flow: Flow) -> Callable[[Frame], list[Term]]:
    """MB/s of a flow that do not get through, at each part's own link and at each shared link."""

    def terms(frame: Frame) -> list[Term]:
        own = frame.total(lambda seat: frame.worth[seat.key].of(flow).short)
        return [*own, *shared(frame, flow, 0), *shared(frame, flow, 1)]

    return terms


def shared(frame: Frame, flow: Flow, way: int) -> list[Term]:
    """
    One variable a shared link: the MB/s that do not get through, `way` 0 in, 1 out.

    What a lower link holds back does not reach the links above it.
    """
    arriving: dict[Path, list[Term]] = {}
    for seat in frame.seats:
        worth = frame.worth[seat.key]
        passes = worth.of(flow).passes[way]
        if worth.hops and passes:
            arriving.setdefault(worth.hops, []).append((frame.var(seat), passes))
    excess: list[Term] = []
    for path in paths(list(frame.seats)):
        inflow = arriving.get(path, [])
        if inflow:
            room, constant = room_of(frame, path)
            over = [*inflow, *((variable, -weight) for variable, weight in room)]
            held = frame.model.rise(frame.model.range_of(inflow)[1], [(over, -constant)])
            arriving.setdefault(path[1:], []).extend([*inflow, (held, -1)])
            excess.append((held, 1))
    return excess


def room_of(frame: Frame, path: Path) -> tuple[list[Term], int]:
    """What a shared link carries: a constant for a hub, by seat for a part."""
    node = path[0]
    if isinstance(node, HubKey):
        return [], hub_capacity(frame.problem, node)
    ports = ports_of(frame.problem, node)
    seats = [s for s in frame.seats if s.part in ports and s.upstream.hops == path[1:]]
    room = [(frame.var(seat), frame.worth[seat.key].carries) for seat in seats]
    slower = [(frame.var(s), lost) for s in seats if (lost := capacity(s) - at_sata(s))]
    drives = slows(frame.problem, frame.seats, path) if slower else []
    return [*room, *lost_to_sata(frame, slower, drives)], 0


def lost_to_sata(frame: Frame, slower: list[Term], drives: list[Seat]) -> list[Term]:
    """What an expander's way up carries less while a SATA drive is below it."""
    if not drives:
        return []
    by_receptacle: dict[str, list[Term]] = {}
    for seat in drives:
        by_receptacle.setdefault(seat.receptacle, []).append((frame.var(seat), 1))
    there = frame.model.rise(1, [(terms, 0) for terms in by_receptacle.values()])
    most = frame.model.range_of(slower)[1]
    return [(frame.model.rise(most, [([*slower, (there, most)], -most)]), -1)]


def unproven(frame: Frame) -> list[Term]:
    """Facts rested on, each once; not where another seat settles it."""
    users: dict[tuple[str, ...], dict[tuple[str, str], list[Term]]] = {}
    for seat in frame.seats:
        for fact in seat.facts:
            sums = users.setdefault(fact.id, {})
            gone = settling(frame, seat, fact)
            sums.setdefault(("item", seat.part), gone).append((frame.var(seat), 1))
            # A part has one seat and a receptacle one part, so those that rest on a fact add up to
            # one at most. Either sum alone leaves the solver with much weaker fractions.
            if not fact.can_be_settled:
                sums.setdefault(("site", seat.receptacle), []).append((frame.var(seat), 1))
    return [
        (frame.model.rise(1, [(list(terms), 0) for terms in distinct(sums.values())]), 1)
        for sums in users.values()
    ]


def distinct(sums: Iterable[list[Term]]) -> list[tuple[Term, ...]]:
    """Each sum once, and none that is a part of another."""
    found = dict.fromkeys(map(tuple, sums))
    longer = {terms[0] for terms in found if len(terms) > 1}
    return [terms for terms in found if len(terms) > 1 or terms[0] not in longer]


def settling(frame: Frame, seat: Seat, fact: Doubt) -> list[Term]:
    """What takes a fact away again: seats that settle it for that part."""
    others = frame.seats if fact.can_be_settled else ()
    return [(frame.var(other), -1) for other in others if settles(other, seat.part, fact)]


def locality(frame: Frame) -> list[Term]:
    """Parts that hang on another processor than they should."""
    return frame.total(lambda seat: frame.worth[seat.key].far)


def cooling(frame: Frame) -> list[Term]:
    """Gaps where a fan has no air to draw, and gaps with a hot card on either side."""
    starts: dict[Position, list[Seat]] = {}
    ends: dict[Position, list[Seat]] = {}
    for seat in frame.seats:
        covered = positions(frame.problem, seat)
        if covered:
            starts.setdefault(covered[0], []).append(seat)
            ends.setdefault(covered[-1], []).append(seat)
    parts = frame.problem.part
    terms: list[Term] = []
    for (owner, row, place), before in ends.items():
        after = starts.get((owner, row, place + 1), [])
        fans = [seat for seat in before if breathes(parts[seat.part])]
        hot = [seat for seat in before if is_hot(parts[seat.part])]
        hot_after = [seat for seat in after if is_hot(parts[seat.part])]
        for here, there in ((fans, after), (hot, hot_after)):
            terms.extend(both(frame, here, there))
    return [*terms, *warmed(frame)]


def warmed(frame: Frame) -> list[Term]:
    """Places where something sits right under a hot card."""
    there: dict[str, list[Seat]] = {}
    for seat in frame.seats:
        there.setdefault(seat.receptacle, []).append(seat)
    terms: list[Term] = []
    for over, below in covers(frame.problem):
        hot = [seat for seat in there.get(over, []) if is_hot(frame.problem.part[seat.part])]
        terms.extend(both(frame, hot, there.get(below, [])))
    return terms


def both(frame: Frame, here: list[Seat], there: list[Seat]) -> list[Term]:
    """A variable that is 1 where a seat of either list is chosen; each list holds at most one."""
    if not here or not there:
        return []
    terms = [(frame.var(seat), 1) for seat in (*here, *there)]
    return [(frame.model.rise(1, [(terms, -1)]), 1)]


def moves(frame: Frame) -> list[Term]:
    """Parts that sit elsewhere today, up to a constant: those that come out if left out."""
    return frame.total(lambda seat: frame.worth[seat.key].moved)


def reserve(frame: Frame) -> list[Term]:
    """GB/s of receptacles taken or covered, each counted at its best arrangement."""
    return frame.total(lambda seat: frame.worth[seat.key].taken)


def spare_lanes(frame: Frame) -> list[Term]:
    """MB/s that the links of placed parts could carry beyond what they do."""
    return frame.total(lambda seat: frame.worth[seat.key].spare)


STAGES: dict[Stage, Callable[[Frame], list[Term]]] = {
    "demand": short("demand"),
    "optional-parts": optional_parts,
    "optional-demand": short("optional-demand"),
    "dark-endpoints": dark,
    "unproven-facts": unproven,
    "bandwidth": short("bandwidth"),
    "locality": locality,
    "cooling": cooling,
    "moves": moves,
    "reserve": reserve,
    "spare-lanes": spare_lanes,
}


PACKED_RANGE = 10**7
"""Consecutive stages share one objective while the product of their ranges stays below this; with
more, most builds take as long and a few many times longer."""

WIDER_RANGE = 1 << 40
"""The same where no tie is broken afterwards: a quarter faster where any part may be left out."""

UNITS = {
    "demand": "MB/s short",
    "optional-parts": "weight left out",
    "optional-demand": "MB/s short",
    "dark-endpoints": "endpoints",
    "unproven-facts": "facts",
    "bandwidth": "MB/s short",
    "locality": "parts",
    "cooling": "gaps",
    "moves": "parts",
    "reserve": "GB/s taken",
    "spare-lanes": "MB/s not had",
}


@dataclass
class Objective:
    """Some consecutive stages in one objective."""

    names: list[str] = field(default_factory=list)
    terms: list[list[Term]] = field(default_factory=list)
    ranges: list[tuple[int, int]] = field(default_factory=list)

    @property
    def size(self) -> int:
        """The product of the ranges: what the objective counts up to."""
        product = 1
        for low, high in self.ranges:
            product *= high - low + 1
        return product

    @property
    def weights(self) -> list[int]:
        """What one unit of each stage weighs: more than all later stages together."""
        found = [1]
        for low, high in reversed(self.ranges[1:]):
            found.append(found[-1] * (high - low + 1))
        return found[::-1]

    def add(self, name: str, terms: list[Term], span: tuple[int, int]) -> None:
        """One more stage, after the others."""
        self.names.append(name)
        self.terms.append(terms)
        self.ranges.append(span)

    def objective(self) -> list[Term]:
        """The stages in one sum."""
        return [
            (variable, cost * unit)
            for terms, unit in zip(self.terms, self.weights, strict=True)
            for variable, cost in terms
        ]

    def reached(self, values: Sequence[int]) -> list[int]:
        """What each stage comes to."""
        return [worth(terms, values) for terms in self.terms]

    def bounds(self, values: Sequence[int], bound: int) -> list[int]:
        """
        What a bound of the objective proves of each stage, for plans as good in the earlier ones.

        A stage's bound is what the objective's leaves it when all later ones are at their most;
        of the stages after one that is not proven nothing is known but their least value.
        """
        found = [low for low, _ in self.ranges]
        for number, unit in enumerate(self.weights):
            rest = zip(self.ranges[number + 1 :], self.weights[number + 1 :], strict=True)
            most = sum(high * its_unit for (_, high), its_unit in rest)
            found[number] = max(found[number], -((most - bound) // unit))
            value = worth(self.terms[number], values)
            if value > found[number]:
                break
            bound -= value * unit
        return found


def worth(terms: Iterable[Term], values: Sequence[int]) -> int:
    """The sum's value."""
    return sum(cost * values[variable] for variable, cost in terms)


def pack(model: Model, sums: Iterable[tuple[str, list[Term]]], most: int) -> list[Objective]:
    """Named sums in as few steps as can be, none of which counts further than `most`."""
    steps: list[Objective] = []
    for name, terms in sums:
        low, high = model.range_of(terms)
        if not steps or steps[-1].size * (high - low + 1) > most:
            steps.append(Objective())
        steps[-1].add(name, terms, (low, high))
    return steps


def preferred(frame: Frame, *, wider: bool = False) -> list[Objective]:
    """The build's preferences, each that counts something new, in as few steps as ranges allow."""
    stages = dict.fromkeys(counted_by(frame).values())
    sums = ((stage, STAGES[stage](frame)) for stage in stages)
    return pack(frame.model, sums, WIDER_RANGE if wider else PACKED_RANGE)


def counted_by(frame: Frame) -> dict[Stage, Stage]:
    """Each preference with the first one that counts the same: two flows may be one."""
    first: dict[object, Stage] = {}
    found: dict[Stage, Stage] = {}
    for stage in frame.problem.preferences:
        flow = next((one for one in FLOWS if one == stage), None)
        moved = flow and tuple(frame.worth[seat.key].of(flow) for seat in frame.seats)
        found[stage] = first.setdefault(moved or stage, stage)
    return found


def constant(problem: Problem, stage: str) -> int:
    """What a stage comes to with no part placed: its terms count what each seat changes."""
    match stage:
        case "optional-parts":
            return sum(weight(part) for part in problem.parts)
        case "moves":
            return sum(moved(problem, part.id, None) for part in problem.parts)
        case _:
            return 0


def stage_value(name: str, value: int, bound: int, frame: Frame) -> StageValue:
    """What the plan comes to in a stage, parts that are left out included."""
    left = constant(frame.problem, name)
    return StageValue(name, value + left, bound + left, UNITS[name])
