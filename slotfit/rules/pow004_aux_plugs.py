"""POW004: more plugs than the supply has."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slotfit.model.clause import AtMost, Clause, Ground
from slotfit.model.problem import Problem, Rig
from slotfit.model.seat import Seating
from slotfit.model.words import AuxPlug
from slotfit.rule import PlanRule, written
from slotfit.standards.power import MATINGS, PLUGS


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """For sockets that the same plugs serve: no more of them than there are such plugs."""
    for rig in problem.rigs:
        supply = rig.power_supply
        if supply is None or supply.plugs is None:
            continue
        aux = {
            seat.key: power.aux
            for seat in seating.seats
            if seat.offer.machine == rig.id
            and (power := problem.item[seat.item].part.power)
            and power.aux
        }
        for plugs in sorted({serving(socket) for sockets in aux.values() for socket in sockets}):
            yield enough(rig, plugs, supply.plugs, aux)


def serving(socket: AuxPlug) -> tuple[str, ...]:
    """Plugs that go into a socket and carry all that it may draw."""
    return tuple(
        row.plug for row in MATINGS if row.socket == socket and row.power_w >= PLUGS[socket].power_w
    )


def enough(
    rig: Rig,
    plugs: tuple[str, ...],
    have: Mapping[AuxPlug, int],
    aux: Mapping[str, tuple[AuxPlug, ...]],
) -> Clause:
    """
    Sockets that only these plugs serve, all together.

    That this is enough follows from Hall's theorem: the sets of plugs lie within one another.
    """
    total = sum(count for plug, count in have.items() if plug in plugs)
    terms = [
        (key, sum(set(serving(socket)) <= set(plugs) for socket in sockets))
        for key, sockets in aux.items()
    ]
    names = " or ".join(plugs)
    return AtMost(
        Ground(
            RULE.id,
            f"the supply of {rig.id} has {total or 'no'} {names} plug{'s' * (total != 1)} left for "
            "parts",
            written(rig.power_supply.span("plugs") if rig.power_supply else None),
        ),
        tuple(term for term in terms if term[1]),
        total,
        f"{names} plugs",
    )


RULE = PlanRule(
    id="POW004",
    title="more plugs than the supply has",
    why="A card with its own sockets needs them all filled, each by a cable of this very supply. "
    "A 6+2 plug also serves a 6-contact socket; the other way round the card is short of power. "
    "A processor's (EPS) plug looks like an 8-contact one and has 12 V where the card has ground: "
    "it must never be forced in.",
    source="ATX version 3 design guide 336521 Table 3-5, as quoted; the pairs in "
    "standards/aux_power.py; EPS12V against CEM, sides swapped, from memory",
    state=state,
)
