"""Why a part is not in a receptacle: what forbids it, or what it would cost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from typing import Protocol

from slotfit.answers.check.answer import Reason
from slotfit.answers.place.plan import Progress, place
from slotfit.engine.seats import is_structure
from slotfit.model.clause import Clause, arrangement, atoms_of, holds
from slotfit.model.plan import Placed, Plan, StageValue, Status
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seat, Seating
from slotfit.rule import Unheld
from slotfit.rulebook import against_unheld


class Case(Enum):
    """How the question comes out."""

    THERE = "there"
    """The plan puts it there."""
    FORBIDDEN = "forbidden"
    """It cannot be there, whatever else is done."""
    CROWDS_OUT = "crowds-out"
    """With it there, some required part has no place left."""
    COSTS = "costs"
    """It can be there, and the plan is worse for it."""
    AS_GOOD = "as-good"
    """It can be there, and the plan is as good."""
    NO_PLAN = "no-plan"
    """There is no plan to begin with."""
    OUT_OF_TIME = "out-of-time"


@dataclass(frozen=True, slots=True)
class Left:
    """A part that would have no seat, and what stands against the nearest one."""

    item: str
    reasons: tuple[Reason, ...]
    with_it: tuple[str, ...] = ()
    """What sits on it, and goes out with it."""


class Tried(Protocol):
    """A problem with its seats and clauses."""

    @property
    def problem(self) -> Problem: ...
    @property
    def seating(self) -> Seating: ...
    @property
    def clauses(self) -> tuple[Clause, ...]: ...


@dataclass(frozen=True, slots=True)
class Moved:
    """A part whose seat or links differ between two plans."""

    item: str
    before: Seat | None
    after: Seat | None


@dataclass(frozen=True)
class Why:
    """The answer."""

    problem: Problem
    part: str
    receptacle: str
    case: Case
    plan: Plan | None = None
    """The plan as it is."""
    forced: Plan | None = None
    """The best plan with the part there."""
    reasons: tuple[Reason, ...] = ()
    left: tuple[Left, ...] = ()

    @property
    def moved(self) -> tuple[Moved, ...]:
        """Parts that sit or train otherwise in the forced plan, the one asked about first."""
        if self.plan is None or self.forced is None:
            return ()
        return tuple(differences(self.problem, self.plan, self.forced, self.part))

    @property
    def stages(self) -> tuple[tuple[StageValue, StageValue], ...]:
        """The preferences in order: as they are, as they would be."""
        if self.plan is None or self.forced is None:
            return ()
        return tuple(zip(self.plan.stages, self.forced.stages, strict=False))


def refused(seating: Seating, part: str, receptacle: str) -> tuple[Reason, ...]:
    """What the seat rules object to a part in a receptacle; none if there is a seat."""
    if any(seat.receptacle == receptacle for seat in seating.every(part)):
        return ()
    against = [
        refusal.objections
        for refusal in seating.refusals
        if (refusal.seat.part, refusal.seat.receptacle)
        == (seating.first.get(part, part), receptacle)
    ]
    fewest = min((len(found) for found in against), default=0)
    told = {one: Reason(one) for found in against if len(found) == fewest for one in found}
    return tuple(told.values())


def untried(problem: Problem, part: str, receptacle: str) -> tuple[Reason, ...]:
    """Why a part was not even held to a receptacle of another part."""
    unheld = Unheld(problem, problem.part[part], problem.receptacle[receptacle])
    return tuple(Reason(no) for no in against_unheld(unheld))


def differences(problem: Problem, plan: Plan, forced: Plan, first: str) -> Iterator[Moved]:
    """Parts whose seat or links differ."""
    before = {seat.part: seat for seat in plan.seats}
    after = {seat.part: seat for seat in forced.seats}
    for part in sorted((one.id for one in problem.parts), key=lambda name: name != first):
        old, new = before.get(part), after.get(part)
        if (old and (old.receptacle, old.links)) != (new and (new.receptacle, new.links)):
            yield Moved(part, old, new)


def left_over(placed: Tried, plan: Plan, as_it_is: Plan) -> Iterator[Left]:
    """
    Parts that `plan` leaves out and `as_it_is` does not, and what is against the nearest seat.

    What sits on such a part goes out with it.
    """
    out = [name for name in plan.left_out if name not in as_it_is.left_out]
    on = {
        seat.part: placed.problem.receptacle[seat.receptacle].owner
        for seat in as_it_is.seats
        if placed.problem.receptacle[seat.receptacle].owner in out
    }
    chosen = atoms_chosen(plan)
    for part in out:
        if part in on:
            continue
        against = [
            tuple(against_seat(placed, seat, plan, chosen))
            for seat in placed.seating.by_part.get(part, [])
        ]
        with_it = tuple(name for name, owner in on.items() if owner == part)
        yield Left(part, min(against, key=count, default=()), with_it)


def stands_against(placed: Tried, part: str, receptacle: str) -> tuple[Reason, ...]:
    """What forbids a part in a receptacle even with nothing in the machine but what carries it."""
    nothing = Plan()
    seats = [seat for seat in placed.seating.by_part.get(part, []) if seat.receptacle == receptacle]
    if not seats and not placed.problem.receptacle[receptacle].on_board:
        return untried(placed.problem, part, receptacle)
    stacks = [(seat, below) for seat in seats for below in chains(placed.seating, seat)]
    against = [tuple(against_seat(placed, seat, nothing, below)) for seat, below in stacks]
    # Where nothing is against the part itself, something is against what carries it.
    return min(against, key=count, default=()) or min(
        (
            tuple(
                reason
                for key in sorted(below)
                for reason in against_seat(placed, placed.seating.by_key[key], nothing, below)
            )
            for _, below in stacks
        ),
        key=count,
        default=(),
    )


def chains(seating: Seating, seat: Seat) -> Iterator[set[str]]:
    """What a seat rests on, down to the board: the keys of one seat a carrier."""
    for key in seat.parents:
        for below in chains(seating, seating.by_key[key]):
            yield {key, *below}
    if not seat.parents:
        yield set()


def count(reasons: tuple[Reason, ...]) -> int:
    """How many."""
    return len(reasons)


def atoms_chosen(plan: Plan) -> set[str]:
    """Seats and arrangements of a plan, as clauses speak of them."""
    chosen = {seat.key for seat in plan.seats}
    return chosen | {arrangement(group, way) for group, way in plan.arrangements.items()}


def against_seat(placed: Tried, seat: Seat, plan: Plan, chosen: set[str]) -> Iterator[Reason]:
    """
    Clauses that would not hold if a seat were taken as well.

    An arrangement chosen and a carrier placed follow from other choices: they are no reason.
    """
    with_it = chosen | {seat.key}
    for clause in placed.clauses:
        atoms = atoms_of(clause)
        follows = seat.key not in atoms or is_structure(placed.seating, clause)
        if not follows and not holds(clause, with_it):
            others = tuple(s.part for s in plan.seats if s.key in atoms and s.part != seat.part)
            yield Reason(clause.reason, others)


def case_of(plan: Plan, forced: Plan) -> Case:
    """Whether a forced plan is worse."""
    same = [one.value for one in plan.stages] == [one.value for one in forced.stages]
    return Case.AS_GOOD if same else Case.COSTS


@dataclass(frozen=True)
class Asked:
    """A part of a build and a receptacle of it, with the means to plan."""

    problem: Problem
    part: str
    receptacle: str
    plan: Callable[[Problem], Placed]


def why(
    problem: Problem,
    part: str,
    receptacle: str,
    seconds: float = 60.0,
    progress: Progress | None = None,
) -> Why:
    """What forbids a part a receptacle, or what it costs; each plan has `seconds` to be found."""
    asked = Asked(problem, part, receptacle, lambda one: place(one, seconds, progress))
    placed = asked.plan(problem)
    plan = placed.plan
    if plan and any((seat.part, seat.receptacle) == (part, receptacle) for seat in plan.seats):
        return Why(problem, part, receptacle, Case.THERE, plan)
    wished = refused(placed.seating, part, receptacle)
    if wished:
        return Why(problem, part, receptacle, Case.FORBIDDEN, plan, reasons=wished)
    if plan is None:
        return Why(problem, part, receptacle, without_plan(placed))
    return with_it_there(asked, placed)


def without_plan(placed: Placed) -> Case:
    """Whether there is none, or none was found in time."""
    return Case.OUT_OF_TIME if placed.status is Status.UNKNOWN else Case.NO_PLAN


def with_it_there(asked: Asked, placed: Placed) -> Why:
    """The best plan with the part in the receptacle against the best of all."""
    problem, plan = asked.problem, placed.plan
    forced = asked.plan(pinned(problem, asked.part, asked.receptacle))
    if plan and forced.plan:
        case = case_of(plan, forced.plan)
        return Why(problem, asked.part, asked.receptacle, case, plan, forced.plan)
    if forced.status is Status.UNKNOWN:
        return Why(problem, asked.part, asked.receptacle, Case.OUT_OF_TIME, plan)
    eased = asked.plan(pinned(problem, asked.part, asked.receptacle, others_must=False))
    rest = eased.plan
    if plan is None or rest is None:
        reasons = stands_against(eased, asked.part, asked.receptacle)
        return Why(problem, asked.part, asked.receptacle, Case.FORBIDDEN, plan, reasons=reasons)
    left = tuple(left_over(eased, rest, plan))
    return Why(problem, asked.part, asked.receptacle, Case.CROWDS_OUT, plan, rest, left=left)


def pinned(problem: Problem, part: str, receptacle: str, *, others_must: bool = True) -> Problem:
    """The same problem with the part in the receptacle and, if so asked, no other part required."""
    parts = tuple(
        pin(one, receptacle) if one.id == part else one if others_must else eased(one)
        for one in problem.parts
    )
    return replace(problem, parts=parts)


def pin(part: Part, receptacle: str) -> Part:
    """It goes there and nowhere else."""
    return replace(part, wish=part.wish.model_copy(update={"pin": receptacle, "required": True}))


def eased(part: Part) -> Part:
    """It need not be placed; as many as possible should."""
    return replace(part, wish=part.wish.model_copy(update={"required": False, "weight": 1}))
