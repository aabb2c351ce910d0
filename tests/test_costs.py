"""
What one seat costs, by hand.

That a card of 50 W warms its neighbour is common practice, no source; the rest is what the build
file's words mean.
"""

from __future__ import annotations

import pytest

from slotfit.engine.costs import dark_endpoints, is_hot, weight
from slotfit.model.build import BuildPart
from slotfit.model.part import PartSpec, Plug, Power
from slotfit.model.problem import Part
from slotfit.model.seat import Seat, Trained, Upstream


def part(draw_w: float = 10, companion_of: str | None = None, **wish: object) -> Part:
    spec = PartSpec(id="part", plug=Plug(form="cem", width=16), power=Power(slot_w=draw_w))
    wished = BuildPart.model_validate({"id": "item", "part": "part", **wish})
    return Part("item", spec, wished, companion_of)


def seat(alive: int, dark: int) -> Seat:
    links = tuple(Trained(4 * at, 4 if at < alive else 0, 4, 4, 4) for at in range(alive + dark))
    return Seat("item@slot", "item", "slot", Upstream("tower"), links=links)


@pytest.mark.parametrize(
    ("wanted", "alive", "dark", "cost"),
    [
        (None, 1, 3, 3),  # nobody said: all four are wanted
        (2, 1, 3, 1),
        (2, 2, 2, 0),
        (2, 3, 1, 0),  # more than asked for is no gain
        (8, 3, 1, 1),  # more than it has cannot be lost
    ],
)
def test_endpoints_lost_are_those_asked_for(
    wanted: int | None, alive: int, dark: int, cost: int
) -> None:
    assert dark_endpoints(part(endpoints=wanted), seat(alive, dark)) == cost


@pytest.mark.parametrize(("draw_w", "hot"), [(49.9, False), (50, True), (75, True)])
def test_a_card_of_50_w_is_hot(draw_w: float, hot: bool) -> None:
    assert is_hot(part(draw_w)) == hot


def test_only_optional_parts_have_a_weight_and_each_once() -> None:
    assert weight(part(required=False, weight=3)) == 3
    assert weight(part(required=True, weight=3)) == 0
    assert weight(part(companion_of="expander", required=False, weight=3)) == 0
