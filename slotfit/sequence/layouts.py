"""The two ends of a sequence: where everything is today, and where it is to be."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import replace

from slotfit.errors import InputError, Mistake
from slotfit.hardware_rules import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES
from slotfit.model.build_part import BuildPart
from slotfit.model.clause import AtMost, Clause, ExactlyOne, Ground, arrangement
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat, Seating
from slotfit.model.status import Status
from slotfit.model.windows import Layout
from slotfit.seating.seats import seat_all
from slotfit.solve.clash import Stated, minimal_core
from slotfit.solve.clock import Clock
from slotfit.solve.place import place
from slotfit.solve.post import atoms_in

TODAY = Ground("today", "the build file says so")


def bare(problem: Problem) -> Problem:
    """The problem without what is wished for its parts: a layout on the way only has to work."""
    return replace(problem, items=tuple(map(without_wishes, problem.items)), together=(), apart=())


def without_wishes(item: Item) -> Item:
    """What it moves, whose it is and which bracket it wears are no wishes."""
    wish = item.wish
    made = BuildPart.model_construct(
        id=wish.id,
        part=wish.part,
        required=False,
        demand=wish.demand,
        guest=wish.guest,
        bracket=wish.bracket,
    )
    if span := wish.span():
        made.marks[""] = span
    return item._replace(wish=made)


def hardware(problem: Problem) -> tuple[Seating, tuple[Clause, ...]]:
    """Every seat and clause by the rules of hardware alone."""
    seating = seat_all(problem, HARDWARE_SEAT_RULES)
    return seating, hardware_clauses(problem, seating)


def hardware_clauses(problem: Problem, seating: Seating) -> tuple[Clause, ...]:
    """What couples these seats by the rules of hardware alone."""
    return tuple(c for rule in HARDWARE_PLAN_RULES for c in rule.state(problem, seating))


def in_machines(problem: Problem) -> dict[str, str]:
    """Item -> site of what is in a machine today, on its board or on a part in it."""
    found: dict[str, str] = {}
    known = {item: site for item, site in problem.today.items() if site in problem.site}
    while True:
        more = {
            item: site
            for item, site in known.items()
            if item not in found and holds(problem, site, found)
        }
        if not more:
            return found
        found |= more


def holds(problem: Problem, site_id: str, seated: Iterable[str]) -> bool:
    """Whether the receptacle is on a board, or on a part that is among the seated ones."""
    site = problem.site[site_id]
    owner = site.owner if site.on_board else problem.item[site.owner].body
    return site.on_board or owner in seated


def layout_today(
    problem: Problem, seating: Seating, clauses: Sequence[Clause], clock: Clock
) -> Layout | None:
    """
    Today's layout, with the arrangements under which it does most where nobody said which.

    None if time ran out. Raises InputError if it cannot be: then the file is wrong.
    """
    said = list(todays_clauses(problem, seating))
    aims = replace(problem, preferences=("dark-endpoints", "bandwidth", "unproven-facts"))
    answer = place(aims, seating, [*clauses, *said], clock.left)
    if answer.status is Status.IMPOSSIBLE:
        raise InputError(todays_mistakes(problem, seating, clauses, said, clock))
    if answer.plan is None:
        return None
    known = {item: site for item, site in problem.today.items() if site in problem.site}
    places = known | {seat.item: seat.site for seat in answer.plan.seats}
    return Layout(places, answer.plan.arrangements, answer.plan.seats)


def todays_clauses(problem: Problem, seating: Seating) -> Iterable[Clause]:
    """What is in a machine sits where the file says, and nothing else is in a machine."""
    inside = in_machines(problem)
    for item in problem.items:
        seats = seating.by_item.get(item.id, [])
        if item.id in inside:
            here = tuple(seat.key for seat in seats if seat.site == inside[item.id])
            yield ExactlyOne(TODAY, here)
            gone = [seat for seat in seats if seat.site != inside[item.id]]
        elif item.companion_of in inside:  # nobody says where a further plug is: in one place
            yield AtMost(TODAY, tuple((seat.key, 1) for seat in seats), 1)
            gone = []
        else:
            gone = seats
        if gone:
            yield AtMost(TODAY, tuple((seat.key, 1) for seat in gone), 0)
    for group, way in problem.sequence.settings_today.items():
        yield ExactlyOne(TODAY, (arrangement(group, way),))


def todays_mistakes(
    problem: Problem,
    seating: Seating,
    clauses: Sequence[Clause],
    said: Sequence[Clause],
    clock: Clock,
) -> list[Mistake]:
    """Which rules today's layout breaks: it stands in a machine, so a description is wrong."""
    refused = list(refused_today(problem, seating))
    if refused:
        return refused
    soft: dict[str, list[Clause]] = {}
    for clause in clauses:
        soft.setdefault(f"{clause.ground.reason} [{clause.ground.rule}]", []).append(clause)
    atoms = tuple(atoms_in(problem, seating))
    stated = Stated(atoms, tuple(said), {name: tuple(c) for name, c in soft.items()})
    core = minimal_core(stated, [], clock)
    reasons = core.names if core else ("the rules together",)
    where = next(iter(problem.today_spans.values()), "today")
    text = f"today's layout cannot be, by what is described here: {'; '.join(reasons)}"
    return [Mistake(where, "today", text)]


def refused_today(problem: Problem, seating: Seating) -> Iterable[Mistake]:
    """Each part that no rule lets sit where it is said to sit."""
    for item, site in in_machines(problem).items():
        if any(seat.site == site for seat in seating.by_item.get(item, [])):
            continue
        reasons = dict.fromkeys(
            f"{objection.reason} [{objection.rule}]"
            for refusal in seating.refusals
            if (refusal.seat.item, refusal.seat.site) == (item, site)
            for objection in refusal.objections
        )
        text = f"{item} cannot sit in {site}, by what is described here: {'; '.join(reasons)}"
        yield Mistake(problem.today_spans.get(item, "today"), f"today.{item}", text)


def with_goal(problem: Problem) -> Problem:
    """The problem with the receptacles that the file names for the end as pins."""
    goal = problem.sequence.goal
    items = tuple(
        item._replace(wish=item.wish.model_copy(update={"pin": goal[item.id]}))
        if item.id in goal
        else item
        for item in problem.items
    )
    return replace(problem, items=items)


def layout_goal(seating: Seating, plan: Plan) -> Layout:
    """The plan as a layout, without the arrangements that none of its seats depends on."""
    places = {seat.item: seat.site for seat in plan.seats}
    seats = reseated(seating, places, plan.arrangements)
    used = {seat.offer.group for seat in seats if seat.arrangements}
    kept = {group: way for group, way in plan.arrangements.items() if group in used}
    return Layout(places, kept, seats)


def reseated(
    seating: Seating, places: dict[str, str], arrangements: dict[str, str]
) -> tuple[Seat, ...]:
    """The seats that parts have in these places under these arrangements."""
    chosen: dict[str, Seat] = {}
    for seat in sorted(seating.seats, key=lambda seat: seat.offer.depth):
        way = arrangements.get(seat.offer.group or "")
        fits = places.get(seat.item) == seat.site
        stands = not seat.parents or not chosen.keys().isdisjoint(seat.parents)
        if fits and stands and (not seat.arrangements or way in seat.arrangements):
            chosen[seat.key] = seat
    return tuple(chosen.values())
