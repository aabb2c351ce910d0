"""What a plan draws: under load, at start, for a millisecond, and in a year at rest."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence

from slotfit.answers.place.answer import MachineAtRest, PlugsToConnect, PowerBudget, YearAtRest
from slotfit.hardware.leads import led, plugs_taken
from slotfit.model.part import Power
from slotfit.model.plan import Plan
from slotfit.model.problem import Machine, Part, Problem
from slotfit.model.watts import (
    Moment,
    continuous_w,
    home_today,
    idle_w,
    limit_w,
    most_w,
)
from slotfit.model.words import AuxPlug
from slotfit.rule import seated
from slotfit.standards.forms import POWER_SOCKETS

POWERED_BY_OTHERS = ("cable", "air-mover", "adapter", "riser")
"""Classes whose draw nobody need say."""

HOURS = 8766
"""In a year."""


def parts_in(problem: Problem, plan: Plan, machine: Machine) -> list[Part]:
    """The parts that a plan has in a machine, as they are fed where they sit."""
    return [seated(problem, seat) for seat in plan.seats if seat.upstream.machine == machine.id]


def power_budget(problem: Problem, plan: Plan, machine: Machine) -> PowerBudget:
    """One machine's watts and plugs."""
    parts, load, entry = parts_in(problem, plan, machine), problem.load[machine.id], machine.entry
    have = machine.power_supply.plugs if machine.power_supply else None
    measured = entry.measured.load_w if entry.measured else None
    figures = sum(part.spec.draw_w for part in parts)
    supplies = entry.supplies
    return PowerBudget(
        machine=machine.id,
        supply_w=continuous_w(machine),
        supplies=(supplies.needed, supplies.fitted) if supplies else (1, 1),
        limit_w=limit_w(machine),
        limit_percent=entry.supply_limit_percent,
        base_w=load.base_mw / 1000 if load.is_known else None,
        parts_w=sum(map(load.part_mw, parts)) / 1000,
        typical_w=typical_w(problem, machine, parts),
        start_w=None if entry.staggered_start else in_that_moment(problem, machine, parts, "start"),
        peak_w=in_that_moment(problem, machine, parts, "peak"),
        measured_w=measured,
        measured_with=tuple(machine.inside) if measured is not None else (),
        estimate_w=None if entry.base_w is None else round(entry.base_w + figures, 3),
        unknown=tuple(
            part.id
            for part in parts
            if part.companion_of is None
            and part.id not in load.measured
            and part.spec.part_class not in POWERED_BY_OTHERS
            and (part.spec.power is None or part.spec.power.slot_w is None)
        ),
        plugs=tuple(plugs_used(parts, have)),
    )


def typical_w(problem: Problem, machine: Machine, parts: Iterable[Part]) -> float | None:
    """What they add by what is typical of their classes; None if none of their figures varies."""
    typical = [problem.typical.part[part.id] for part in parts]
    if all(part.spec.draw_w == problem.part[part.id].spec.draw_w for part in typical):
        return None
    return sum(map(problem.typical.load[machine.id].part_mw, typical)) / 1000


def powers_of(parts: Iterable[Part]) -> dict[str, Power]:
    """What parts draw that are fed, adapters and splitters apart, as far as anyone has said."""
    return {
        part.id: part.spec.power
        for part in parts
        if part.spec.power and part.spec.plug.form not in POWER_SOCKETS
    }


def plugs_used(
    parts: Sequence[Part], have: Mapping[AuxPlug, int] | None
) -> Iterator[tuple[str, int, int | None]]:
    """Each kind of plug, how many are taken, and how many there are, if anyone has said."""
    used = sum(plugs_taken(powers_of(parts), have).values(), Counter[str]())
    used.subtract(part.spec.plug.form for part in parts if part.spec.is_splitter)
    there = None if have is None else {str(plug): count for plug, count in have.items()}
    for plug in sorted({*used, *(there or ())}):
        yield plug, used[plug], None if there is None else there.get(plug, 0)


def plugs_of(problem: Problem, plan: Plan, items: Iterable[str]) -> Iterator[PlugsToConnect]:
    """What each part with sockets gets from its supply, straight or by an adapter."""
    adapters: defaultdict[str, list[str]] = defaultdict(list)
    sockets: dict[str, Counter[str]] = {}
    for machine in problem.machines:
        powers = powers_of(parts_in(problem, plan, machine))
        sockets |= {name: Counter(power.aux) for name, power in powers.items()}
        supply = machine.power_supply
        for name, row in led(powers, supply.plugs if supply else None):
            sockets[name][row.socket] -= 1
            adapters[name].append(f"{row.socket} by an adapter from {row.tails} {row.plug}")
    for item in items:
        straight = tuple(sockets.get(item, Counter()).elements())
        if plugs := (*straight, *adapters[item]):
            yield PlugsToConnect(item, plugs)


def in_that_moment(
    problem: Problem, machine: Machine, parts: Iterable[Part], moment: Moment
) -> float | None:
    """Watts in a short moment; None if nothing there then draws more than at work."""
    load, parts = problem.load[machine.id], list(parts)
    if all(most_w(part.spec, moment) <= part.spec.draw_w for part in parts):
        return None
    added = (load.added_mw(part, most_w(part.spec, moment)) for part in parts)
    return (load.base_mw + sum(added)) / 1000


def years_at_rest(problem: Problem, plan: Plan) -> Iterator[MachineAtRest]:
    """A year of every machine of which a figure at rest is known, or of all if a price is."""
    for machine in problem.machines:
        if year := year_at_rest(problem, plan, machine):
            yield year


def year_at_rest(problem: Problem, plan: Plan, machine: Machine) -> MachineAtRest | None:
    """Today's and the plan's; None where no figure of anything at rest is known, nor a price."""
    now = [part for part in problem.parts if home_today(problem, part.id) == machine.id]
    then = parts_in(problem, plan, machine)
    known = [part for part in (*now, *then) if part.spec.power and part.spec.power.idle_w]
    measured = machine.entry.measured and machine.entry.measured.idle_w
    if not known and measured is None and problem.price_per_kwh is None:
        return None
    has_today = measured is not None or bool(now)
    return MachineAtRest(
        machine=machine.id,
        today=at_rest(problem, machine, now) if has_today else None,
        plan=at_rest(problem, machine, then),
    )


def at_rest(problem: Problem, machine: Machine, parts: Iterable[Part]) -> YearAtRest:
    """A year with these parts: from what was measured, with what was in, where that is known."""
    said = machine.entry.measured
    measured = said.idle_w if said else None
    inside = machine.inside if measured is not None else {}
    here = {part.id: part.spec for part in parts if part.companion_of is None}
    added = {name: idle_w(spec) for name, spec in here.items() if name not in inside}
    gone = {name: idle_w(spec) for name, spec in inside.items() if name not in here}
    missing = [name for name, watts in {**added, **gone}.items() if watts is None]
    watts = (measured or 0) + sum(filter(None, added.values())) - sum(filter(None, gone.values()))
    kwh = watts * HOURS / 1000
    price = problem.price_per_kwh
    return YearAtRest(
        idle_w=round(watts, 3),
        kwh=round(kwh, 1),
        cost=None if price is None else round(kwh * price, 2),
        missing=(*([machine.id] if measured is None else []), *missing),
    )
