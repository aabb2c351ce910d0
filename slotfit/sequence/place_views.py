"""What is where in each stretch: receptacles, and places beside the machines."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.listing import in_short
from slotfit.natural_order import natural
from slotfit.render.sequence.view import CellView, PlaceView
from slotfit.sequence.jobs import below
from slotfit.sequence.names import place_name
from slotfit.sequence.stretch_views import Way, stretch_view


def places(way: Way) -> Iterator[PlaceView]:
    """Board receptacles that hold something at some time, then parts beside the machines."""
    layouts = way.schedule.layouts
    problem = way.task.problem
    used = {site for layout in layouts for site in layout.places.values()}
    for site in problem.sites:
        if site.on_board and site.id in used:
            yield PlaceView(
                site.owner,
                site.id,
                place_name(problem, site.id),
                tuple(cell(way, number, site.id) for number in range(len(layouts))),
            )
    yield from beside_places(way)


def beside_places(way: Way) -> Iterator[PlaceView]:
    """Parts beside the machines; like ones that lie there at the same times in one row."""
    count = len(way.schedule.layouts)
    lying = [stretch_view(way, number).beside for number in range(count)]
    alike: dict[object, list[str]] = {}
    for item in sorted({one for found in lying for one in found}, key=natural):
        when = tuple(item in found for found in lying)
        part = way.task.problem.item[item].part.id if never_on_a_board(way, item) else item
        alike.setdefault((when, part), []).append(item)
    for items in alike.values():
        name = in_short(items)
        riders = [riders_of(way, number, items[0]) for number in range(count)]
        there = zip(lying, riders, strict=True)
        cells = tuple(CellView(name if items[0] in found else None, n) for found, n in there)
        yield PlaceView("", "", name, cells)


def never_on_a_board(way: Way, item: str) -> bool:
    """Whether no row of a board will ever show it."""
    sites = {layout.places.get(item) for layout in way.schedule.layouts}
    known = [way.task.problem.site[site] for site in sites if site]
    return not any(site.on_board for site in known)


def cell(way: Way, number: int, site_id: str) -> CellView:
    """What is in a receptacle in one stretch."""
    layout = way.schedule.layouts[number]
    item = next((one for one, site in layout.places.items() if site == site_id), None)
    return CellView(item, riders_of(way, number, item) if item else 0)


def riders_of(way: Way, number: int, item: str) -> int:
    """How many parts sit on an item in one stretch."""
    problem, layout = way.task.problem, way.schedule.layouts[number]
    on_it = below(problem, item, layout.places)
    return sum(problem.item[one].companion_of is None for one in on_it)
