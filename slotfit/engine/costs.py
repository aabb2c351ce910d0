"""What one seat costs in the stages that look at seats one by one."""

from __future__ import annotations

from slotfit.model.board import BoardReceptacle
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.seat import Seat
from slotfit.rule import hangs_on
from slotfit.standards import pcie

HOT_W = 50.0
"""A card of this many watts warms its neighbour; common practice, no source."""


def weight(part: Part) -> int:
    """What it counts to leave an optional part out; a further plug is no part of its own."""
    return 0 if part.wish.required or part.companion_of else part.wish.weight


def dark_endpoints(part: Part, seat: Seat) -> int:
    """Endpoints or sockets that stay dark, up to the number that is wished for."""
    wanted = part.wish.endpoints
    return seat.dark if wanted is None else max(0, min(wanted, len(seat.links)) - seat.alive)


def far(part: Part, seat: Seat) -> int:
    """1 where the part hangs on another processor than it should be near; unknown is a doubt."""
    if part.wish.near is None or not part.spec.links:
        return 0
    return int(hangs_on(seat.upstream, part.wish.near) is False)


def moved(problem: Problem, seat: Seat) -> int:
    """1 where the part sits elsewhere today."""
    today = problem.today.get(seat.part)
    return int(today is not None and today != seat.receptacle)


def capability(problem: Problem, receptacle: Receptacle) -> int:
    """How much a board receptacle could do, in GB/s at its best arrangement; 0 on a part."""
    if not receptacle.on_board or not isinstance(receptacle.spec, BoardReceptacle):
        return 0
    group = problem.machine[receptacle.owner].group_of.get(receptacle.spec.id)
    if group is None:
        return 0
    widths = (
        sum(width for width in way.gives.get(receptacle.spec.id, ()) if isinstance(width, int))
        for way in group.arrangements
    )
    return pcie.lane_mb_s(group.generation or 1, 1) * max(widths, default=0) // 1000


def watts(part: Part) -> float:
    """What the part turns into heat, as far as anyone has said."""
    return part.spec.draw_w


def is_hot(part: Part) -> bool:
    """Whether the part warms its neighbour."""
    return watts(part) >= HOT_W


def breathes(part: Part) -> bool:
    """Whether the part draws air from the gap beside it."""
    return part.spec.cooling == "fan"
