"""What a plan draws: under load, at start, for a millisecond, and in a year at rest."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from slotfit.answers.place.answer import MachineAtRest, PowerBudget, YearAtRest
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

POWERED_BY_OTHERS = ("cable", "air-mover", "adapter", "riser")
"""Classes whose draw nobody need say."""

HOURS = 8766
"""In a year."""


def parts_in(problem: Problem, plan: Plan, machine: Machine) -> list[Part]:
    """The parts that a plan has in a machine."""
    return [problem.part[seat.part] for seat in plan.seats if seat.upstream.machine == machine.id]


def power_budget(problem: Problem, plan: Plan, machine: Machine) -> PowerBudget:
    """One machine's watts and plugs."""
    parts, load, entry = parts_in(problem, plan, machine), problem.load[machine.id], machine.entry
    have = machine.power_supply.plugs if machine.power_supply else None
    used = Counter(plug for part in parts if part.spec.power for plug in part.spec.power.aux)
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
        plugs=tuple(
            (plug, used[plug], None if have is None else have.get(plug, 0))
            for plug in sorted({*used, *(have or ())})
        ),
    )


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
