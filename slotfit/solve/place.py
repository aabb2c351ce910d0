"""From clauses and ordered preferences to a plan: one stage after another, each proven."""

from __future__ import annotations

import time
from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass, field

from slotfit.model.clause import Clause, arrangement
from slotfit.model.plan import Answer, Plan, StageValue, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.solve.engine import Model, Result, Solution, Term, solve
from slotfit.solve.post import atoms_in, post, post_atoms
from slotfit.solve.prefer import STAGES, Frame
from slotfit.solve.tie_break import fewest_settings, rank_steps

PACKED_RANGE = 1 << 31
"""Consecutive stages share one objective while the product of their ranges stays below this."""

UNITS = {
    "optional-parts": "weight left out",
    "dark-endpoints": "endpoints",
    "bandwidth": "MB/s short",
    "unproven-facts": "facts",
    "locality": "parts",
    "cooling": "gaps",
    "moves": "parts",
    "reserve": "GB/s taken",
}

Progress = Callable[[str, int, int], None]
"""Called with a stage's name, its number and the number of stages."""


def silent(stage: str, number: int, stages: int) -> None:
    """No progress shown."""


@dataclass
class Step:
    """Some consecutive stages in one objective."""

    names: list[str] = field(default_factory=list)
    terms: list[list[Term]] = field(default_factory=list)
    ranges: list[tuple[int, int]] = field(default_factory=list)

    @property
    def size(self) -> int:
        """The product of the ranges: the weight that the first stage carries at most."""
        product = 1
        for low, high in self.ranges:
            product *= high - low + 1
        return product

    def objective(self) -> list[Term]:
        """The stages in one sum: an earlier one outweighs all later ones together."""
        packed: list[Term] = []
        weight = 1
        for terms, (low, high) in zip(reversed(self.terms), reversed(self.ranges), strict=True):
            packed.extend((variable, cost * weight) for variable, cost in terms)
            weight *= high - low + 1
        return packed

    def bounds(self, found: Solution) -> list[int]:
        """What the objective's bound proves of the first stage; of later ones nothing."""
        lows = [low for low, _ in self.ranges]
        if found.result is Result.FEASIBLE:
            first = self.size // (self.ranges[0][1] - self.ranges[0][0] + 1)
            lows[0] = max(lows[0], -(-(found.bound - self.most_of_rest()) // first))
        return lows

    def most_of_rest(self) -> int:
        """The most that all stages but the first can add to the objective."""
        most, weight = 0, 1
        for low, high in reversed(self.ranges[1:]):
            most += weight * high
            weight *= high - low + 1
        return most


def build_frame(problem: Problem, seating: Seating, clauses: Iterable[Clause]) -> Frame:
    """The model with every seat, arrangement and clause in it."""
    model = Model()
    x = post_atoms(model, atoms_in(problem, seating))
    for clause in clauses:
        post(model, x, clause)
    return Frame(problem, seating, model, x)


def steps_of(frame: Frame) -> list[Step]:
    """The build's stages packed into as few objectives as their ranges allow."""
    steps = [Step()]
    for stage in frame.problem.preferences:
        terms = STAGES[stage](frame)
        span = frame.model.range_of(terms)
        if steps[-1].size * (span[1] - span[0] + 1) > PACKED_RANGE and steps[-1].names:
            steps.append(Step())
        steps[-1].names.append(stage)
        steps[-1].terms.append(terms)
        steps[-1].ranges.append(span)
    return [step for step in steps if step.names]


def tie_break_steps(frame: Frame) -> list[Step]:
    """What makes one plan of many equal ones."""
    sums = [fewest_settings(frame), *rank_steps(frame)]
    return [Step(["tie-break"], [terms], [frame.model.range_of(terms)]) for terms in sums]


@dataclass
class Run:
    """What has been found and proven so far."""

    values: Sequence[int] | None = None
    stages: list[StageValue] = field(default_factory=list)
    result: Result = Result.UNKNOWN
    interrupted: bool = False


def place(
    problem: Problem,
    seating: Seating,
    clauses: Iterable[Clause],
    seconds: float = 60.0,
    progress: Progress = silent,
) -> Answer:
    """
    The best plan: each preference in turn made as small as it can be, the earlier ones held.

    Out of time or on Ctrl-C it is the best plan so far with the bounds proven so far.
    """
    began = time.monotonic()
    frame = build_frame(problem, seating, clauses)
    steps = [*steps_of(frame), *tie_break_steps(frame)]
    run = Run()
    for number, step in enumerate(steps):
        progress(step.names[0], number, len(steps))
        left = seconds - (time.monotonic() - began)
        if not take(frame, step, run, left):
            break
    return answer(frame, run, time.monotonic() - began)


def take(frame: Frame, step: Step, run: Run, seconds: float) -> bool:
    """One objective; False if nothing more can be done."""
    found = attempt(frame, step, run, seconds)
    if found.values:
        run.values = found.values
    proven = found.result is Result.OPTIMAL
    if found.result is Result.INFEASIBLE:
        run.result = Result.INFEASIBLE
        return False
    for value in stage_values(step, run.values, found):
        if value.stage != "tie-break":
            run.stages.append(value)
    if not proven:
        run.result = Result.FEASIBLE if run.values else Result.UNKNOWN
        return run.values is not None and not run.interrupted and seconds > 0
    run.result = Result.OPTIMAL if run.result is not Result.FEASIBLE else Result.FEASIBLE
    hold(frame, step, run.values or ())
    return True


def attempt(frame: Frame, step: Step, run: Run, seconds: float) -> Solution:
    """Solve one objective, or say at once that there is no time left."""
    if seconds <= 0 or run.interrupted:
        return Solution(Result.UNKNOWN)
    frame.model.minimise(step.objective())
    found = solve(frame.model, seconds)
    run.interrupted = found.interrupted
    return found


def stage_values(step: Step, values: Sequence[int] | None, found: Solution) -> list[StageValue]:
    """Each stage's value in the plan so far, with what is proven of it."""
    if values is None:
        return []
    reached = [worth(terms, values) for terms in step.terms]
    bounds = reached if found.result is Result.OPTIMAL else step.bounds(found)
    return [
        StageValue(name, value, bound, UNITS.get(name, ""))
        for name, value, bound in zip(step.names, reached, bounds, strict=True)
    ]


def hold(frame: Frame, step: Step, values: Sequence[int]) -> None:
    """Keep what the step has reached while later ones are made small."""
    for terms in step.terms:
        if terms:
            reached = worth(terms, values)
            frame.model.row(terms, reached, reached)


def worth(terms: Iterable[Term], values: Sequence[int]) -> int:
    """The sum's value."""
    return sum(weight * values[variable] for variable, weight in terms)


def answer(frame: Frame, run: Run, seconds: float) -> Answer:
    """What the run amounts to."""
    if run.result is Result.INFEASIBLE and run.values is None:
        return Answer(Status.IMPOSSIBLE, None, seconds)
    if run.values is None:
        return Answer(Status.UNKNOWN, None, seconds)
    status = Status.PROVEN if run.result is Result.OPTIMAL else Status.UNPROVEN
    return Answer(status, plan_of(frame, run), seconds)


def plan_of(frame: Frame, run: Run) -> Plan:
    """The chosen seats and arrangements."""
    values = run.values or ()
    seats = tuple(seat for seat in frame.seating.seats if values[frame.x[seat.key]])
    return Plan(
        seats=seats,
        arrangements=ways_of(frame, values),
        left_out=left_out(frame, seats),
        stages=tuple(shifted(frame, value) for value in run.stages),
        facts=tuple({fact.id: fact for seat in seats for fact in seat.facts}.values()),
    )


def ways_of(frame: Frame, values: Sequence[int]) -> dict[str, str]:
    """Lane group -> the arrangement chosen."""
    return {
        f"{rig.id}/{group.id}": str(way.id)
        for rig in frame.problem.rigs
        for group in rig.board.lane_groups
        for way in group.arrangements
        if values[frame.x[arrangement(f"{rig.id}/{group.id}", str(way.id))]]
    }


def left_out(frame: Frame, seats: tuple[Seat, ...]) -> tuple[str, ...]:
    """Items without a seat."""
    seated = {seat.item for seat in seats}
    return tuple(item.id for item in frame.problem.items if item.id not in seated)


def shifted(frame: Frame, value: StageValue) -> StageValue:
    """Optional parts were counted as weight earned; shown is weight left out."""
    if value.stage != "optional-parts":
        return value
    total = sum(item.wish.weight for item in frame.problem.items if not item.wish.required)
    return StageValue(value.stage, value.value + total, value.bound + total, value.unit)
