"""What a plan leaves free: receptacles by what they could still take, lanes, watts."""

from __future__ import annotations

from slotfit.render.compare.view import LeftView
from slotfit.render.layout_view import ReceptacleView
from slotfit.render.view import View


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
