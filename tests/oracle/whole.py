"""A whole plan: what its parts do to one another."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass
from itertools import combinations
from typing import Any

from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.machine import PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem
from slotfit.model.words import Scope
from slotfit.standards.forms import POWER_SOCKETS
from slotfit.standards.power import PLUGS
from tests.oracle.alone import (
    answers_on_the_bus,
    asks_lfm,
    carriers_at_3v3,
    fits_socket,
    is_handed_over,
    known_room,
    on_own_port,
    owner_of,
    tails,
)
from tests.oracle.spot import Spot, as_built
from tests.oracle.watts import overdrawn, visitors


@dataclass(frozen=True)
class Placed:
    """Everything that is decided."""

    problem: Problem
    parts: Mapping[str, Part]
    spots: Mapping[str, Spot]
    """Part that has a place -> what it finds there."""
    ways: Mapping[str, str]
    """`machine/group` -> arrangement."""

    def in_receptacle(self, receptacle: str) -> list[str]:
        """Parts in a receptacle."""
        return [part for part, spot in self.spots.items() if spot.receptacle.id == receptacle]

    def in_machine(self, machine: Machine) -> list[PartSpec]:
        """Parts in a machine."""
        return [
            self.parts[part].spec for part, s in self.spots.items() if s.machine.id == machine.id
        ]


def look_at_all(plan: Placed) -> Iterator[str]:
    """Every complaint about the plan as a whole."""
    yield from who_is_there(plan)
    yield from wide_ports(plan)
    yield from bodies(plan)
    yield from in_the_way(plan)
    yield from moving_air(plan)
    yield from squeezed(plan)
    yield from divisions(plan)
    yield from isolation(plan)
    yield from through_receptacles(plan)
    yield from at_3v3(plan)
    if any(over_plugs_mw(plan, name) > plugs_left_mw(plan, name) for name in plan.spots):
        yield "plugs shared"
    yield from company(plan)
    for machine in plan.problem.machines:
        yield from supply(plan, machine)
        yield from bays(plan, machine)


def in_company(plan: Placed, facts: set[object]) -> set[object]:
    """The facts that the parts rest on, in the light of what else is placed."""
    beside_guests = any(
        is_handed_over(part) and answers_on_the_bus(part) for part in plan.problem.parts
    )
    kept: set[object] = set()
    for fact in facts - set(blown_enough(plan)) - set(led(plan)):
        if isinstance(fact, tuple) and fact[0] == "isolation beside guests":
            if beside_guests:
                kept.add(("isolation", *fact[1:]))
        else:
            kept.add(fact)
    return kept | set(places_unknown(plan)) | set(empty_though_named(plan))


def blown_enough(plan: Placed) -> Iterator[object]:
    """Air that nobody has measured, over cards with a strong enough air mover on them."""
    for name, spot in plan.spots.items():
        needed = plan.parts[name].spec.airflow_lfm
        on_it = [plan.parts[i].spec for i, s in plan.spots.items() if s.receptacle.owner == name]
        blows = [m.gives_airflow_lfm or 0 for m in on_it if m.plug.form == "cooling-mount"]
        if any(lfm >= (needed or 0) for lfm in blows):
            yield ("air", spot.receptacle.id, needed)
        if blows and plan.parts[name].spec.part_class != "drive":
            yield ("still", spot.receptacle.id, plan.parts[name].spec.id)


def led(plan: Placed) -> Iterator[object]:
    """Leads that somebody has named, with tails enough, where they are plugged in."""
    for name, spot in plan.spots.items():
        lead = plan.parts[name].spec
        if lead.plug.form in ("12v-2x6", "eps-8") and lead.power:
            have = list(lead.power.aux).count("pcie-8")
            for count in range(have + 1):
                yield ("lead", spot.receptacle.owner, spot.machine.id, lead.plug.form, count)


def places_unknown(plan: Placed) -> Iterator[object]:
    """Parts that are to share a processor or hub, or not to, where nobody knows which it is."""
    for kind, groups in (("together", plan.problem.together), ("apart", plan.problem.apart)):
        for group in groups:
            for part_id in group.parts:
                spot = plan.spots.get(part_id)
                if spot and is_unknown(spot, group.by):
                    others = tuple(part for part in group.parts if part != part_id)
                    yield (kind, spot.root.id, group.by, others)


def is_unknown(spot: Spot, by: Scope) -> bool:
    """Whether nobody has said which processor or hub is above."""
    return by in ("processor", "hub") and spot.processor is None


def who_is_there(plan: Placed) -> Iterator[str]:
    """One part a receptacle; required parts placed; two plugs of a part in one machine."""
    taken = Counter(spot.receptacle.id for spot in plan.spots.values())
    if any(count > 1 for count in taken.values()):
        yield "receptacle shared"
    leaving = plan.problem.retire
    for name, spot in plan.spots.items():
        if {spot.machine.id, name, plan.parts[name].companion_of} & set(leaving):
            yield "retired"
    for part in plan.problem.parts:
        if (part.wish.required or part.asked_of) and part.id not in plan.spots:
            yield "required part missing"
        if part.companion_of is not None:
            machines = {
                plan.spots[name].machine.id if name in plan.spots else None
                for name in (part.id, part.companion_of)
            }
            if len(machines) > 1:
                yield "plugs of one part apart"


def wide_ports(plan: Placed) -> Iterator[str]:
    """Lanes make one wide port only where both plugs lead to one device."""
    for part in plan.problem.parts:
        if part.joins is not None and part.id in plan.spots and part.joins in plan.spots:
            ends = {plan.spots[name].shared[:1] for name in (part.id, part.joins)}
            if len(ends) > 1:
                yield "wide port apart"


def covers(plan: Placed, part: str) -> list[tuple[str, str, int]]:
    """Positions of a slot row that a body covers."""
    spec, receptacle = plan.parts[part].spec, plan.spots[part].receptacle
    slot = receptacle.spec
    if slot.row is None or spec.plug.form not in ("cem", "opening"):
        return []
    return [
        (receptacle.owner, slot.row, slot.position + step) for step in range(spec.thickness or 1)
    ]


def bodies(plan: Placed) -> Iterator[str]:
    """Two bodies are never in one place."""
    places = Counter(place for part in plan.spots for place in covers(plan, part))
    if any(count > 1 for count in places.values()):
        yield "bodies overlap"
    if any(stands_in(plan, one, other) for one in plan.spots for other in plan.spots):
        yield "heat sink in the way"


PITCH_MM, BOARD_MM = 20.32, 1.57
"""From slot to slot, and how thick a card's own board is (CEM, from memory)."""


def stands_in(plan: Placed, part: str, other: str) -> bool:
    """Whether the highest thing on a card is where the back of another body is."""
    high, here = plan.parts[part].spec.component_mm, covers(plan, part)
    if part == other or high is None or not here or plan.parts[part].spec.plug.form != "cem":
        return False
    owner, row, first = here[0]
    top = first * PITCH_MM + BOARD_MM + high
    backs = [place for their, its, place in covers(plan, other) if (their, its) == (owner, row)]
    return any(back > here[-1][2] and back * PITCH_MM < top - 1e-9 for back in backs)


def in_the_way(plan: Placed) -> Iterator[str]:
    """Receptacles that cannot both be used."""
    for spot in plan.spots.values():
        slot = spot.receptacle.spec
        blocked_by = slot.blocked_by if isinstance(slot, BoardReceptacle) else ()
        for other in plan.spots.values():
            if (
                other.receptacle.owner == spot.receptacle.owner
                and other.receptacle.spec.id in blocked_by
            ):
                yield "in each other's way"


def mounted_on(plan: Placed, card: str) -> list[PartSpec]:
    """What sits on a card."""
    return [plan.parts[i].spec for i, s in plan.spots.items() if s.receptacle.owner == card]


def is_still(plan: Placed, card: str) -> bool:
    """Whether too little air moves over a passive card, and nothing on it makes up for that."""
    lfm, needed = plan.spots[card].air_for(plan.parts[card]), asks_lfm(plan.parts[card].spec)
    movers = [one for one in mounted_on(plan, card) if one.plug.form == "cooling-mount"]
    gusts = [one.gives_airflow_lfm for one in movers]
    blown = any(gust is None or gust >= needed for gust in gusts)
    return lfm is not None and lfm < needed and not blown


def moving_air(plan: Placed) -> Iterator[str]:
    """A passive card in air that is too slow needs an air mover, and room for both."""
    for name, spot in plan.spots.items():
        if is_still(plan, name):
            yield "no moving air"
        spec, on_it = plan.parts[name].spec, mounted_on(plan, name)
        room = known_room(spot, "length_mm", spec)
        for mover in on_it:
            if not mover.adds_length_mm or spec.length_mm is None or room is None:
                continue
            if spec.length_mm + mover.adds_length_mm > room:
                yield "no room for the air mover"


def squeezed(plan: Placed) -> Iterator[str]:
    """A module's heat sink and a card right over it."""
    if any(lifts(plan, name, other) for name in plan.spots for other in plan.spots):
        yield "heat sink under a card"


def lifts(plan: Placed, module: str, card: str) -> bool:
    """Whether the module is higher than the card above it lets it be."""
    spot, over = plan.spots[module], plan.spots[card]
    place, high = spot.receptacle.spec, plan.parts[module].spec.component_mm
    if not spot.receptacle.on_board or not isinstance(place, BoardReceptacle) or high is None:
        return False
    is_over = over.receptacle.on_board and over.receptacle.spec.id in place.under
    same = over.machine.id == spot.machine.id and plan.parts[card].spec.plug.form == "cem"
    return is_over and same and place.above_mm is not None and high > place.above_mm


def groups_of(plan: Placed) -> Iterator[tuple[Machine, LaneGroup, Arrangement]]:
    for machine in plan.problem.machines:
        for group in machine.board.lane_groups:
            way_id = plan.ways[f"{machine.id}/{group.id}"]
            ways = (*group.arrangements, *machine.as_fitted[group.id].group.arrangements)
            yield machine, as_built(machine, group), next(w for w in ways if w.id == way_id)


def divisions(plan: Placed) -> Iterator[str]:
    """Each lane group is divided in a way that works, and that agrees with what is plugged in."""
    for machine, group, way in groups_of(plan):
        if way.proof == "refuted" and any(w.proof != "refuted" for w in group.arrangements):
            yield "refuted"
        if not agrees(group, way, plugged_in(plan, machine)):
            yield "presence"


def agrees(group: LaneGroup, way: Arrangement, plugged: set[str]) -> bool:
    """
    Whether a board that looks at what is plugged in may divide the group so.

    Some receptacles get lanes only once something is in them, whatever it is, and no division
    serves them filled without giving them lanes. Chosen by presence is the division that names
    exactly those of them that are filled; if none does, nobody knows, and any may be that names
    them all and has no division between.
    """
    draws = drawing(group)
    filled = draws & plugged
    if way.chosen_by != "presence":
        return filled <= serves(way)
    listed = [set(), *(serves(w) & draws for w in group.arrangements if w.chosen_by == "presence")]
    if serves(way) == when_empty(group):
        return filled <= serves(way)
    own = serves(way) & draws
    between = [row for row in listed if filled <= row < own]
    return filled <= own and not between


def empty_though_named(plan: Placed) -> Iterator[object]:
    """Receptacles that a division chosen by presence names, and nothing is in them."""
    for machine, group, way in groups_of(plan):
        if way.chosen_by != "presence" or not any(feeds(plan, machine, group)):
            continue
        for name in (serves(way) & drawing(group)) - plugged_in(plan, machine):
            yield ("row", machine.id, group.id, way.id, name)


def feeds(plan: Placed, machine: Machine, group: LaneGroup) -> Iterator[str]:
    """Parts on the board that take lanes of the group."""
    names = {name for way in group.arrangements for name in way.gives}
    for part, spot in plan.spots.items():
        on_it = spot.receptacle.owner == machine.id and spot.receptacle.spec.id in names
        if on_it and plan.parts[part].spec.links:
            yield part


def plugged_in(plan: Placed, machine: Machine) -> set[str]:
    """Receptacles of a board in which something closes the contacts: no bracket alone does."""
    return {
        spot.receptacle.spec.id
        for part, spot in plan.spots.items()
        if spot.receptacle.owner == machine.id and plan.parts[part].spec.plug.form != "opening"
    }


def serves(way: Arrangement) -> set[str]:
    """Receptacles that get lanes."""
    return {name for name, widths in way.gives.items() if widths}


def drawing(group: LaneGroup) -> set[str]:
    """Receptacles that have lanes only because something is in them."""
    by_presence = [serves(way) for way in group.arrangements if way.chosen_by == "presence"]
    empty = when_empty(group)
    # Those have no say when they are filled, but where two divisions differ by one of them alone.
    told = {name for s in by_presence if len(s) > 1 for name in s if s - {name} in by_presence}
    return set().union(*by_presence) - (empty - told)


def when_empty(group: LaneGroup) -> set[str]:
    """What is served with nothing plugged in: at the first division, or at one of fewer."""
    by_presence = [serves(way) for way in group.arrangements if way.chosen_by == "presence"]
    first = serves(group.arrangements[0])
    return min((s for s in by_presence if s < first), key=len, default=first)


def isolation(plan: Placed) -> Iterator[str]:
    """Whatever shares an isolation group has one owner, a guest or the host."""
    owners: dict[str, set[str | None]] = {}
    drives: dict[str, set[str | None]] = {}
    for name, spot in plan.spots.items():
        part = plan.parts[name]
        if spot.isolation is not None and any(spot.lanes_of(part)):
            if answers_on_the_bus(part):
                owners.setdefault(spot.isolation, set()).add(owner_of(part))
            elif on_own_port(part, spot):
                drives.setdefault(spot.isolation, set()).add(owner_of(part))
    if any(len(own | drives.get(group, set())) > 1 for group, own in owners.items()):
        yield "guests share a group"


def through_receptacles(plan: Placed) -> Iterator[str]:
    """What sits over a receptacle draws through it, unless a cable or plugs feed it."""
    for receptacle in plan.problem.receptacles:
        limit = receptacle.spec.power_w
        over = [part for part in plan.spots if draws_through(plan, part, receptacle.id)]
        nested = [part for part in over if plan.spots[part].receptacle.id != receptacle.id]
        # A part that draws too much by itself is told of where it sits.
        drawn = sum(slot_mw(plan, part) for part in over)
        nested_draw = any(slot_mw(plan, part) for part in nested)
        if limit is not None and nested_draw and drawn > round(limit * 1000):
            yield "slot power shared"


def at_3v3(plan: Placed) -> Iterator[str]:
    """M.2 drives over a card that makes no 3.3 V have 3 A of it, the slot's own."""
    for name in plan.parts:
        if over_3v3_mw(plan, name) > 9900:
            yield "slot's 3.3 V"


def over_3v3_mw(plan: Placed, carrier: str) -> int:
    """What is drawn at the 3.3 V of a card's slot, if the card is said to make none."""
    return sum(
        slot_mw(plan, part)
        for part, spot in plan.spots.items()
        for below, silent in carriers_at_3v3(plan.parts[part], spot, plan.parts)
        if below.id == carrier and not silent
    )


def over_plugs_mw(plan: Placed, feeder: str) -> int:
    """What hangs on the plugs of a carrier, cable or riser."""
    return sum(
        slot_mw(plan, part)
        for part, spot in plan.spots.items()
        if spot.plugged_at == feeder and spot.form != "cooling-mount"
    )


def plugs_left_mw(plan: Placed, feeder: str) -> int:
    """What its plugs carry beside what it draws through them itself."""
    power = plan.parts[feeder].spec.power
    carried = sum(PLUGS[plug].power_w for plug in power.aux) if power else 0
    return round(max(carried - ((power.aux_w or 0) if power else 0), 0) * 1000)


def slot_mw(plan: Placed, part: str) -> int:
    """What a part draws from its receptacle, as far as anyone has said."""
    power = plan.parts[part].spec.power
    return round((power.slot_w or 0) * 1000) if power else 0


def draws_through(plan: Placed, part: str, receptacle: str) -> bool:
    """Whether the part takes its power through that receptacle."""
    while plan.spots[part].receptacle.id != receptacle:
        spot = plan.spots[part]
        if spot.receptacle.on_board or spot.on_cable:
            return False
        part = spot.receptacle.owner
        feeds = plan.parts[part].spec.power
        if feeds and feeds.aux:
            return False
    return True


def is_in(plan: Placed, part: str, machine: Machine) -> bool:
    return part in plan.spots and plan.spots[part].machine.id == machine.id


def supply(plan: Placed, machine: Machine) -> Iterator[str]:
    """Watts, and plugs for every socket."""
    power_supply = machine.power_supply
    if power_supply is None:
        return
    parts = plan.in_machine(machine)
    here = [part for name, part in plan.parts.items() if is_in(plan, name, machine)]
    yield from overdrawn(here, machine)
    if power_supply.plugs is not None:
        have: list[str] = [plug for plug, count in power_supply.plugs.items() for _ in range(count)]
        devices = [spec for spec in parts if spec.plug.form not in POWER_SOCKETS]
        for spec in parts:
            if spec.power and spec.plug.form in spec.power.aux and spec.plug.form in have:
                have.append(spec.plug.form)  # two ends out of one
        sockets: list[tuple[str, int | None]] = [
            (one, tails(p, one)) for spec in devices if (p := spec.power) for one in p.aux
        ]
        if not all_plugged(sockets, have) or any(
            watts_of(devices, plug) > power_supply.plugs.get(plug, 0) * PLUGS[plug].power_w
            for plug in ("sata-power", "molex-4")
        ):
            yield "supply plugs"
        elif not shared_out(devices, power_supply):
            yield "supply cables"


def shared_out(devices: Sequence[PartSpec], power_supply: PowerSupply) -> bool:
    """Whether each socket gets a plug, and no cable carries more than its watts."""
    if not power_supply.cables or power_supply.plugs is None:
        return True
    cables = cables_of(power_supply, power_supply.plugs)
    ends = [(at, plug) for at, (_, plugs) in enumerate(cables) for plug in plugs]
    wanted = [one for spec in devices for one in through_plugs(spec, power_supply.plugs)]
    return all_carried(wanted, ends, [watts for watts, _ in cables])


def cables_of(power_supply: PowerSupply, have: Mapping[Any, int]) -> list[tuple[float, list[str]]]:
    """Watts and plugs of each cable; a plug on none of them is a cable by itself."""
    left = Counter[str](have)
    found: list[tuple[float, list[str]]] = []
    for cable in power_supply.cables or ():
        for _ in range(cable.count):
            found.append((cable.watts, [*Counter[str](cable.plugs).elements()]))
            left.subtract(cable.plugs)
    return found + [(PLUGS[plug].power_w, [plug]) for plug in left.elements()]


def all_carried(
    wanted: Sequence[tuple[float, list[str]]], ends: list[tuple[int, str]], left: list[float]
) -> bool:
    """Whether every socket gets an end of a cable that has so much left."""
    if not wanted:
        return True
    watts, kinds = wanted[0]
    for end in dict.fromkeys(ends):
        at, plug = end
        if plug in kinds and watts <= left[at] + 0.01:
            rest, less = list(ends), list(left)
            rest.remove(end)
            less[at] -= watts
            if all_carried(wanted[1:], rest, less):
                return True
    return False


def through_plugs(spec: PartSpec, have: Mapping[Any, int]) -> Iterator[tuple[float, list[str]]]:
    """Watts and possible plugs for each plug that a part takes; none draw where nobody has said."""
    power = spec.power
    if power is None or not power.aux_w:
        return
    most = sum(PLUGS[one].power_w for one in power.aux)
    for socket in power.aux:
        watts = power.aux_w * PLUGS[socket].power_w / most
        own = [plug for plug, count in have.items() if count and fits_socket(plug, socket)]
        if lead := None if own else tails(power, socket):
            yield from [(watts / lead, ["pcie-8"])] * lead
        elif own:
            yield watts, own


def watts_of(devices: Sequence[PartSpec], plug: str) -> float:
    """What parts that have no other sockets draw through plugs of a kind."""
    powers = [spec.power for spec in devices if spec.power]
    return sum(power.aux_w or 0 for power in powers if set(power.aux) == {plug})


def all_plugged(sockets: list[tuple[str, int | None]], plugs: list[str]) -> bool:
    """Whether every socket gets a plug of its own that serves it, or a lead from several."""
    if not sockets:
        return True
    socket, tails_needed = sockets[0]
    if tails_needed and plugs.count("pcie-8") >= tails_needed:
        rest = list(plugs)
        for _ in range(tails_needed):
            rest.remove("pcie-8")
        if all_plugged(sockets[1:], rest):
            return True
    return any(
        all_plugged(sockets[1:], [*plugs[:n], *plugs[n + 1 :]])
        for n, plug in enumerate(plugs)
        if plug not in plugs[:n] and fits_socket(plug, socket)
    )


def bays(plan: Placed, machine: Machine) -> Iterator[str]:
    """A cabled drive is screwed into a bay; a small one also goes into a large bay."""
    if machine.chassis is None or machine.chassis.bays is None:
        return
    bays = machine.chassis.bays
    if not isinstance(bays, dict):
        bays = Counter(one.size for one in bays)
    large, small = bays.get("3.5", 0), bays.get("2.5", 0)
    drives = Counter(
        size
        for part, spot in plan.spots.items()
        if spot.machine.id == machine.id
        for size in bays_of(plan, part, spot)
    )
    if drives["3.5"] > large or drives["3.5"] + drives["2.5"] > large + small:
        yield "bays"


def bays_of(plan: Placed, part: str, spot: Spot) -> list[str]:
    """Bays of the chassis that a part fills: its own, or those that it stands behind."""
    spec = plan.parts[part].spec
    if spec.part_class == "backplane":
        return [one.bay or "2.5" for one in spec.receptacles] if spec.own_bays is False else []
    in_front = spot.owners and plan.parts[spot.owners[0]].spec.part_class == "backplane"
    return [spec.bay] if spec.bay and spot.on_cable and not in_front else []


def whose_bays(part: Part, problem: Problem, machine: Machine) -> Iterator[tuple[object, ...]]:
    """A backplane that may stand behind bays of the chassis, where these may not be enough."""
    case = machine.chassis
    if part.spec.part_class != "backplane" or part.spec.own_bays is not None:
        return
    if case is None or case.bays is None:
        return
    sizes: Counter[str] = Counter()
    for one in visitors(problem, machine):
        if one.spec.part_class != "backplane":
            sizes.update([one.spec.bay] if one.spec.bay else [])
        elif one.spec.own_bays is not True:
            sizes.update(bay.bay or "2.5" for bay in one.spec.receptacles)
    have = Counter(one.size for one in case.bays) if isinstance(case.bays, tuple) else case.bays
    large, small = have.get("3.5", 0), have.get("2.5", 0)
    if sizes["3.5"] > large or sizes.total() > large + small:
        yield ("whose bays", part.spec.id, case.id)


def company(plan: Placed) -> Iterator[str]:
    """Parts that are to be together, or apart, as far as they are placed."""
    for group in plan.problem.together:
        known = [
            i for i in group.parts if i in plan.spots and not is_unknown(plan.spots[i], group.by)
        ]
        places = [place_of(plan, part, group.by) for part in known]
        if len(places) > 1 and (None in places or len(set(places)) > 1):
            yield "not together"
    for group in plan.problem.apart:
        there = [place_of(plan, part, group.by) for part in group.parts if part in plan.spots]
        if any(one == other and one is not None for one, other in combinations(there, 2)):
            yield "not apart"


def place_of(plan: Placed, part: str, by: Scope) -> str | None:
    """The machine, processor, lane group, hub or carrier that a part is in or on."""
    spot = plan.spots[part]
    hubs = [hop for hop in spot.shared if "/" in hop]
    return {
        "machine": spot.machine.id,
        "processor": f"{spot.machine.id}/{spot.processor}" if spot.processor else None,
        "lane-group": f"{spot.machine.id}/{spot.group.id}" if spot.group else None,
        "hub": hubs[0] if hubs else None,
        "carrier": spot.owners[0] if spot.owners else None,
    }[by]
