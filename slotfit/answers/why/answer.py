"""Why a part is not in a receptacle: what forbids it, or what it would cost."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from enum import Enum
from typing import Protocol

from slotfit.answers.check.verdict import Objection
from slotfit.answers.place.plan import Progress, place
from slotfit.engine.seats import is_structure
from slotfit.model.clause import Clause, arrangement, atoms_of, holds
from slotfit.model.plan import Placed, Plan, StageValue, Status
from slotfit.model.problem import Item, Problem
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
    reasons: tuple[Objection, ...]
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
    item: str
    site: str
    case: Case
    plan: Plan | None = None
    """The plan as it is."""
    forced: Plan | None = None
    """The best plan with the part there."""
    reasons: tuple[Objection, ...] = ()
    left: tuple[Left, ...] = ()

    @property
    def moved(self) -> tuple[Moved, ...]:
        """Parts that sit or train otherwise in the forced plan, the one asked about first."""
        if self.plan is None or self.forced is None:
            return ()
        return tuple(differences(self.problem, self.plan, self.forced, self.item))

    @property
    def stages(self) -> tuple[tuple[StageValue, StageValue], ...]:
        """The preferences in order: as they are, as they would be."""
        if self.plan is None or self.forced is None:
            return ()
        return tuple(zip(self.plan.stages, self.forced.stages, strict=False))


def refused(seating: Seating, item: str, site: str) -> tuple[Objection, ...]:
    """What the seat rules object to every seat of an item in a site; none if there is a seat."""
    if any(seat.site == site for seat in seating.every(item)):
        return ()
    against = [
        refusal.objections
        for refusal in seating.refusals
        if (refusal.seat.item, refusal.seat.site) == (seating.first.get(item, item), site)
    ]
    fewest = min((len(found) for found in against), default=0)
    told = {one: Objection(one) for found in against if len(found) == fewest for one in found}
    return tuple(told.values())


def untried(problem: Problem, item: str, site: str) -> tuple[Objection, ...]:
    """Why a part was not even held to a receptacle of another part."""
    unheld = Unheld(problem, problem.item[item], problem.site[site])
    return tuple(Objection(no) for no in against_unheld(unheld))


def differences(problem: Problem, plan: Plan, forced: Plan, first: str) -> Iterator[Moved]:
    """Items whose seat or links differ."""
    before = {seat.item: seat for seat in plan.seats}
    after = {seat.item: seat for seat in forced.seats}
    for item in sorted((one.id for one in problem.items), key=lambda name: name != first):
        old, new = before.get(item), after.get(item)
        if (old and (old.site, old.links)) != (new and (new.site, new.links)):
            yield Moved(item, old, new)


def left_over(placed: Tried, plan: Plan, as_it_is: Plan) -> Iterator[Left]:
    """
    Parts that `plan` leaves out and `as_it_is` does not, and what is against the nearest seat.

    What sits on such a part goes out with it.
    """
    out = [name for name in plan.left_out if name not in as_it_is.left_out]
    on = {
        seat.item: placed.problem.site[seat.site].owner
        for seat in as_it_is.seats
        if placed.problem.site[seat.site].owner in out
    }
    chosen = atoms_chosen(plan)
    for item in out:
        if item in on:
            continue
        against = [
            tuple(against_seat(placed, seat, plan, chosen))
            for seat in placed.seating.by_item.get(item, [])
        ]
        with_it = tuple(name for name, owner in on.items() if owner == item)
        yield Left(item, min(against, key=count, default=()), with_it)


def stands_against(placed: Tried, item: str, site: str) -> tuple[Objection, ...]:
    """What forbids an item in a site even with nothing in the machine but what carries it."""
    nothing = Plan()
    seats = [seat for seat in placed.seating.by_item.get(item, []) if seat.site == site]
    if not seats and not placed.problem.site[site].on_board:
        return untried(placed.problem, item, site)
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


def count(reasons: tuple[Objection, ...]) -> int:
    """How many."""
    return len(reasons)


def atoms_chosen(plan: Plan) -> set[str]:
    """Seats and arrangements of a plan, as clauses speak of them."""
    chosen = {seat.key for seat in plan.seats}
    return chosen | {arrangement(group, way) for group, way in plan.arrangements.items()}


def against_seat(placed: Tried, seat: Seat, plan: Plan, chosen: set[str]) -> Iterator[Objection]:
    """
    Clauses that would not hold if a seat were taken as well.

    An arrangement chosen and a carrier placed follow from other choices: they are no reason.
    """
    with_it = chosen | {seat.key}
    for clause in placed.clauses:
        atoms = atoms_of(clause)
        follows = seat.key not in atoms or is_structure(placed.seating, clause)
        if not follows and not holds(clause, with_it):
            others = tuple(s.item for s in plan.seats if s.key in atoms and s.item != seat.item)
            yield Objection(clause.reason, others)


def case_of(plan: Plan, forced: Plan) -> Case:
    """Whether a forced plan is worse."""
    same = [one.value for one in plan.stages] == [one.value for one in forced.stages]
    return Case.AS_GOOD if same else Case.COSTS


@dataclass(frozen=True)
class Asked:
    """A part of a build and a receptacle of it, with the means to plan."""

    problem: Problem
    item: str
    site: str
    plan: Callable[[Problem], Placed]


def why(
    problem: Problem,
    item: str,
    site: str,
    seconds: float = 60.0,
    progress: Progress | None = None,
) -> Why:
    """What forbids an item in a site, or what it costs; each plan has `seconds` to be found."""
    asked = Asked(problem, item, site, lambda one: place(one, seconds, progress))
    placed = asked.plan(problem)
    plan = placed.plan
    if plan and any((seat.item, seat.site) == (item, site) for seat in plan.seats):
        return Why(problem, item, site, Case.THERE, plan)
    wished = refused(placed.seating, item, site)
    if wished:
        return Why(problem, item, site, Case.FORBIDDEN, plan, reasons=wished)
    if plan is None:
        return Why(problem, item, site, without_plan(placed))
    return with_it_there(asked, placed)


def without_plan(placed: Placed) -> Case:
    """Whether there is none, or none was found in time."""
    return Case.OUT_OF_TIME if placed.status is Status.UNKNOWN else Case.NO_PLAN


def with_it_there(asked: Asked, placed: Placed) -> Why:
    """The best plan with the part in the site against the best of all."""
    problem, plan = asked.problem, placed.plan
    forced = asked.plan(pinned(problem, asked.item, asked.site))
    if plan and forced.plan:
        case = case_of(plan, forced.plan)
        return Why(problem, asked.item, asked.site, case, plan, forced.plan)
    if forced.status is Status.UNKNOWN:
        return Why(problem, asked.item, asked.site, Case.OUT_OF_TIME, plan)
    eased = asked.plan(pinned(problem, asked.item, asked.site, others_must=False))
    rest = eased.plan
    if plan is None or rest is None:
        reasons = stands_against(eased, asked.item, asked.site)
        return Why(problem, asked.item, asked.site, Case.FORBIDDEN, plan, reasons=reasons)
    left = tuple(left_over(eased, rest, plan))
    return Why(problem, asked.item, asked.site, Case.CROWDS_OUT, plan, rest, left=left)


def pinned(problem: Problem, item: str, site: str, *, others_must: bool = True) -> Problem:
    """The same problem with the item in the site and, if so asked, no other part required."""
    items = tuple(
        pin(one, site) if one.id == item else one if others_must else eased(one)
        for one in problem.items
    )
    return replace(problem, items=items)


def pin(item: Item, site: str) -> Item:
    """It goes there and nowhere else."""
    return item._replace(wish=item.wish.model_copy(update={"pin": site, "required": True}))


def eased(item: Item) -> Item:
    """It need not be placed; as many as possible should."""
    return item._replace(wish=item.wish.model_copy(update={"required": False, "weight": 1}))
