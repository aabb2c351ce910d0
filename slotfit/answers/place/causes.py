"""Where a plan's value in each preference comes from, part by part and link by link."""

from __future__ import annotations

from collections.abc import Callable, Iterator

from slotfit.answers.compare.answer import CauseView, LeftView
from slotfit.answers.place.answer import View
from slotfit.answers.place.layout import ReceptacleView
from slotfit.answers.text_layout import gb_s
from slotfit.engine.costs import dark_endpoints, far, weight
from slotfit.engine.referee import crowded
from slotfit.hardware.flow import short_by_link
from slotfit.model.plan import Placed, Plan

Causes = Iterator[tuple[str, int, str]]
"""Who, how much of the stage's value, and a few words."""

UPWARDS = " upwards"


def causes_of(placed: Placed, plan: Plan) -> Iterator[CauseView]:
    """For each preference of the plan what makes up its value; the amounts add up to it."""
    for stage in plan.stages:
        if stage.stage in CAUSES:
            for who, amount, text in CAUSES[stage.stage](placed, plan):
                yield CauseView(stage.stage, who, amount, text)


def left_out(placed: Placed, plan: Plan) -> Causes:
    """Optional parts without a seat."""
    for name in plan.left_out:
        worth = weight(placed.problem.item[name])
        if worth:
            yield name, worth, name


def dark(placed: Placed, plan: Plan) -> Causes:
    """Parts with endpoints that stay dark."""
    for seat in plan.seats:
        count = dark_endpoints(placed.problem.item[seat.item], seat)
        if count:
            yield seat.item, count, f"{count} of {seat.item}"


def short(placed: Placed, plan: Plan) -> Causes:
    """Links that carry less than is asked of them, the worst first."""
    found = short_by_link(placed.problem, plan.seats)
    for name, missing in sorted(found.items(), key=lambda pair: (-pair[1], pair[0])):
        yield name, missing, f"{link_name(name)} {gb_s(missing)}"


def link_name(name: str) -> str:
    """`nic-25` for a part's own link, `chipset's shared link` for one that several share."""
    shared = name.removesuffix(UPWARDS)
    return name if shared == name else f"{shared.rpartition('/')[2]}'s shared link"


def unproven(_: Placed, plan: Plan) -> Causes:
    """Facts nobody has proven."""
    for fact in plan.facts:
        yield fact.label, 1, fact.statement


def elsewhere(placed: Placed, plan: Plan) -> Causes:
    """Parts that hang on another processor than they should."""
    for seat in plan.seats:
        item = placed.problem.item[seat.item]
        if far(item, seat):
            on = seat.offer.processor or "no known processor"
            yield seat.item, 1, f"{seat.item} on {on}, not {item.wish.near}"


def airless(placed: Placed, plan: Plan) -> Causes:
    """Gaps where a neighbour takes the air."""
    for place, text in crowded(placed.problem, plan):
        yield "/".join(str(one) for one in place), 1, text


CAUSES: dict[str, Callable[[Placed, Plan], Causes]] = {
    "optional-parts": left_out,
    "dark-endpoints": dark,
    "bandwidth": short,
    "unproven-facts": unproven,
    "locality": elsewhere,
    "cooling": airless,
}


def free_with_lanes(view: View) -> list[ReceptacleView]:
    """Board receptacles that stay free and get PCIe lanes as the plan divides them."""
    return [
        one
        for one in view.receptacles
        if one.on_board and one.item is None and one.state == "free" and pcie_lanes(one)
    ]


def pcie_lanes(receptacle: ReceptacleView) -> int:
    """PCIe lanes that arrive there."""
    return sum(lanes for _, lanes, bus in receptacle.segments if bus == "pcie")


def left_over(view: View) -> tuple[LeftView, ...]:
    """Free receptacles, alike ones together, the most capable first."""
    alike: dict[tuple[str, str], list[ReceptacleView]] = {}
    for one in free_with_lanes(view):
        form = f"{one.form} x{one.width}" if one.width else one.form
        alike.setdefault((form, one.gets), []).append(one)
    found = [
        LeftView(form, gets, sum(map(pcie_lanes, ones)), tuple(one.label for one in ones))
        for (form, gets), ones in alike.items()
    ]
    return tuple(sorted(found, key=lambda left: (-left.lanes // len(left.labels), left.form)))


def lanes_left(view: View) -> int:
    """PCIe lanes of all free receptacles together."""
    return sum(map(pcie_lanes, free_with_lanes(view)))


def power_left(view: View) -> float | None:
    """Watts that the supplies have left, all machines together; None if one is not described."""
    left = [
        budget.limit_w - (budget.base_w or 0) - budget.parts_w
        for budget in view.power
        if budget.limit_w is not None
    ]
    return round(sum(left), 3) if left and len(left) == len(view.power) else None


def draw_unknown(view: View) -> tuple[str, ...]:
    """Parts whose draw nobody has said, and machines without a base load."""
    bases = [budget.machine for budget in view.power if budget.base_w is None]
    return (*bases, *(item for budget in view.power for item in budget.unknown))
