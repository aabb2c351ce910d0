"""Whether everything fits with some of today's parts out and one more in."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass, replace

from slotfit.model.clause import AtMost, Clause, ExactlyOne
from slotfit.model.problem import Problem
from slotfit.model.windows import Layout, Task
from slotfit.model.words import Stage
from slotfit.rulebook import SEAT_RULES
from slotfit.seating.seats import seat_all
from slotfit.sequence.jobs import jobs_of
from slotfit.sequence.layouts import TODAY, bare, hardware, hardware_clauses, layout_today
from slotfit.solve.clock import Clock
from slotfit.solve.place import place

AIMS: tuple[Stage, ...] = ("dark-endpoints", "bandwidth", "unproven-facts", "moves")


@dataclass
class Bench:
    """The question that is asked again and again: whether it all fits like this."""

    task: Task
    part: str
    along: tuple[str, ...]
    clock: Clock

    def fits(self, fixed: Iterable[str], free: Iterable[str]) -> Layout | None:
        """A layout with these items where they are today, those anywhere, and no others."""
        problem, seating = self.task.problem, self.task.seating
        said = list(self.clauses(set(fixed), {*free, self.part, *self.along}))
        answer = place(problem, seating, [*self.task.clauses, *said], self.clock.left)
        if answer.plan is None:
            return None
        plan = answer.plan
        places = {seat.item: seat.site for seat in plan.seats}
        return Layout(places, plan.arrangements, plan.seats)

    def clauses(self, fixed: set[str], free: set[str]) -> Iterator[Clause]:
        """Where each item has to be."""
        seats = self.task.seating.by_item
        for item in self.task.problem.items:
            its = seats.get(item.id, [])
            body = item.body
            if body in free or (item.companion_of and body in fixed):
                yield ExactlyOne(TODAY, tuple(seat.key for seat in its))
                continue
            here = self.task.today.places.get(item.id) if item.id in fixed else None
            if here is not None:
                yield ExactlyOne(TODAY, tuple(seat.key for seat in its if seat.site == here))
            gone = tuple((seat.key, 1) for seat in its if seat.site != here)
            if gone:
                yield AtMost(TODAY, gone, 0)


def bench_for(problem: Problem, part: str, along: tuple[str, ...], clock: Clock) -> Bench | None:
    """Today's layout with everything that is asked of services, mirrors and copies."""
    plain = bare(replace(problem, retire=()))
    today = layout_today(plain, *hardware(plain), clock)
    if today is None:
        return None
    wished = {part, *along}
    items = tuple(problem.item[one.id] if one.id in wished else one for one in plain.items)
    asked = replace(plain, items=items, preferences=AIMS)
    seating = seat_all(asked, SEAT_RULES)  # only what goes in has wishes left
    jobs = jobs_of(problem, today.places, today.places)
    task = Task(
        problem=asked,
        seating=seating,
        clauses=hardware_clauses(asked, seating),
        today=today,
        goal=today,
        copies=jobs.copies,
        services=jobs.services,
        mirrors=jobs.mirrors,
    )
    return Bench(task, part, along, clock)
