"""FIT011: receptacles that block each other."""

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
        names = {"receptacle": receptacle.id, "rival": rival.id}
        facts = (Cited("receptacle", receptacle.id, receptacle.spec, "blocked_by"),)
        reason = RULE.no("blocked", names, facts)
        here, there = (by_part(seating, one) for one in (receptacle, rival))
        for part, keys in here.items():
            others = [key for other, keys in there.items() if other != part for key in keys]
            # As heavy as all the others: that either takes one part is not said here.
            terms = (*((key, len(others)) for key in keys), *((key, 1) for key in others))
            if others:
                yield AtMost(reason, terms, len(others), "parts")


def by_part(seating: Seating, receptacle: Receptacle) -> dict[str, list[str]]:
    """Keys of the seats in a receptacle, by their parts."""
    found: dict[str, list[str]] = {}
    for seat in seating.by_receptacle.get(receptacle.id, []):
        found.setdefault(seat.part, []).append(seat.key)
    return found


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
    title="receptacles that block each other",
    why="Some receptacles cannot be used together for want of room: a card lies over a socket.",
    source="board file, `blocked_by`",
    says={"blocked": Wording("{receptacle} and {rival} block each other")},
    state=state,
)
