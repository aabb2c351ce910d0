"""What one seat costs in the stages that look at seats one by one."""

from __future__ import annotations

from slotfit.model.board import BoardReceptacle
from slotfit.model.problem import Item, Problem, Site
from slotfit.model.seat import Seat
from slotfit.rule import hangs_on
from slotfit.standards import pcie

HOT_W = 50.0
"""A card of this many watts warms its neighbour; common practice, no source."""


def weight(item: Item) -> int:
    """What it counts to leave an optional part out; a further plug is no part of its own."""
    return 0 if item.wish.required or item.companion_of else item.wish.weight


def dark_endpoints(item: Item, seat: Seat) -> int:
    """Endpoints or sockets that stay dark, up to the number that is wished for."""
    wanted = item.wish.endpoints
    return seat.dark if wanted is None else max(0, min(wanted, len(seat.links)) - seat.alive)


def far(item: Item, seat: Seat) -> int:
    """1 where the part hangs on another processor than it should be near; unknown is a doubt."""
    if item.wish.near is None or not item.part.links:
        return 0
    return int(hangs_on(seat.offer, item.wish.near) is False)


def moved(problem: Problem, seat: Seat) -> int:
    """1 where the part sits elsewhere today."""
    today = problem.today.get(seat.item)
    return int(today is not None and today != seat.site)


def capability(problem: Problem, site: Site) -> int:
    """How much a board receptacle could do, in GB/s at its best arrangement; 0 on a part."""
    if not site.on_board or not isinstance(site.receptacle, BoardReceptacle):
        return 0
    group = problem.rig[site.owner].group_of.get(site.receptacle.id)
    if group is None:
        return 0
    widths = (
        sum(width for width in way.gives.get(site.receptacle.id, ()) if isinstance(width, int))
        for way in group.arrangements
    )
    return pcie.lane_mb_s(group.generation or 1, 1) * max(widths, default=0) // 1000


def watts(item: Item) -> float:
    """What the part turns into heat, as far as anyone has said."""
    return item.part.draw_w


def is_hot(item: Item) -> bool:
    """Whether the part warms its neighbour."""
    return watts(item) >= HOT_W


def breathes(item: Item) -> bool:
    """Whether the part draws air from the gap beside it."""
    return item.part.cooling == "fan"
