"""What else there is beside the best plan, as plain values for text and for programs."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.explain.told import EqualPlans, IfFalse, Moved, Otherwise
from slotfit.model.placed import Placed
from slotfit.render.explain.view import PlacedView, placed_view


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
    return OtherwiseView(
        told.placed.answer.status.value, tuple(price_changes(was, now)), told.moved
    )


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


def elsewhere_view(placed: Placed, item: str, told: Otherwise | None) -> ElsewhereView:
    """One part."""
    return ElsewhereView(item, otherwise_view(placed, told) if told else None)


def if_false_view(placed: Placed, told: IfFalse) -> IfFalseView:
    """One fact."""
    fact = told.fact
    return IfFalseView(
        fact.id, fact.statement, fact.find_out, otherwise_view(placed, told.otherwise)
    )
