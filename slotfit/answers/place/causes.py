"""Where a plan's value in each preference comes from, part by part and link by link."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial

from slotfit.answers.names import gb_s
from slotfit.answers.place.answer import PlaceAnswer, PlannedReceptacle
from slotfit.answers.place.layout import layout_of
from slotfit.engine.costs import dark_endpoints, far, weight
from slotfit.engine.referee import crowded
from slotfit.hardware.flow import FLOWS, Flow, short_by_link
from slotfit.model.keys import LinkKey, short_name
from slotfit.model.plan import Placed, Plan


@dataclass(frozen=True, slots=True)
class Contribution:
    """What one part, link or fact adds to a preference's value."""

    stage: str
    who: str
    """A part, a shared link, a fact's id."""
    amount: int
    """In the stage's unit."""
    text: str


@dataclass(frozen=True, slots=True)
class FreeGroup:
    """Board receptacles alike that stay free, by what they could still take."""

    connector: str
    """`cem x16`."""
    gets: str
    """`gen 4 x8`."""
    lanes_together: int
    """PCIe lanes of all of them together."""
    labels: tuple[str, ...]


Causes = Iterator[tuple[str, int, str]]
"""Who, how much of the stage's value, and a few words."""


def contributions(placed: Placed, plan: Plan) -> Iterator[Contribution]:
    """For each preference of the plan what makes up its value; the amounts add up to it."""
    for stage in plan.stages:
        if stage.stage in CAUSES:
            for who, amount, text in CAUSES[stage.stage](placed, plan):
                yield Contribution(stage.stage, who, amount, text)


def left_out(placed: Placed, plan: Plan) -> Causes:
    """Optional parts without a seat."""
    for name in plan.left_out:
        worth = weight(placed.problem.part[name])
        if worth:
            yield name, worth, name


def dark(placed: Placed, plan: Plan) -> Causes:
    """Parts with endpoints that stay dark."""
    for seat in plan.seats:
        count = dark_endpoints(placed.problem.part[seat.part], seat)
        if count:
            yield seat.part, count, f"{count} of {seat.part}"


def short(flow: Flow, placed: Placed, plan: Plan) -> Causes:
    """Links that carry less of a flow than arrives at them, the worst first."""
    for link, missing in worst_first(short_by_link(placed.problem, plan.seats, flow)):
        name = link_name(link, several=len(placed.problem.machines) > 1)
        yield str(link), missing, f"{name} {gb_s(missing)}"


def worst_first(short: Mapping[LinkKey, int]) -> list[tuple[LinkKey, int]]:
    """Links with the MB/s they lack, those that lack most first."""
    return sorted(short.items(), key=lambda pair: (-pair[1], str(pair[0])))


def link_name(link: LinkKey, *, several: bool) -> str:
    """
    `nic-25` for a part's own link, `chipset's shared link` for one that several parts share.

    `several`: there are several machines, and a hub is named with its own.
    """
    node = str(link.node) if several else short_name(link.node)
    return f"{node}'s shared link" if link.shared else str(link)


def unproven(_: Placed, plan: Plan) -> Causes:
    """Facts nobody has proven."""
    for fact in plan.facts:
        yield fact.label, 1, fact.statement


def elsewhere(placed: Placed, plan: Plan) -> Causes:
    """Parts that hang on another processor than they should."""
    for seat in plan.seats:
        part = placed.problem.part[seat.part]
        if far(part, seat):
            on = seat.upstream.processor or "no known processor"
            yield seat.part, 1, f"{seat.part} on {on}, not {part.wish.near}"


def airless(placed: Placed, plan: Plan) -> Causes:
    """Gaps where a neighbour takes the air."""
    for place, text in crowded(placed.problem, plan):
        yield "/".join(str(one) for one in place), 1, text


CAUSES: dict[str, Callable[[Placed, Plan], Causes]] = {
    **{flow: partial(short, flow) for flow in FLOWS},
    "optional-parts": left_out,
    "dark-endpoints": dark,
    "unproven-facts": unproven,
    "locality": elsewhere,
    "cooling": airless,
}


def free_with_lanes(answer: PlaceAnswer) -> list[PlannedReceptacle]:
    """Board receptacles that stay free and get PCIe lanes as the plan divides them."""
    return [
        one
        for one in answer.plan.receptacles
        if one.on_board and one.item is None and one.state == "free" and pcie_lanes(one)
    ]


def pcie_lanes(receptacle: PlannedReceptacle) -> int:
    """PCIe lanes that arrive there."""
    return sum(lanes for _, lanes, bus in receptacle.segments if bus == "pcie")


def free_groups(answer: PlaceAnswer) -> tuple[FreeGroup, ...]:
    """Free receptacles, alike ones together, the most capable first."""
    alike: dict[tuple[str, str], list[PlannedReceptacle]] = {}
    for one in free_with_lanes(answer):
        connector = f"{one.form} x{one.width}" if one.width else one.form
        alike.setdefault((connector, one.gets), []).append(one)
    called = layout_of(answer.plan).called
    found = [
        FreeGroup(connector, gets, sum(map(pcie_lanes, ones)), tuple(map(called, ones)))
        for (connector, gets), ones in alike.items()
    ]
    return tuple(
        sorted(found, key=lambda one: (-one.lanes_together // len(one.labels), one.connector))
    )


def lanes_left(answer: PlaceAnswer) -> int:
    """PCIe lanes of all free receptacles together."""
    return sum(map(pcie_lanes, free_with_lanes(answer)))


def power_left(answer: PlaceAnswer) -> float | None:
    """Watts that the supplies have left, all machines together; None if one is not described."""
    left = [
        budget.limit_w - budget.total_w
        for budget in answer.more.power
        if budget.limit_w is not None
    ]
    return round(sum(left), 3) if left and len(left) == len(answer.more.power) else None


def draw_unknown(answer: PlaceAnswer) -> tuple[str, ...]:
    """Parts whose draw nobody has said, and machines without a base load."""
    bases = [budget.machine for budget in answer.more.power if budget.base_w is None]
    return (*bases, *(part for budget in answer.more.power for part in budget.unknown))
