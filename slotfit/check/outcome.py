"""One part in one receptacle under one arrangement: what becomes of it."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.check.answer import Outcome
from slotfit.check.bench import Bench, Layout
from slotfit.check.doubts import facts
from slotfit.check.endpoints import endpoints
from slotfit.costs import dark_endpoints
from slotfit.hardware.flow import short_by_link
from slotfit.model.board import Arrangement, LaneGroup
from slotfit.model.seat import Seat, Trained


def outcome_of(bench: Bench, layout: Layout, today: Layout) -> Outcome:
    """
    What the layout makes of the part; it has a seat there.

    `today` is the layout without the part, from which the board is changed.
    """
    seat = layout.seats[bench.question.part]
    group, way = way_of(bench, layout, seat)
    mine = [layout.seats[name] for name in bench.asked() if name in layout.seats]
    decides, order, provided = facts(bench.problem, bench.question.part, mine, bench.seat_rules)
    name = seat.offer.group
    own = today.ways.get(name) if name else None
    return Outcome(
        seat=seat,
        group=group,
        way=way,
        change=bool(group and way and needs_change(group, str(own), way)),
        endpoints=endpoints(bench, layout),
        decides=(*decides, *order),
        order=order,
        provided=provided,
        short_mb_s=short(bench, layout) - short(bench, today),
        unseated=sum(name not in layout.seats for name in bench.question.drives),
        dark=sum(dark_endpoints(bench.problem.item[one.item], one) for one in mine),
        changes=tuple(changes(today, layout)),
    )


def way_of(bench: Bench, layout: Layout, seat: Seat) -> tuple[LaneGroup | None, Arrangement | None]:
    """The lane group below it all and its arrangement, where the part takes lanes from one."""
    name = seat.offer.group
    if name is None or not seat.links:
        return None, None
    group = bench.groups[name]
    return group, next(way for way in group.arrangements if way.id == layout.ways[name])


def needs_change(group: LaneGroup, own: str, way: Arrangement) -> bool:
    """Whether someone has to set it: presence and wiring come by themselves."""
    today = next((one for one in group.arrangements if one.id == own), group.arrangements[0])
    if way.id == today.id:
        return False
    return any(one.chosen_by in ("setting", "jumper") for one in (way, today))


def short(bench: Bench, layout: Layout) -> int:
    """MB/s short, in and out together, as `place` counts them; today's are asked for each time."""
    known = bench.short.get(id(layout))
    if known is None or known[0] is not layout:
        known = (layout, sum(short_by_link(bench.problem, layout.seats.values()).values()))
        bench.short[id(layout)] = known
    return known[1]


def changes(today: Layout, then: Layout) -> Iterator[tuple[str, Trained, Trained]]:
    """Links of what sits there today that train otherwise."""
    for item, before in today.seats.items():
        after = then.seats.get(item)
        for old, new in zip(before.links, after.links if after else (), strict=bool(after)):
            if (old.lanes, old.generation) != (new.lanes, new.generation):
                yield item, old, new
