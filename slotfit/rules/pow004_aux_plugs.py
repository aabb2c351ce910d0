"""POW004: more plugs than the supply has."""

from collections.abc import Iterator, Mapping

from slotfit.model.clause import AtMost, Clause
from slotfit.model.machine import PowerSupply
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.model.words import AuxPlug
from slotfit.rule import PlanRule
from slotfit.standards.power import MATINGS, PLUGS


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """For sockets that the same plugs serve: no more of them than there are such plugs."""
    for machine in problem.machines:
        supply = machine.power_supply
        if supply is None or supply.plugs is None:
            continue
        aux = {
            seat.key: power.aux
            for seat in seating.seats
            if seat.upstream.machine == machine.id
            and (power := problem.part[seat.part].spec.power)
            and power.aux
        }
        for plugs in sorted({serving(socket) for sockets in aux.values() for socket in sockets}):
            yield enough(machine, supply, plugs, aux)


def serving(socket: AuxPlug) -> tuple[str, ...]:
    """Plugs that go into a socket and carry all that it may draw."""
    return tuple(
        row.plug for row in MATINGS if row.socket == socket and row.power_w >= PLUGS[socket].power_w
    )


def enough(
    machine: Machine,
    supply: PowerSupply,
    plugs: tuple[str, ...],
    aux: Mapping[str, tuple[AuxPlug, ...]],
) -> Clause:
    """
    Sockets that only these plugs serve, all together.

    That this is enough follows from Hall's theorem: the sets of plugs lie within one another.
    """
    total = sum(count for plug, count in (supply.plugs or {}).items() if plug in plugs)
    terms = [
        (key, sum(set(serving(socket)) <= set(plugs) for socket in sockets))
        for key, sockets in aux.items()
    ]
    facts = (Cited("supply", supply.id, supply, "plugs"),)
    reason = RULE.no("plugs", {"machine": machine.id}, facts, have=(total, plugs))
    unit = f"{' or '.join(plugs)} plugs"
    return AtMost(reason, tuple(term for term in terms if term[1]), total, unit)


def of_kind(have: tuple[int, tuple[str, ...]]) -> str:
    """`2 pcie-8 plugs`, `no pcie-6 or pcie-8 plugs`."""
    total, plugs = have
    return f"{total or 'no'} {' or '.join(plugs)} plug{'s' * (total != 1)}"


RULE = PlanRule(
    id="POW004",
    title="more plugs than the supply has",
    why="A card with its own sockets needs them all filled, each by a cable of this very supply. "
    "A 6+2 plug also serves a 6-contact socket; the other way round the card is short of power. "
    "A processor's (EPS) plug looks like an 8-contact one and has 12 V where the card has ground: "
    "it must never be forced in.",
    source="ATX version 3 design guide 336521 Table 3-5, as quoted; the pairs in "
    "standards/power.py; EPS12V against CEM, sides swapped, from memory",
    says={
        "plugs": Wording(
            "the supply of {machine} has {have} left for parts", words={"have": of_kind}
        )
    },
    state=state,
)
