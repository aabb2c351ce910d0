"""What else there is beside the best plan, for a terminal of 80 columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from slotfit.explain.told import EqualPlans, Moved, Way
from slotfit.listing import listed
from slotfit.render.explain.choices_view import ChoicesView, IfFalseView, OtherwiseView, PriceChange
from slotfit.render.text_layout import fill, heading, hung


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
