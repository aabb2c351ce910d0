"""What a plan comes to in each stage (docs/explanation/preferences.md)."""

from __future__ import annotations

from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass

from tests.second_judge import flows
from tests.second_judge.build import Build, Group, Part
from tests.second_judge.links import Plan, usable


def optional_parts(plan: Plan) -> int:
    return sum(
        part.wish.get("weight", 1)
        for part in plan.build.parts.values()
        if not part.companion
        and not part.wish.get("required", True)
        and part.id not in plan.seats
        and not {part.id, part.wish["id"]} & plan.build.retired
    )


def dark_endpoints(plan: Plan) -> int:
    return sum(
        1
        for name in plan.seats
        if "endpoints" not in plan.part(name).wish
        for trained in plan.trained(name)
        if not trained.lanes
    )


def far(plan: Plan, name: str) -> bool:
    """Whether a part hangs on another processor than it should be near."""
    near = plan.part(name).wish.get("near")
    if near is None or not plan.part(name).links:
        return False
    machine, processor = plan.processor(name)
    if processor is None:
        return False
    return near not in {f"{machine}/{processor}", processor}


def locality(plan: Plan) -> int:
    return sum(far(plan, name) for name in plan.seats)


@dataclass(frozen=True)
class Body:
    """Positions that a part takes in a row."""

    part: Part
    row: tuple[str, str]
    start: int
    end: int


def body_of(plan: Plan, name: str) -> Body | None:
    site = plan.build.sites[plan.seats[name]]
    if "row" not in site.said:
        return None
    start = site.said.get("position", 0)
    part = plan.part(name)
    thickness = 1 if part.companion else part.said.get("thickness", 1)
    return Body(part, (site.machine or site.part or "", site.said["row"]), start, start + thickness)


def bodies(plan: Plan) -> list[Body]:
    return [body for name in plan.seats if (body := body_of(plan, name))]


def watts(part: Part) -> float:
    power = part.said.get("power", {})
    return float(power.get("slot_w", 0) + power.get("aux_w", 0))


def cooling(plan: Plan) -> int:
    every = bodies(plan)
    beside = [
        (one, next_)
        for one in every
        for next_ in every
        if (one.row, one.end) == (next_.row, next_.start)
    ]
    return sum(
        (one.part.said.get("cooling") == "fan") + (min(watts(one.part), watts(next_.part)) >= 50)
        for one, next_ in beside
    )


def moves(plan: Plan) -> int:
    """Parts that are somewhere else today, or must come out."""
    return sum(moved(plan, name, place) for name, place in plan.build.today.items())


def moved(plan: Plan, name: str, place: str) -> bool:
    if name in plan.seats:
        return plan.seats[name] != place
    return comes_out(plan.build, place)


def comes_out(build: Build, place: str) -> bool:
    """Whether a place of today is in a machine of the build that stays."""
    seen = set()
    while place in build.sites and place not in seen:
        seen.add(place)
        site = build.sites[place]
        if site.part is None:
            return site.machine not in build.retired
        place = build.today.get(site.part, "")
    return False


def reserve(plan: Plan) -> int:
    covered = []
    for name, seat in plan.seats.items():
        site = plan.build.sites[seat]
        if site.part is None:
            covered += [seat, *beside(plan, name)]
    return sum(worth(plan.build, site) for site in covered)


def beside(plan: Plan, name: str) -> Iterator[str]:
    """Board receptacles that a body covers beyond its first position."""
    body = body_of(plan, name)
    for site in plan.build.sites.values() if body else ():
        if site.part is None and body is not None and "row" in site.said:
            row = (site.machine or "", site.said["row"])
            if row == body.row and body.start < site.said.get("position", 0) < body.end:
                yield site.id


def worth(build: Build, site: str) -> int:
    """GB/s that the best arrangement could bring to a board receptacle."""
    key = build.group_of.get(site)
    if key is None:
        return 0
    group = build.groups[key]
    processor = build.processor(group.machine, group.source)
    if processor is not None and processor not in build.fitted(group.machine):
        return 0
    own = build.sites[site].own
    return max(
        (
            brought(group, way.gives.get(own, []))
            for way in group.ways
            if way.said.get("proof") != "refuted"
        ),
        default=0,
    )


def brought(group: Group, segments: list[int | str]) -> int:
    """All lanes of one arrangement together, in GB/s, rounded up."""
    lanes = sum(one for one in segments if isinstance(one, int))
    total = usable(group.bus, group.generation, lanes) if lanes else 0
    for bus in {one for one in segments if isinstance(one, str)}:
        generation = group.generation if bus == group.bus else None
        total += usable(bus, generation, segments.count(bus))
    return -(-total // 1000)


def spare_lanes(plan: Plan) -> int:
    return sum(
        usable(link.bus, link.generation or trained.generation, link.lanes) - trained.mb_s
        for name in plan.seats
        for link, trained in zip(plan.part(name).links, plan.trained(name), strict=True)
        if not link.to
    )


JUDGED: Mapping[str, Callable[[Plan], int]] = {
    "demand": lambda plan: flows.missing(plan, flows.said_of_required),
    "optional-parts": optional_parts,
    "optional-demand": lambda plan: flows.missing(plan, flows.said_of_it),
    "dark-endpoints": dark_endpoints,
    "bandwidth": lambda plan: flows.missing(plan, flows.all_it_can),
    "locality": locality,
    "cooling": cooling,
    "moves": moves,
    "reserve": reserve,
    "spare-lanes": spare_lanes,
}
"""Every stage but `unproven-facts`, which the answer counts out."""
