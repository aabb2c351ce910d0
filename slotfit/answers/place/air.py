"""Whose air a plan lives on: the fans and blowers of a machine, and what stops with each."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.place.answer import AirSource
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Machine, Problem
from slotfit.model.seat import Seat
from slotfit.rule import air_over


def air_sources(problem: Problem, plan: Plan, machine: Machine) -> Iterator[AirSource]:
    """Fans that make the air over the slots, then blowers on cards, each with what hangs on it."""
    seats = [seat for seat in plan.seats if seat.upstream.machine == machine.id]
    seated = {seat.part for seat in seats}
    fans = [name for name in machine.entry.air_by if name in seated]
    left = machine.entry.airflow_one_failed_lfm
    left = 0 if left is None and len(fans) == 1 else left
    over_slots = [seat for seat in seats if lives_on_slots(problem, seats, seat)]
    for fan in fans:
        yield source(problem, fan, "", dict.fromkeys(over_slots, left))
    for mover in seats:
        if problem.receptacle[mover.receptacle].spec.form == "cooling-mount":
            card = next(seat for seat in seats if seat.part == mover.upstream.carriers[0])
            root = problem.receptacle[card.receptacle]
            yield source(
                problem, mover.part, card.part, {card: air_over(problem, root, machine.id)}
            )


def source(problem: Problem, fan: str, on: str, left: dict[Seat, float | None]) -> AirSource:
    """A fan with the parts that stop without it, and those that may: `left` is the air then."""
    needs = {seat.part: (problem.part[seat.part].spec, lfm) for seat, lfm in left.items()}
    stops = tuple(name for name, (spec, lfm) in needs.items() if too_little(spec, lfm) is True)
    may = tuple(name for name, (spec, lfm) in needs.items() if too_little(spec, lfm) is None)
    return AirSource(fan, on, stops, may)


def too_little(spec: PartSpec, lfm: float | None) -> bool | None:
    """Whether so much air leaves a part too warm; None if that is not known."""
    if spec.is_need_unknown:
        return None
    if not spec.needs_lfm:
        return False
    return None if lfm is None else lfm < spec.needs_lfm


def lives_on_slots(problem: Problem, seats: list[Seat], seat: Seat) -> bool:
    """Whether a part is cooled by the air over the slots: not in a bay, nor under a blower."""
    spec = problem.part[seat.part].spec
    if seat.upstream.on_cable and spec.bay is not None:
        return False
    blown = (
        problem.part[mover.part].spec.gives_airflow_lfm or 0
        for mover in seats
        if problem.receptacle[mover.receptacle].owner == seat.part
        and problem.receptacle[mover.receptacle].spec.form == "cooling-mount"
    )
    return max(blown, default=-1) < (spec.needs_lfm or 0)
