"""POW004: more plugs than the supply has."""

from collections.abc import Iterator, Mapping
from dataclasses import replace
from itertools import product

from slotfit.hardware.chains import serving
from slotfit.hardware.leads import ADAPTED, adapter_for
from slotfit.model.clause import AtMost, Clause
from slotfit.model.machine import PowerSupply
from slotfit.model.part import Power
from slotfit.model.problem import Machine, Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, seated
from slotfit.standards.forms import POWER_SOCKETS
from slotfit.standards.power import PLUGS, Adapter


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """Sockets and adapters never take more plugs than there are."""
    for machine in problem.machines:
        supply = machine.power_supply
        if supply is None or supply.plugs is None:
            continue
        draws = {
            seat.key: power
            for seat in seating.seats
            if seat.upstream.machine == machine.id
            and (power := seated(problem, seat).spec.power)
            and power.aux
            and problem.part[seat.part].spec.plug.form not in POWER_SOCKETS
        }
        every = sorted({serving(socket) for power in draws.values() for socket in power.aux})
        split = {
            seat.key: problem.part[seat.part].spec.plug.form
            for seat in seating.seats
            if seat.upstream.machine == machine.id
            and (spec := problem.part[seat.part].spec).is_splitter
            and own_plugs(supply, spec.plug.form)  # out of nothing it makes nothing
        }
        for plugs in every:
            clause = enough(machine, supply, plugs, draws, {})
            more = [(key, -1) for key, socket in split.items() if serving(socket) == plugs]
            yield replace(clause, terms=(*clause.terms, *more))
        yield from split_watts(machine, supply, draws, split)
        yield from with_adapters(machine, supply, every, draws)


def split_watts(
    machine: Machine, supply: PowerSupply, draws: Mapping[str, Power], split: Mapping[str, str]
) -> Iterator[Clause]:
    """A splitter makes plugs and no watts: all of a kind stay within the supply's own."""
    for plug in sorted(set(split.values())):
        carried = own_plugs(supply, plug) * PLUGS[plug].power_w
        terms = [
            (key, round((power.aux_w or 0) * 1000))
            for key, power in draws.items()
            if set(power.aux) == {plug}
        ]
        facts = (Cited("supply", supply.id, supply, "plugs"),)
        reason = RULE.no("split", {"machine": machine.id}, facts, plug=plug, carried=carried)
        yield AtMost(reason, tuple(term for term in terms if term[1]), carried * 1000, "mW")


def with_adapters(
    machine: Machine,
    supply: PowerSupply,
    every: list[tuple[str, ...]],
    draws: Mapping[str, Power],
) -> Iterator[Clause]:
    """
    Plugs for the sockets themselves and for the adapters to those that get no plug of their own.

    The supply's own plugs go where an adapter would take most. That is so if it holds for every
    number of plugs as the most that one adapter is reckoned to take: the largest of these sums is
    the sum without the largest takers.
    """
    takes = {
        socket: sorted(
            {row.tails for power in draws.values() if (row := lead_to(power, socket)) is not None}
        )
        for socket in ADAPTED
    }
    plugs_of = {("pcie-8",), *(plugs for plugs in every if "pcie-8" in plugs)}
    choices = [[(socket, most) for most in (0, *counts)] for socket, counts in takes.items()]
    for caps in product(*choices):
        if any(most for _, most in caps):
            for plugs in sorted(plugs_of):
                yield enough(machine, supply, plugs, draws, dict(caps))


def lead_to(power: Power, socket: str) -> Adapter | None:
    """The adapter to a socket that a part has."""
    return adapter_for(power, socket) if socket in power.aux else None


def taken(power: Power, plugs: tuple[str, ...], caps: Mapping[str, int]) -> int:
    """Plugs of these kinds that a part takes, each adapter reckoned with so many at most."""
    own = sum(
        set(serving(socket)) <= set(plugs) and lead_to(power, socket) is None
        for socket in power.aux
    )
    leads = 0
    for socket, most in caps.items():
        row = lead_to(power, socket)  # without one it must have the supply's own plug
        leads += (min(row.tails, most) if row else most) * sum(one == socket for one in power.aux)
    return own + leads


def enough(
    machine: Machine,
    supply: PowerSupply,
    plugs: tuple[str, ...],
    draws: Mapping[str, Power],
    caps: Mapping[str, int],
) -> AtMost:
    """
    Sockets that only these plugs serve, all together, and adapters from them.

    That this is enough follows from Hall's theorem: the sets of plugs lie within one another.
    """
    have = supply.plugs or {}
    total = sum(count for plug, count in have.items() if plug in plugs)
    adapted = tuple((s, most, own_plugs(supply, s)) for s, most in caps.items() if most)
    spared = sum(most * own for _, most, own in adapted)
    terms = [(key, taken(power, plugs, caps)) for key, power in draws.items()]
    facts = (Cited("supply", supply.id, supply, "plugs"),)
    names = {"machine": machine.id}
    if adapted:
        reason = RULE.no("adapters", names, facts, have=(total, plugs), adapted=adapted)
    else:
        reason = RULE.no("plugs", names, facts, have=(total, plugs))
    unit = f"{' or '.join(plugs)} plugs"
    return AtMost(reason, tuple(term for term in terms if term[1]), total + spared, unit)


def own_plugs(supply: PowerSupply, socket: str) -> int:
    """Plugs of its own that the supply has for a kind of socket."""
    return sum(count for plug, count in (supply.plugs or {}).items() if plug == socket)


def to_sockets(adapted: tuple[tuple[str, int, int], ...]) -> str:
    """`12v-2x6, of which it has none`."""
    return " and ".join(f"{socket}, of which it has {own or 'none'}" for socket, _, own in adapted)


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
        ),
        "split": Wording(
            "the {plug} plugs of the supply of {machine} carry {carried:g} W, splitters or not"
        ),
        "adapters": Wording(
            "the supply of {machine} has {have} left for parts and for adapters to {adapted}",
            words={"have": of_kind, "adapted": to_sockets},
        ),
    },
    state=state,
)
