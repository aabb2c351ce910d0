"""What else there is beside the best plan, for a terminal of 80 columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace
from functools import partial
from typing import Protocol

from slotfit.answers.no_plan.answer import EqualPlans, Goes, IfFalse, Moved, Otherwise, Way
from slotfit.answers.no_plan.case import first_alike
from slotfit.answers.no_plan.changed import with_wish
from slotfit.answers.no_plan.text import PlacedView, placed_view
from slotfit.answers.place.plan import place
from slotfit.answers.text_layout import fill, heading, hung
from slotfit.listing import listed, natural
from slotfit.model.plan import Placed
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt
from slotfit.model.seat import Seat, Seating
from slotfit.solve.alternatives import equal_layouts, kinds_of
from slotfit.solve.engine import Clock


def equal_plans(placed: Placed, at_most: int, clock: Clock) -> EqualPlans | None:
    """Up to `at_most` plans as good as the one found, itself among them; None without one."""
    plan = placed.plan
    if plan is None:
        return None
    layouts = equal_layouts(placed.problem, placed.seating, placed.clauses, plan, at_most, clock)
    kind_of = kinds_of(placed.problem, placed.seating)
    goes: dict[str, Counter[tuple[str, ...]]] = {kind: Counter() for kind in kind_of.values()}
    for layout in layouts.found:
        for kind, counted in goes.items():
            places = sorted((place for part, place in layout if part == kind), key=natural)
            counted[tuple(places)] += 1
    told = [Goes(members(kind, kind_of), ways_of(goes[kind])) for kind in sorted(goes, key=natural)]
    return EqualPlans(
        count=len(layouts.found),
        complete=layouts.complete,
        same=tuple(one for one in told if len(one.ways) == 1 and one.ways[0].places),
        differs=tuple(one for one in told if len(one.ways) > 1),
    )


def members(kind: str, kind_of: dict[str, str]) -> tuple[str, ...]:
    """The parts of a kind."""
    return tuple(sorted((part for part, one in kind_of.items() if one == kind), key=natural))


def ways_of(counted: Counter[tuple[str, ...]]) -> tuple[Way, ...]:
    """The places, those of most plans first."""
    ranked = sorted(counted.items(), key=lambda pair: (-pair[1], [natural(p) for p in pair[0]]))
    return tuple(Way(places, number) for places, number in ranked)


class Placer(Protocol):
    """Places a problem on the seats given, or on all that its rules allow."""

    def __call__(self, problem: Problem, *, seating: Seating | None = None) -> Placed: ...


def best_if_false(placed: Placed, place: Placer) -> Iterator[IfFalse]:
    """Each fact the plan rests on, with the best plan that does without it."""
    plan = placed.plan
    for fact in sorted(plan.facts, key=lambda fact: natural(fact.label)) if plan else ():
        other = place(placed.problem, seating=without_fact(placed, fact))
        yield IfFalse(fact, Otherwise(other, moved(placed, other)))


def without_fact(placed: Placed, fact: Doubt) -> Seating:
    """
    The seats that do not rest on the fact, nor on the same fact about a part that is alike.

    Parts alike stay alike: what is false of one is false of the other. Where another part could
    settle the fact (an air mover), these seats are left out all the same.
    """
    first = first_alike(placed.problem)
    false = meant(fact, first)
    kept: dict[str, Seat] = {}
    for seat in placed.seating.seats:  # a part's seats come before those of what sits on it
        parents = tuple(key for key in seat.parents if key in kept)
        rests = any(meant(other, first) == false for other in seat.facts)
        if not rests and (parents or not seat.parents):
            kept[seat.key] = replace(seat, parents=parents)
    return replace(placed.seating, seats=tuple(kept.values()))


def meant(fact: Doubt, first: dict[str, str]) -> tuple[str, ...]:
    """What it asks of what, each part called as the first of those that are alike."""
    return tuple(first.get(word, word) for word in fact.id)


def best_elsewhere(placed: Placed, part: str, place: Placer) -> Otherwise | None:
    """
    The best plan in which a part is not where it is now; None if it is nowhere now.

    Of parts that are alike none goes there: another one in its stead would be the same plan.
    """
    plan = placed.plan
    seat = next((seat for seat in plan.seats if seat.part == part), None) if plan else None
    if seat is None:
        return None
    first = first_alike(placed.problem)
    problem = placed.problem
    for other, one in first.items():
        if one == first[part]:
            ban = problem.part[other].wish.ban
            problem = with_wish(problem, other, ban=(*ban, seat.receptacle))
    other_plan = place(problem)
    return Otherwise(other_plan, moved(placed, other_plan))


def moved(placed: Placed, other: Placed) -> tuple[Moved, ...]:
    """Parts that go elsewhere in the other plan; none if there is no such plan."""
    if placed.plan is None or other.plan is None:
        return ()
    was = {seat.part: seat.receptacle for seat in placed.plan.seats}
    now = {seat.part: seat.receptacle for seat in other.plan.seats}
    return tuple(
        Moved(part, was.get(part, ""), now.get(part, ""))
        for part in sorted(was.keys() | now.keys(), key=natural)
        if was.get(part) != now.get(part)
    )


@dataclass(frozen=True, slots=True)
class PriceChange:
    """One preference in which another plan comes out otherwise."""

    stage: str
    was: int
    now: int
    unit: str
    says_was: str
    says_now: str


@dataclass(frozen=True, slots=True)
class OtherwiseView:
    """Another plan, held against the best one."""

    status: str
    changes: tuple[PriceChange, ...]
    """In the order of importance; the first one is what counts."""
    moved: tuple[Moved, ...]


@dataclass(frozen=True, slots=True)
class IfFalseView:
    """A fact, and what becomes of the plan if it is false."""

    fact: str
    statement: str
    find_out: str
    otherwise: OtherwiseView


@dataclass(frozen=True, slots=True)
class ElsewhereView:
    """A part, and the best plan in which it goes elsewhere."""

    item: str
    otherwise: OtherwiseView | None
    """None: the best plan leaves the part out."""


@dataclass(frozen=True, slots=True)
class ChoicesView:
    """All that was asked for beside the best plan."""

    equal_plans: EqualPlans | None = None
    elsewhere: tuple[ElsewhereView, ...] = ()
    if_false: tuple[IfFalseView, ...] | None = None
    stopped: bool = False
    """Time ran out before all that was asked for was worked out."""


def otherwise_view(placed: Placed, told: Otherwise) -> OtherwiseView:
    """Another plan, held against the best one."""
    was, now = placed_view(placed), placed_view(told.placed)
    return OtherwiseView(told.placed.status.value, tuple(price_changes(was, now)), told.moved)


def price_changes(was: PlacedView, now: PlacedView) -> list[PriceChange]:
    """Preferences that come out otherwise; none if there is no other plan."""
    before = {price.stage: price for price in was.prices}
    return [
        PriceChange(
            price.stage,
            before[price.stage].value,
            price.value,
            price.unit,
            before[price.stage].says,
            price.says,
        )
        for price in now.prices
        if price.value != before[price.stage].value
    ]


def elsewhere_view(placed: Placed, part: str, told: Otherwise | None) -> ElsewhereView:
    """One part."""
    return ElsewhereView(part, otherwise_view(placed, told) if told else None)


def if_false_view(placed: Placed, told: IfFalse) -> IfFalseView:
    """One fact."""
    fact = told.fact
    return IfFalseView(
        fact.label, fact.statement, fact.find_out, otherwise_view(placed, told.otherwise)
    )


def choices_text(view: ChoicesView) -> str:
    """Equal plans, plans with a part elsewhere, and what hangs on each unproven fact."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: ChoicesView) -> Iterator[str]:
    """Top down."""
    if view.equal_plans is not None:
        yield from equal_lines(view.equal_plans)
    for one in view.elsewhere:
        yield from heading(f"The best plan with {one.item} elsewhere")
        if one.otherwise is None:
            yield "  The plan above leaves it out; `slotfit why` tells of each receptacle."
        else:
            yield from other_lines(one.otherwise, f"There is none: {one.item} can go nowhere else.")
    if view.if_false is not None:
        yield from if_false_lines(view.if_false)
    if view.stopped:
        yield ""
        yield from fill("Stopped before all that was asked for was worked out.")


def equal_lines(plans: EqualPlans) -> Iterator[str]:
    """How many plans are equally good, and what they share."""
    if plans.count == 1 and plans.complete:
        yield from heading("No other plan is as good")
        return
    several = f"{plans.count} plans" if plans.complete else f"At least {plans.count} plans"
    yield from heading(f"{several} are equally good (parts that may swap counted once)")
    if plans.same:
        alike = ", ".join(f"{listed(one.items)} {there(one.ways[0])}" for one in plans.same)
        front = "  In every one: " if plans.complete else "  In every one of these: "
        yield from hung(front, f"{alike}.")
    for one in plans.differs:
        ways = ", or ".join(f"{there(way)} ({way.plans})" for way in one.ways)
        yield from hung("  - ", f"{listed(one.items)} {ways}")


def there(way: Way) -> str:
    """`in slot4`, `in cache (2) and slot3`, or `left out`."""
    counted = Counter(way.places)
    names = [name + (f" ({number})" if number > 1 else "") for name, number in counted.items()]
    return f"in {listed(names)}" if names else "left out"


def other_lines(other: OtherwiseView, none: str) -> Iterator[str]:
    """What another plan costs, and what moves for it."""
    if other.status in ("impossible", "unknown"):
        yield from fill(none if other.status == "impossible" else "Time ran out.", "  ")
        return
    if not other.changes:
        yield "  It is as good as the plan above."
    for change in other.changes:
        yield from hung("  - ", change_text(change))
    if other.status == "unproven":
        yield from fill("A better one may exist: time ran out.", "  ")
    yield from hung("  Moves: ", ", ".join(map(moved_text, other.moved)) + ".")


def change_text(change: PriceChange) -> str:
    """`bandwidth: 3.1 GB/s short of demand at nic, not 0.3 GB/s short ...`."""
    return f"{change.stage}: {change.says_now} (above: {change.says_was})"


def moved_text(one: Moved) -> str:
    """`hba to slot3`."""
    return (
        f"{one.item} to {one.now} (was {one.was or 'left out'})"
        if one.now
        else f"{one.item} left out"
    )


def if_false_lines(facts: tuple[IfFalseView, ...]) -> Iterator[str]:
    """What hangs on each fact, in the order of the facts' names."""
    yield from heading("If a fact turns out false (find out first where most hangs on it)")
    if not facts:
        yield "  The plan rests on nothing unproven."
    for number, fact in enumerate(facts, 1):
        yield from hung(f"  ({number}) ", f"Unless {fact.statement}:")
        none = "No plan is left: find this out before anything else."
        yield from (f"    {line}" if line else line for line in other_lines(fact.otherwise, none))
        yield from hung("      Find out: ", fact.find_out + ".")


def equally_good(placed: Placed, at_most: int, seconds: float = 60.0) -> EqualPlans | None:
    """What up to `at_most` plans as good as the one found have in common; None without a plan."""
    return equal_plans(placed, at_most, Clock(seconds))


def elsewhere(placed: Placed, part: str, seconds: float = 60.0) -> Otherwise | None:
    """The best plan in which a part is not where the plan has it; None if that has it nowhere."""
    return best_elsewhere(placed, part, partial(place, seconds=seconds))


def if_false(placed: Placed, seconds: float = 60.0) -> Iterator[IfFalse]:
    """Each fact the plan rests on, with the best plan without it; `seconds` for all of them."""
    clock = Clock(seconds)

    def in_time(problem: Problem, *, seating: Seating | None = None) -> Placed:
        return place(problem, clock.left, seating=seating)

    return best_if_false(placed, in_time)
