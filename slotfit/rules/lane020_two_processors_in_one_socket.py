"""LANE020: two processors in one socket."""

from collections.abc import Iterator, Mapping
from itertools import combinations, product

from slotfit.model.board import Arrangement
from slotfit.model.clause import AtMost, Clause, arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule

Way = tuple[GroupKey, Arrangement]

Needed = frozenset[str]
"""Classes of which any one will do."""


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:  # noqa: ARG001 - one shape
    """Divisions that need different processors in one socket are not chosen together."""
    for machine in problem.machines:
        for processor in (one.id for one in machine.board.processors):
            ways = asking(machine, processor)
            for needs in at_odds(list(ways)):
                for chosen in product(*(ways[need] for need in needs)):
                    yield apart(machine, processor, chosen)


def asking(machine: Machine, processor: str) -> Mapping[Needed, list[Way]]:
    """What divisions need of the socket, where nobody has said what sits in it."""
    found: dict[Needed, list[Way]] = {}
    for group in machine.lane_groups:
        if machine.processor_of(group.from_) != processor:
            continue
        for way in group.arrangements:
            if way.needs and way.needs.processor and machine.standing(group, way) == "open":
                key = GroupKey(machine.id, group.id)
                found.setdefault(frozenset(way.needs.processor), []).append((key, way))
    return found


def at_odds(needs: list[Needed]) -> Iterator[tuple[Needed, ...]]:
    """The smallest sets of needs that no one processor meets."""
    found: list[frozenset[Needed]] = []
    for size in range(2, len(needs) + 1):
        for some in combinations(needs, size):
            if not frozenset.intersection(*some) and not any(one < set(some) for one in found):
                found.append(frozenset(some))
                yield some


def apart(machine: Machine, processor: str, chosen: tuple[Way, ...]) -> AtMost:
    """Not all of these ways at once."""
    facts = tuple(Cited("arrangement", str(way.id), way, "needs") for _, way in chosen)
    divided = tuple(str(key.group) for key, _ in chosen)
    reason = RULE.no("apart", {"machine": machine.id}, facts, socket=processor, groups=divided)
    terms = tuple((arrangement(key, str(way.id)), 1) for key, way in chosen)
    return AtMost(reason, terms, len(terms) - 1)


RULE = PlanRule(
    id="LANE020",
    title="two processors in one socket",
    why="Which processor it is may not be known, yet it is one and the same for every slot.",
    source="what a class of processors is: our own word",
    says={
        "apart": Wording(
            "{groups} of {machine} would be divided as with different processors in {socket}",
            words={"groups": " and ".join},
        )
    },
    state=state,
)
