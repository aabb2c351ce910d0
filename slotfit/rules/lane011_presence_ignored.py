"""LANE011: arrangement at odds with what is plugged in."""

from collections.abc import Iterator

from slotfit.hardware.training import drawing, served
from slotfit.model.board import Arrangement
from slotfit.model.clause import AtMost, Clause, Needs, arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Problem, Receptacle
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, division


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Receptacles that draw lanes to themselves while something is plugged into them."""
    receptacles = {(one.owner, one.spec.id): one for one in problem.receptacles if one.on_board}
    for key, group in problem.lane_groups.items():
        drawn = drawing(group)
        for name in dict.fromkeys(name for names in drawn.values() for name in names):
            for way in group.arrangements:
                yield from steer(
                    problem, seating, (key, way), receptacles[key.machine, name], drawn
                )


def steer(
    problem: Problem,
    seating: Seating,
    chosen: tuple[GroupKey, Arrangement],
    receptacle: Receptacle,
    drawn: dict[str | None, list[str]],
) -> Iterator[Clause]:
    """Filled where this way gives it lanes for being filled, empty where it gives it none."""
    group, way = chosen
    atom = arrangement(group, str(way.id))
    seats = [
        seat.key
        for seat in seating.by_receptacle.get(receptacle.id, [])
        if problem.part[seat.part].spec.plug.form != "opening"  # a bracket alone presses no contact
    ]
    facts = (Cited("arrangement", str(way.id), way, ""),)
    names, told = {"receptacle": receptacle.id}, division(way)
    if receptacle.spec.id in drawn.get(way.id, []):
        yield Needs(RULE.no("filled", names, facts, division=told), atom, tuple(seats))
    elif receptacle.spec.id not in served(way) and seats:
        terms = ((atom, 1), *((seat, 1) for seat in seats))
        yield AtMost(RULE.no("empty", names, facts, division=told), terms, 1)


RULE = PlanRule(
    id="LANE011",
    title="arrangement at odds with what is plugged in",
    why="A board that steers lanes by presence looks at the connector: any card in it, even one "
    "that only wants power, takes the lanes.",
    source="desktop manuals on x16 or x8+x8, and on M.2 and SATA, as quoted; CEM presence "
    "contacts, as quoted",
    says={
        "filled": Wording("{division} comes only while something is plugged into {receptacle}"),
        "empty": Wording(
            "{division} gives {receptacle} no lanes and any part in {receptacle} draws some"
        ),
    },
    state=state,
)
