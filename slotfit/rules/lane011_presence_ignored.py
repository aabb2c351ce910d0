"""LANE011: arrangement at odds with what is plugged in."""

from collections.abc import Iterable, Iterator

from slotfit.hardware.training import calls_for, drawing, served
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
        draws = dict.fromkeys(name for names in drawing(group).values() for name in names)
        calls = calls_for(group)
        for way in group.arrangements:
            for names in calls.get(way.id, []):
                yield filled(problem, seating, (key, way), names)
            for name in draws:
                if name not in served(way):
                    yield from empty(problem, seating, (key, way), name)


def filled(
    problem: Problem, seating: Seating, chosen: tuple[GroupKey, Arrangement], names: Iterable[str]
) -> Needs:
    """Something is in one of these, or a smaller row has lanes for all that is plugged in."""
    group, way = chosen
    places = [problem.board_receptacle[group.machine, name].id for name in names]
    seats = tuple(key for place in places for key in plugged(seating, place))
    facts = (Cited("arrangement", str(way.id), way, ""),)
    reason = RULE.no("filled", {}, facts, division=division(way), receptacles=tuple(places))
    return Needs(reason, arrangement(group, str(way.id)), seats)


def empty(
    problem: Problem, seating: Seating, chosen: tuple[GroupKey, Arrangement], name: str
) -> Iterator[AtMost]:
    """Nothing is in a receptacle that this way gives no lanes."""
    group, way = chosen
    place = problem.board_receptacle[group.machine, name].id
    if seats := plugged(seating, place):
        facts = (Cited("arrangement", str(way.id), way, ""),)
        reason = RULE.no("empty", {"receptacle": place}, facts, division=division(way))
        terms = ((arrangement(group, str(way.id)), 1), *((seat, 1) for seat in seats))
        yield AtMost(reason, terms, 1)


def plugged(seating: Seating, receptacle: str) -> list[str]:
    """Keys of the seats by which the board sees that something is there."""
    return [seat.key for seat in seating.by_receptacle.get(receptacle, []) if seat.closes]


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
