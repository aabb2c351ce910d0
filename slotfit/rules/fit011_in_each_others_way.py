"""FIT011: receptacles in each other's way."""

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem, Receptacle
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """At most one of two receptacles that block each other."""
    for receptacle, rival in rivals(problem):
        seats = [
            *seating.by_receptacle.get(receptacle.id, []),
            *seating.by_receptacle.get(rival.id, []),
        ]
        if len({seat.receptacle for seat in seats}) == 2:
            names = {"receptacle": receptacle.id, "rival": rival.id}
            facts = (Cited("receptacle", receptacle.id, receptacle.spec, "blocked_by"),)
            reason = RULE.no("blocked", names, facts)
            yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "parts")


def rivals(problem: Problem) -> Iterator[tuple[Receptacle, Receptacle]]:
    """Each pair once."""
    told: set[frozenset[str]] = set()
    for receptacle in problem.board_receptacle.values():
        blocked = receptacle.spec.blocked_by if isinstance(receptacle.spec, BoardReceptacle) else ()
        for name in blocked:
            rival = problem.board_receptacle[receptacle.owner, name]
            if (pair := frozenset((receptacle.id, rival.id))) not in told:
                told.add(pair)
                yield receptacle, rival


RULE = PlanRule(
    id="FIT011",
    title="receptacles in each other's way",
    why="Some receptacles cannot be used together for want of room: a card lies over a socket.",
    source="board file, `blocked_by`",
    says={"blocked": Wording("{receptacle} and {rival} are in each other's way")},
    state=state,
)
