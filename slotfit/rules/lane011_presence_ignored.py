"""LANE011: arrangement at odds with what is plugged in."""

from collections.abc import Iterable, Iterator

from slotfit.hardware.training import calls_for, lanes_drawn_by
from slotfit.model.board import Arrangement
from slotfit.model.clause import AtMost, Clause, Needs, arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, division


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Receptacles that draw lanes to themselves while something is plugged into them."""
    for key, group in problem.lane_groups.items():
        draws = lanes_drawn_by(group)
        calls = calls_for(group)
        for way in group.arrangements:
            for names in calls.get(way.id, []):
                yield filled(problem, seating, (key, way), names)
            for name in draws:
                if name not in way.served:
                    yield from empty(problem, seating, (key, way), name)


def filled(
    problem: Problem, seating: Seating, chosen: tuple[GroupKey, Arrangement], names: Iterable[str]
) -> Needs:
    """Something is in one of these, or a smaller row has lanes for all that is plugged in."""
    group, way = chosen
    places = [problem.board_receptacle[group.machine, name].id for name in names]
    every = (keys for place in places for keys in plugged(seating, place).values())
    seats = tuple(key for keys in every for key in keys)
    facts = (Cited("arrangement", str(way.id), way, ""),)
    reason = RULE.no("filled", {}, facts, division=division(way), receptacles=tuple(places))
    return Needs(reason, arrangement(group, str(way.id)), seats)


def empty(
    problem: Problem, seating: Seating, chosen: tuple[GroupKey, Arrangement], name: str
) -> Iterator[AtMost]:
    """Nothing is in a receptacle that this way gives no lanes."""
    group, way = chosen
    place = problem.board_receptacle[group.machine, name].id
    facts = (Cited("arrangement", str(way.id), way, ""),)
    reason = RULE.no("empty", {"receptacle": place}, facts, division=division(way))
    for seats in plugged(seating, place).values():
        # Part by part: that a receptacle takes one of them is not said here.
        terms = tuple((key, 1) for key in (arrangement(group, str(way.id)), *seats))
        yield AtMost(reason, terms, 1)


def plugged(seating: Seating, receptacle: str) -> dict[str, list[str]]:
    """Part -> keys of its seats by which the board sees that something is there."""
    found: dict[str, list[str]] = {}
    for seat in seating.by_receptacle.get(receptacle, []):
        if seat.closes:
            found.setdefault(seat.part, []).append(seat.key)
    return found


RULE = PlanRule(
    id="LANE011",
    title="arrangement at odds with what is plugged in",
    why="A board that steers lanes by presence looks at the connector: any card in it, even one "
    "that only wants power, takes the lanes. What holds is the row of the manual that names just "
    "the filled slots; where there is none, the smallest that has lanes for all of them may be "
    "taken for it, in doubt.",
    source="desktop manuals on x16 or x8+x8, and on M.2 and SATA, as quoted; CEM presence "
    "contacts, as quoted",
    says={
        "filled": Wording(
            "{division} comes only while something is plugged into {receptacles}",
            words={"receptacles": " or ".join},
        ),
        "empty": Wording(
            "{division} gives {receptacle} no lanes and any part in {receptacle} draws some"
        ),
    },
    state=state,
)
