"""ISO002: two guests in one isolation group."""

from collections.abc import Iterator
from itertools import combinations

from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Cited, No, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule, is_function, on_port_of_board


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Parts of different owners (a guest, another guest, the host) in different groups."""
    there = [part for part in problem.parts if part.spec.links]
    for one, other in combinations(there, 2):
        if one.wish.owner == other.wish.owner:
            continue
        if not (is_function(one.spec) or is_function(other.spec)):
            continue  # drives of one controller are handed on one by one, by the host
        mine, theirs = by_group(seating, one), by_group(seating, other)
        for group in sorted(mine.keys() & theirs.keys()):
            seats = (*mine[group], *theirs[group])
            if len({seat.receptacle for seat in seats}) == 1:
                continue  # a receptacle takes one part anyway
            reason = sharing(one, other, group)
            yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "parts")


def sharing(one: Part, other: Part, group: str) -> No:
    """Two parts of different owners in one group."""
    return RULE.no(
        "shared",
        {"part": one.id, "other": other.id},
        (Cited("wish", one.id, one.wish, "guest"), Cited("wish", other.id, other.wish, "guest")),
        owner=one.wish.owner,
        other_owner=other.wish.owner,
        group=group,
    )


def owner(guest: str | None) -> str:
    """Whom it is for."""
    return f"guest {guest}" if guest else "host"


def by_group(seating: Seating, part: Part) -> dict[str, list[Seat]]:
    """
    The part's seats by the isolation group that they fall into; what is dark is in none.

    A drive on a port of the board goes where the port's controller goes.
    """
    found: dict[str, list[Seat]] = {}
    for seat in seating.by_part.get(part.id, []):
        falls = is_function(part.spec) or on_port_of_board(part, seat.upstream)
        if falls and seat.upstream.isolation is not None and seat.alive:
            found.setdefault(seat.upstream.isolation, []).append(seat)
    return found


RULE = PlanRule(
    id="ISO002",
    title="two guests in one isolation group",
    why="Whatever shares an isolation group goes to one guest whole, or stays with the host.",
    source="Linux 6.12 Documentation/driver-api/vfio.rst, read in the source",
    says={
        "shared": Wording(
            "{part} ({owner}) and {other} ({other_owner}) would share isolation group {group}",
            words={"owner": owner, "other_owner": owner},
        )
    },
    state=state,
)
