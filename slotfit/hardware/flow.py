"""
What flows: what parts move, what a link can carry, and where it runs short.

Unit: whole megabytes per second, each way apart; `in` is towards the part.
Source of the usable rate: standards/rates.py.
"""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator, Mapping
from dataclasses import replace
from typing import Literal, get_args

from slotfit.model.keys import HubKey, LinkKey, Node
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seat, Trained
from slotfit.model.units import mb_s
from slotfit.standards import rates
from slotfit.standards.forms import WITHOUT_LANES, plug_fits

Ways = tuple[int, int]
"""Towards the part, and from it."""

Path = tuple[Node, ...]
"""Shared links from one up to the processor, nearest first."""

Flow = Literal["demand", "optional-demand", "bandwidth"]
"""
What is taken to move at once, by the stage that counts what of it does not get through: what is
stated of required parts; what is stated of any part; the same, and what other parts could move.
"""

FLOWS: tuple[Flow, ...] = get_args(Flow)


def carries(link: Trained) -> int:
    """What a trained link carries, in MB/s each way; an unknown generation counts as the part's."""
    if not link.lanes:
        return 0
    return rate(link.bus, link.generation or link.able_generation or 1, link.lanes)


def could_carry(link: Trained) -> int:
    """What the part's end of the link could carry, in MB/s each way; 0 if nobody has said."""
    if link.able_generation is None or link.to:
        return 0
    return rate(link.bus, link.able_generation, link.able_lanes)


def spare(link: Trained) -> int:
    """MB/s each way that the part's end could carry beyond what the link does; 0 of a wire."""
    if link.to:
        return 0
    generation = link.able_generation or link.generation or 1
    return max(rate(link.bus, generation, link.able_lanes) - carries(link), 0)


def rate(bus: str, generation: int, lanes: int) -> int:
    """Usable MB/s each way; 0 on a bus of which nothing is known."""
    return rates.usable_mb_s(bus, generation, lanes) if bus in rates.PACKETS else 0


def makes_lanes(part: Part) -> bool:
    """A switch or a controller: what sits on it shares its uplink."""
    return part.spec.wiring != "passive" and has_lanes_to_give(part)


def has_lanes_to_give(part: Part) -> bool:
    """Whether it has a receptacle for what is seen through it."""
    return any(receptacle.form not in WITHOUT_LANES for receptacle in part.spec.receptacles)


def stated(part: Part, serves: bool) -> Ways | None:
    """
    What somebody said that the part moves; None: nobody said.

    A switch or controller that `serves` other parts of the build moves what they move, and nothing
    of its own, whatever is said of it.
    """
    if serves and makes_lanes(part):
        return (0, 0)
    said = part.wish.demand or part.spec.demand
    return None if said is None else (mb_s(said.in_gb_s), mb_s(said.out_gb_s))


def assumed(part: Part, seat: Seat) -> Ways:
    """
    What the part moves if nobody said: all that its own links could carry, either way.

    A switch or controller asks for nothing by itself.
    """
    able = 0 if makes_lanes(part) else sum(could_carry(link) for link in seat.links)
    return (able, able)


def demand_of(part: Part, seat: Seat, serves: bool, flow: Flow = "bandwidth") -> Ways:
    """What the part is taken to move."""
    said = stated(part, serves)
    if flow == "demand" and not part.wish.required:
        return (0, 0)
    if said is None:
        return assumed(part, seat) if flow == "bandwidth" else (0, 0)
    return said


def capacity(seat: Seat) -> int:
    """What all its links carry together, in MB/s each way."""
    return sum(carries(link) for link in seat.links)


def met(demand: Ways, room: int) -> Ways:
    """What of the demand gets through the part's own links, which carry so much each way."""
    return (min(demand[0], room), min(demand[1], room))


def serving(problem: Problem) -> frozenset[str]:
    """
    Parts with a receptacle for some other part of the build, at the other end of a cable too.

    Only forms are looked at, not what wishes and rules let sit there: else a switch would move
    other things once a part is held to another place, and two plans could not be compared.
    """
    takes: dict[str, list[Part]] = {}
    owners = {receptacle.owner for receptacle in problem.receptacles if not receptacle.on_board}
    for form in {one.form for owner in owners for one in problem.part[owner].spec.receptacles}:
        takes[form] = [part for part in problem.parts if plug_fits(part.spec.plug.form, form)]
    return frozenset(
        owner for owner in owners if leads_on(problem, takes, owner, {problem.part[owner].body})
    )


def leads_on(
    problem: Problem, takes: Mapping[str, list[Part]], owner: str, reached: set[str]
) -> bool:
    """Whether something fits a part, or a passage on it, that is not yet `reached`; adds those."""
    for receptacle in problem.part[owner].spec.receptacles:
        for part in takes[receptacle.form]:
            if part.body in reached:
                continue
            reached.add(part.body)
            if not is_passage(part) or leads_on(problem, takes, part.id, reached):
                return True
    return False


def is_passage(part: Part) -> bool:
    """A cable or a passive carrier, by the plug that it goes in with: it moves what others move."""
    return part.spec.wiring == "passive" and has_lanes_to_give(part)


def hub_capacity(problem: Problem, key: HubKey) -> int:
    """What a hub's uplink has left after its on-board devices, in MB/s each way."""
    hub = problem.machine[key.machine].hubs[key.hub]
    return max(rate("pcie", hub.generation, hub.lanes) - mb_s(hub.background_gb_s), 0)


SATA_AT = 2
"""The SAS generation at whose 6 Gb/s SATA runs; a quoted rate, its document not kept."""


def slowed(problem: Problem, seat: Seat) -> Iterator[Node]:
    """Expanders above a SATA drive, up to one that gathers what it sends: they run at 6 Gb/s."""
    if not any(link.bus == "sata" and not link.to for link in problem.part[seat.part].spec.links):
        return
    for node in seat.upstream.hops:
        spec = None if isinstance(node, HubKey) else problem.part[node].spec
        if spec is None or spec.wiring != "switch" or spec.buffers:
            return
        if not spec.links or any(link.bus != "sas" for link in spec.links):
            return
        yield node


def at_sata(seat: Seat) -> int:
    """What all its links carry in MB/s each way while each lane runs at the rate of SATA."""
    return sum(
        carries(replace(link, generation=min(link.generation or 1, SATA_AT))) for link in seat.links
    )


def shared_room(problem: Problem, seats: Mapping[str, Seat], path: Path) -> int:
    """What a shared link carries with these seats, by part, in MB/s each way."""
    node = path[0]
    if isinstance(node, HubKey):
        return hub_capacity(problem, node)
    ports = [seats[one] for one in ports_of(problem, node) if one in seats]
    return sum(map(at_sata if slows(problem, seats.values(), path) else capacity, ports))


def slows(problem: Problem, seats: Iterable[Seat], path: Path) -> list[Seat]:
    """SATA drives that hold the shared link at 6 Gb/s a lane."""
    return [
        seat
        for seat in seats
        if seat.upstream.hops[-len(path) :] == path and path[0] in [*slowed(problem, seat)]
    ]


def ports_of(problem: Problem, part: str) -> tuple[str, ...]:
    """The part, and the plugs whose lanes make one wide port with its own."""
    return (part, *(one.id for one in problem.parts if one.joins == part))


def paths(seats: Mapping[str, Seat] | list[Seat]) -> list[Path]:
    """Every shared link the seats use, each as its path upwards, the lowest first."""
    every = seats.values() if isinstance(seats, Mapping) else seats
    found = {
        seat.upstream.hops[start:] for seat in every for start in range(len(seat.upstream.hops))
    }
    return sorted(found, key=lambda path: (-len(path), [*map(str, path)]))


def short_by_link(
    problem: Problem, seats: Collection[Seat], flow: Flow = "bandwidth"
) -> dict[LinkKey, int]:
    """MB/s short, in and out together, by the link that binds: a part's own, or a shared one."""
    serves = serving(problem)
    short: dict[LinkKey, int] = {}
    wanted: dict[str, Ways] = {}
    for seat in seats:
        part = problem.part[seat.part]
        wanted[part.id] = demand_of(part, seat, part.id in serves, flow)
        missing = sum(wanted[part.id]) - sum(met(wanted[part.id], capacity(seat)))
        if missing:
            short[LinkKey(seat.part)] = missing
    for way in (0, 1):
        for path, missing in held_back(problem, wanted, seats, way):
            link = LinkKey(path[0], shared=True)
            short[link] = short.get(link, 0) + missing
    return short


def held_back(
    problem: Problem, wanted: Mapping[str, Ways], seats: Collection[Seat], way: int
) -> Iterator[tuple[Path, int]]:
    """Shared links that carry less than arrives at them, from the lowest up."""
    arriving: dict[Path, int] = {}
    for seat in seats:
        flow = met(wanted[seat.part], capacity(seat))[way]
        arriving[seat.upstream.hops] = arriving.get(seat.upstream.hops, 0) + flow
    by_part = {seat.part: seat for seat in seats}
    for path in paths(list(seats)):
        inflow, room = arriving.get(path, 0), shared_room(problem, by_part, path)
        arriving[path[1:]] = arriving.get(path[1:], 0) + min(inflow, room)
        if inflow > room:
            yield path, inflow - room
