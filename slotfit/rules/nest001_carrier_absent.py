"""NEST001: receptacle on a part that is not there."""

from collections.abc import Iterator

from slotfit.model.clause import Clause, Needs
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, No, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, Unheld


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A nested seat needs one of its owner's seats that make this offer."""
    for seat in seating.seats:
        if seat.parents:
            receptacle = problem.receptacle[seat.receptacle]
            homes = tuple(dict.fromkeys(seating.by_key[key].receptacle for key in seat.parents))
            names = {"part": seat.part, "receptacle": seat.receptacle, "carrier": receptacle.owner}
            facts = (Cited("receptacle", seat.receptacle, receptacle.spec, ""),)
            yield Needs(RULE.no("carrier", names, facts, homes=homes), seat.key, seat.parents)


def unheld(one: Unheld) -> Iterator[No]:
    """What it would sit on has no seat, today or in any plan."""
    if not one.fits or one.is_own:
        return
    if one.seated is None:
        names = {"receptacle": one.receptacle.id, "carrier": one.receptacle.owner}
        yield RULE.no("nowhere", names, one.facts)
    elif one.receptacle.owner not in one.seated:
        yield RULE.no("not today", {"carrier": one.receptacle.owner}, ())


RULE = PlanRule(
    id="NEST001",
    title="receptacle on a part that is not there",
    why="A socket comes with the part that it is on, and offers what that part's own seat gives "
    "it.",
    source="what nesting is: our own word",
    says={
        "carrier": Wording(
            "{part} in {receptacle} needs {carrier} in {homes}", words={"homes": " or ".join}
        ),
        "nowhere": Wording("{receptacle} is on {carrier}, and that can itself be nowhere"),
        "not today": Wording("{carrier} has no seat today"),
    },
    state=state,
    unheld=unheld,
)
