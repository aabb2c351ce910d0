"""What one seat costs in the stages that look at seats one by one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from math import ceil

from slotfit.hardware.flow import rate, spare
from slotfit.hardware.room import positions
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.seat import Seat
from slotfit.model.watts import home_today
from slotfit.rule import hangs_on

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


def installed(problem: Problem, part: str) -> bool:
    """
    Whether the part is in one of the build's machines today, and that machine stays.

    Then it must come out where the plan leaves it out.
    """
    return home_today(problem, part) not in (None, *problem.retire)


def moved(problem: Problem, part: str, receptacle: str | None) -> int:
    """1 where the part is elsewhere today; `receptacle` None: the plan leaves it out."""
    if receptacle is None:
        return int(installed(problem, part))
    return int(problem.today.get(part, receptacle) != receptacle)


def abilities(problem: Problem) -> dict[str, int]:
    """Board receptacles that can carry something -> whole GB/s at their best arrangement."""
    found = {one.id: ability(problem, one) for one in problem.receptacles if one.on_board}
    return {receptacle: gb_s for receptacle, gb_s in found.items() if gb_s}


def taken(problem: Problem, able: Mapping[str, int], seat: Seat) -> int:
    """GB/s of the board receptacles that the part sits in or covers."""
    covered = positions(problem, seat)[1:]
    beside = (problem.receptacle[one] for one in able) if covered else ()
    return able.get(seat.receptacle, 0) + sum(
        able[one.id] for one in beside if one.row and (*one.row, one.spec.position) in covered
    )


def ability(problem: Problem, receptacle: Receptacle) -> int:
    """
    What a board receptacle could carry, in whole GB/s at its best arrangement, rounded up.

    It carries nothing on lanes of a processor that is not fitted, and in a refuted arrangement.
    """
    machine = problem.machine[receptacle.owner]
    group = machine.group_of.get(receptacle.spec.id)
    if group is None:
        return 0
    processor = machine.processor_of(group.from_)
    if processor is not None and processor not in machine.fitted:
        return 0
    ways = (way for way in group.arrangements if way.proof != "refuted")
    return ceil(max((given(group, way, receptacle.spec.id) for way in ways), default=0) / 1000)


def given(group: LaneGroup, way: Arrangement, receptacle: str) -> int:
    """MB/s that an arrangement brings to a receptacle; of an unknown generation, the slowest."""
    lanes: dict[str, int] = {}
    for width in way.gives.get(receptacle, ()):
        bus, count = (group.bus, width) if isinstance(width, int) else (width, 1)
        lanes[bus] = lanes.get(bus, 0) + count
    generation = way.generation or group.generation or 1
    return sum(
        rate(bus, generation if bus == group.bus else 1, count) for bus, count in lanes.items()
    )


def spare_mb_s(seat: Seat) -> int:
    """MB/s each way that the part's own links could carry beyond what they do."""
    return sum(map(spare, seat.links))


def is_hot(part: Part) -> bool:
    """Whether the part warms its neighbour."""
    return part.spec.draw_w >= HOT_W


def covers(problem: Problem) -> Iterator[tuple[str, str]]:
    """Slots of boards, each with a receptacle that a card in it lies right over."""
    for (machine, _), below in problem.board_receptacle.items():
        if isinstance(below.spec, BoardReceptacle):
            for slot in below.spec.under:
                yield problem.board_receptacle[machine, slot].id, below.id


def breathes(part: Part) -> bool:
    """Whether the part draws air from the gap beside it."""
    return part.spec.cooling == "fan"
