"""LANE011: lanes steered by what is plugged in."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.clause import AtMost, Clause, Ground, Needs, arrangement
from slotfit.model.problem import Problem, Rig
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, written


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """An arrangement chosen by presence goes with the receptacles that are filled."""
    for rig in problem.rigs:
        for group in rig.board.lane_groups:
            steering = steering_receptacles(group)
            for way in group.arrangements:
                if way.chosen_by == "presence":
                    for receptacle in steering:
                        yield from steer(problem, seating, rig, group, way, receptacle)


def steering_receptacles(group: LaneGroup) -> list[str]:
    """Receptacles that get lanes in some but not all of the ways chosen by presence."""
    ways = [way for way in group.arrangements if way.chosen_by == "presence"]
    everyone = dict.fromkeys(receptacle for way in ways for receptacle in way.gives)
    return [name for name in everyone if not all(way.gives.get(name) for way in ways)]


def steer(
    problem: Problem,
    seating: Seating,
    rig: Rig,
    group: LaneGroup,
    way: Arrangement,
    receptacle: str,
) -> Iterator[Clause]:
    """Filled if this way gives it lanes, empty if not."""
    atom = arrangement(f"{rig.id}/{group.id}", str(way.id))
    site = next(s.id for s in problem.sites if s.owner == rig.id and s.receptacle.id == receptacle)
    seats = tuple(seat.key for seat in seating.by_site.get(site, []))
    if way.gives.get(receptacle):
        ground = Ground(RULE.id, f"{site} takes its lanes only while filled", written(way.span()))
        yield Needs(ground, atom, seats)
    else:
        ground = Ground(RULE.id, f"a part in {site} takes lanes away", written(way.span()))
        for seat in seats:
            yield AtMost(ground, ((atom, 1), (seat, 1)), 1)


RULE = PlanRule(
    id="LANE011",
    title="lanes steered by what is plugged in",
    why="A board that steers lanes by presence looks at the connector: any card in it, even one that only wants power, takes the lanes.",
    source="facts H2: x16 or x8+x8 by presence; CEM presence pins, as quoted",
    state=state,
)
