"""POW022: more than the cables of a supply carry."""

from collections import defaultdict
from collections.abc import Iterator, Mapping
from itertools import combinations, product

from slotfit.hardware.chains import Kinds, Sockets, chains_of, sockets_of, splitters_in, too_many
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, seated

Members = Mapping[Sockets, Mapping[str, list[str]]]
"""Sockets -> parts that have just these -> keys of their seats."""


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """What cannot hang on the cables of a machine's supply together, never is."""
    for machine in problem.machines:
        supply = machine.power_supply
        chains = chains_of(supply, splitters_in(problem)) if supply else None
        if supply is None or not supply.cables or chains is None:
            continue
        members = members_of(problem, seating, machine)
        kinds = tuple(sorted((kind, len(parts)) for kind, parts in members.items()))
        facts = (Cited("supply", supply.id, supply, "cables"),)
        for some in too_many(kinds, chains).sets:
            reason = RULE.no("over", {"machine": machine.id}, facts, sockets=some)
            yield from (AtMost(reason, *terms) for terms in never(some, members))


def members_of(problem: Problem, seating: Seating, machine: Machine) -> Members:
    """Seats in the machine of parts that draw through plugs, by the sockets that they have."""
    found: defaultdict[Sockets, dict[str, list[str]]] = defaultdict(dict)
    for seat in seating.seats:
        if seat.upstream.machine != machine.id or machine.power_supply is None:
            continue
        if sockets := sockets_of(seated(problem, seat).spec, machine.power_supply):
            found[sockets].setdefault(seat.part, []).append(seat.key)
    return found


def never(some: Kinds, members: Members) -> Iterator[tuple[tuple[tuple[str, int], ...], int]]:
    """Seats, and how many of them at most: of one kind any, of several each set of parts."""
    if len(some) == 1:
        ((kind, count),) = some
        keys = (key for seats in members[kind].values() for key in seats)
        yield tuple((key, 1) for key in keys), count - 1
        return
    choices = [combinations(members[kind], count) for kind, count in some]
    for parts in product(*choices):
        keys = (
            key
            for (kind, _), names in zip(some, parts, strict=True)
            for name in names
            for key in members[kind][name]
        )
        yield tuple((key, 1) for key in keys), sum(count for _, count in some) - 1


def in_words(some: Kinds) -> str:
    """`2 parts of 150+150 W`, `1 part of 75 W and 3 parts of 30 W`."""
    each = (
        f"{count} part{'s' * (count != 1)} of {'+'.join(f'{one.mw / 1000:g}' for one in kind)} W"
        for kind, count in some
    )
    return " and ".join(each)


RULE = PlanRule(
    id="POW022",
    title="more than the cables of a supply carry",
    why="Several plugs on one cable are fed by one run of wires, which carries so much in all, "
    "however many sockets are plugged in. Sockets of one part draw alike.",
    source="power supply manual, watts of one cable; a file's `cables`",
    says={
        "over": Wording(
            "the cables of the supply of {machine} do not carry {sockets} at once",
            words={"sockets": in_words},
        )
    },
    state=state,
)
