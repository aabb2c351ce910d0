"""WISH005: parts that belong together apart."""

from collections.abc import Hashable, Iterator
from itertools import combinations

from slotfit.listing import natural
from slotfit.model.build import Group
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, is_place_unknown, place_in


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Of each two parts that are placed, the second where the first is, as far as is known."""
    for group in problem.together:
        for this, other in combinations(sorted(group.parts, key=natural), 2):
            these, others = (located(group, seating, part) for part in (this, other))
            facts = (Cited("wish", this, group, ""),)
            reason = RULE.no("apart", {"part": this, "other": other}, facts, by=group.by)
            for place in dict.fromkeys(place_in(group.by, seat) for seat in these):
                seats = [
                    *(seat for seat in these if place_in(group.by, seat) == place),
                    *elsewhere(group, others, place),
                ]
                yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "parts")


def located(group: Group, seating: Seating, part: str) -> list[Seat]:
    """The part's seats of which it is known where they are; the others are in doubt."""
    seats = seating.by_part.get(part, [])
    return [seat for seat in seats if not is_place_unknown(group.by, seat.upstream)]


def elsewhere(group: Group, seats: list[Seat], place: Hashable | None) -> Iterator[Seat]:
    """Seats in other places; two parts that are in no such place at all are not together."""
    for seat in seats:
        if place is None or place_in(group.by, seat) != place:
            yield seat


RULE = PlanRule(
    id="WISH005",
    title="parts that belong together apart",
    why="The build file asks for them together.",
    source="build file, `together`",
    says={
        "apart": Wording(
            "{part} and {other} are to share a {by}",
            words={"by": lambda scope: scope.replace("-", " ")},
        )
    },
    state=state,
    severity="asks",
)
