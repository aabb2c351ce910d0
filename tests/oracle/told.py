"""
What single sentences of an answer mean, and whether some of them can hold together.

A sentence is read by the names and figures in it, and held against what the judge finds in a plan:
nothing of the clauses behind it is used. All that is not told may be otherwise: parts share a
receptacle unless it is told that it takes one, and draw what they like unless it is told of watts.
What nobody can change holds all the same: plugs fit, a part is in one place and not on itself, what
carries it is there, a lane group is divided one way.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import No
from slotfit.standards.forms import POWER_SOCKETS, plug_fits
from slotfit.standards.power import PLUGS
from tests.oracle.alone import body, fits_socket, known_room, tails
from tests.oracle.judge import Judge
from tests.oracle.spot import Spot, as_fed
from tests.oracle.watts import Meter, draws
from tests.oracle.whole import (
    Placed,
    bays_of,
    covers,
    draws_through,
    is_still,
    is_unknown,
    lifts,
    over_3v3_mw,
    over_plugs_mw,
    place_of,
    slot_mw,
    stands_in,
    through_plugs,
    watts_of,
)

ALONE: Mapping[str, str] = {
    "COOL007": "fan plug",
    "CAB001": "cable",
    "CAB002": "ends alike",
    "CAB004": "turned round",
    "CAB005": "multiplier",
    "CAB006": "module refused",
    "CAB007": "out of reach",
    "CAB009": "ends at odds",
    "CPU001": "processor absent",
    "CPU002": "does not start",
    "CPU003": "wrong memory",
    "FIT002": "closed slot",
    "FIT005": "row end",
    "FIT006": "length",
    "FIT007": "height",
    "FIT008": "bracket",
    "FIT009": "behind the slot",
    "FIT010": "stand-off",
    "FIT013": "board size",
    "FIT016": "mount",
    "FIT018": "needs its slot",
    "FIT019": "lid on the cooler",
    "FIT020": "cooler over the slot",
    "FIT021": "cooler on the memory",
    "FIT025": "bay size",
    "ISO004": "host loses device",
    "ISO005": "not shared so",
    "LANE001": "no lanes",
    "LANE002": "too few endpoints",
    "LANE003": "too narrow",
    "LANE004": "too slow",
    "LANE005": "refuted",
    "LANE018": "wires too slow",
    "LANE019": "not there with what is fitted",
    "POW001": "slot power",
    "POW005": "slot unpowered",
    "POW016": "no 12 V",
    "POW018": "held off",
    "WISH001": "not among the named",
    "WISH002": "banned",
    "WISH003": "other machine",
    "WISH004": "far from processor",
}
"""Rules that speak of one part where it sits -> what the judge says there."""

ROLES: Mapping[str, Callable[[Part, Spot], str]] = {
    "part": lambda part, _: part.id,
    "receptacle": lambda _, spot: spot.receptacle.id,
    "body": lambda part, _: body(part),
    "machine": lambda _, spot: spot.machine.id,
    "root": lambda _, spot: spot.root.id,
    "board": lambda _, spot: spot.machine.board.id,
    "chassis": lambda _, spot: spot.machine.chassis.id if spot.machine.chassis else "",
}
"""Whom a sentence about one part may name."""

Told = Mapping[str, Any]
"""The names and values of a sentence."""


def is_here(told: Told, part: Part, spot: Spot) -> bool:
    """Whether a sentence is about this part in this place."""
    return all(told[role] == of(part, spot) for role, of in ROLES.items() if role in told)


def overlap(plan: Placed, told: Told) -> bool:
    """A place of a row has more than one body over it."""
    return sum(told["position"] in covers(plan, name) for name in plan.spots) > 1


def in_the_way(plan: Placed, told: Told) -> bool:
    """Both of two receptacles are in use, by two parts."""
    here, there = plan.in_receptacle(told["receptacle"]), plan.in_receptacle(told["rival"])
    return bool(here and there)


def bays_full(plan: Placed, told: Told) -> bool:
    """More drives on cables than bays of these sizes."""
    sizes, room = dict(told["bays"]), sum(count for _, count in told["bays"])
    for machine in plan.problem.machines:
        if machine.chassis and machine.chassis.id == told["chassis"]:
            filled = [
                size
                for name, spot in plan.spots.items()
                if spot.machine.id == machine.id
                for size in bays_of(plan, name, spot)
            ]
            if sum(size in sizes for size in filled) > room:
                return True
    return False


def shared_guests(plan: Placed, told: Told) -> bool:
    """Two parts of different owners in one isolation group."""
    spots = [plan.spots.get(told[role]) for role in ("part", "other")]
    return all(spot and spot.isolation == told["group"] for spot in spots)


def slot_overdrawn(plan: Placed, told: Told) -> bool:
    """All that sits over a receptacle draws more than it supplies."""
    over = [name for name in plan.spots if draws_through(plan, name, told["receptacle"])]
    return sum(slot_mw(plan, name) for name in over) > round(told["supply"] * 1000)


def in_machine(plan: Placed, machine: str) -> Iterator[Part]:
    return (plan.parts[name] for name, spot in plan.spots.items() if spot.machine.id == machine)


def supply_overdrawn(plan: Placed, told: Told) -> bool:
    moment, meter = told.get("moment", "work"), Meter(plan.problem.machine[told["machine"]])
    parts = in_machine(plan, told["machine"])
    added = meter.mw((p.id, draws(p.spec), draws(p.spec, moment)) for p in parts) - meter.mw(())
    return added > round(told["left"] * 1000)


def rail_overdrawn(plan: Placed, told: Told) -> bool:
    """What the parts take from some of the smaller rails is more than is told."""
    powers = [part.spec.power for part in in_machine(plan, told["machine"])]
    rails = [one.rails_w or {} for one in powers if one]
    taken = sum(w for one in rails for name, w in one.items() if name in told["rail"].split("+"))
    return round(taken * 1000) > round(told["watts"] * 1000)


def is_split(spec: PartSpec, plugs: Sequence[str]) -> bool:
    """A splitter of just this kind of plug."""
    form = spec.plug.form
    return bool(spec.power and form in spec.power.aux) and (form,) == plugs


def plugs_short(plan: Placed, told: Told) -> bool:
    """
    More sockets that only these plugs serve than there are such plugs.

    With leads: that many tails at most are reckoned for each, and so many are spared by each plug
    of the supply's own.
    """
    devices = [
        part
        for part in in_machine(plan, told["machine"])
        if part.spec.plug.form not in POWER_SOCKETS
    ]
    if "carried" in told:
        return watts_of([part.spec for part in devices], told["plug"]) > told["carried"]
    total, plugs = told["have"]
    most = {socket: (count, own) for socket, count, own in told.get("adapted", ())}
    wanted = -sum(count * own for count, own in most.values())
    if total and "adapted" not in told:
        wanted -= sum(is_split(part.spec, plugs) for part in in_machine(plan, told["machine"]))
    for part in devices:
        power = part.spec.power
        for socket in power.aux if power else ():
            lead = tails(power, socket) if power else None
            fitting = {plug for plug in PLUGS if fits_socket(plug, socket)}
            wanted += lead is None and fitting <= set(plugs)
            wanted += min(lead or 99, most[socket][0]) if socket in most else 0
    return wanted > total


def chained(plan: Placed, told: Told) -> bool:
    """As many parts as are told, or more, draw so much through their plugs."""
    supply = plan.problem.machine[told["machine"]].power_supply
    have = (supply.plugs or {}) if supply else {}
    there = Counter(
        tuple(sorted(round(watts * 1000) for watts, _ in through_plugs(part.spec, have)))
        for part in in_machine(plan, told["machine"])
        if part.spec.plug.form not in POWER_SOCKETS
    )
    return all(
        there[tuple(sorted(one.mw for one in sockets))] >= count
        for sockets, count in told["sockets"]
    )


def apart(plan: Placed, told: Told) -> bool:
    """Two parts that are to share something and, as far as is known, do not."""
    pair, by = (told["part"], told["other"]), told["by"]
    if not all(one in plan.spots and not is_unknown(plan.spots[one], by) for one in pair):
        return False
    one, other = (place_of(plan, name, by) for name in pair)
    return one is None or one != other


def together(plan: Placed, told: Told) -> bool:
    """Two parts that are to be apart and share it."""
    pair = (told["part"], told["other"])
    if not all(one in plan.spots for one in pair):
        return False
    one, other = (place_of(plan, name, told["by"]) for name in pair)
    return one is not None and one == other


def mover_too_long(plan: Placed, told: Told) -> bool:
    """A card, with the air mover on it, is longer than the room."""
    card, mover = plan.spots.get(told["part"]), plan.spots.get(told["mover"])
    if not card or not mover or mover.receptacle.owner != told["part"]:
        return False
    room = known_room(card, "length_mm", plan.parts[told["part"]].spec)
    length = plan.parts[told["part"]].spec.length_mm
    longer = plan.parts[told["mover"]].spec.adds_length_mm
    is_there = card.receptacle.id == told["receptacle"]
    return is_there and room is not None and length is not None and length + longer > room


def sink_too_high(plan: Placed, told: Told) -> bool:
    """The card is there, and another body is where its heat sink stands."""
    card = plan.spots.get(told["part"])
    here = card is not None and card.receptacle.id == told["receptacle"]
    return here and any(stands_in(plan, told["part"], other) for other in plan.spots)


def sink_lifts(plan: Placed, told: Told) -> bool:
    """The module is there, and a card lies over it that has no room for its heat sink."""
    module = plan.spots.get(told["part"])
    here = module is not None and module.receptacle.id == told["receptacle"]
    over = plan.in_receptacle(told["slot"])
    return here and any(lifts(plan, told["part"], card) for card in over)


def filled(plan: Placed, receptacle: str) -> bool:
    """Whether something presses the contacts."""
    there = plan.in_receptacle(receptacle)
    return any(plan.parts[name].spec.plug.form != "opening" for name in there)


def retired(plan: Placed, told: Told) -> bool:
    return any(
        is_here(told, plan.parts[name], spot)
        and {body(plan.parts[name]), spot.machine.id} & set(plan.problem.retire)
        for name, spot in plan.spots.items()
    )


def one_plug(plan: Placed, told: Told) -> bool:
    """One plug of a part is connected without the other, or in another machine."""
    spots = [plan.spots.get(told[role]) for role in ("body", "plug")]
    return len({spot.machine.id if spot else None for spot in spots}) > 1


def wide_port(plan: Placed, told: Told) -> bool:
    """A plug leads elsewhere than the other of its wide port."""
    plug, other = (plan.spots.get(told[role]) for role in ("plug", "other"))
    return plug is not None and (other is None or plug.shared[:1] != other.shared[:1])


def still_air(plan: Placed, told: Told) -> bool:
    """A passive card where too little air moves."""
    spot = plan.spots.get(told["part"])
    here = spot is not None and spot.receptacle.id == told["receptacle"]
    return here and is_still(plan, told["part"])


Breaks = Callable[[Placed, Told], bool]

GROWING: Mapping[str, Breaks] = {
    "FIT003": lambda plan, told: len(plan.in_receptacle(told["receptacle"])) > 1,
    "FIT004": overlap,
    "FIT011": in_the_way,
    "FIT012": bays_full,
    "ISO002": shared_guests,
    "POW002": slot_overdrawn,
    "POW003": supply_overdrawn,
    "POW004": plugs_short,
    "POW022": chained,
    "POW020": lambda plan, told: over_plugs_mw(plan, told["part"]) > round(told["left"] * 1000),
    "POW017": lambda plan, told: over_3v3_mw(plan, told["part"]) > round(told["limit"] * 1000),
    "POW012": supply_overdrawn,
    "POW014": rail_overdrawn,
    "WISH005": apart,
    "WISH006": together,
    "WISH008": retired,
    "WISH009": retired,
    "COOL003": mover_too_long,
    "COOL006": sink_too_high,
    "FIT022": sink_lifts,
}
"""Rules about several parts -> whether a plan breaks one; with more parts it stays broken."""

AT_THE_END: Mapping[str, Breaks] = {
    "NEST002": one_plug,
    "NEST004": wide_port,
    "COOL002": still_air,
    "WISH007": lambda plan, told: told["part"] not in plan.spots,
}
"""The same of what another part may put right."""


STEERING = ("LANE011", "LANE014", "LANE020", "LANE021")
"""Rules about how a lane group is divided, whatever sits on it."""


def steered(plan: Placed, no: No) -> bool:
    """
    Whether a division is at odds with what is plugged in, does not work, or is not there.

    Or whether all that are told are chosen at once, where no one processor has them all.
    """
    together = all if no.case == "apart" else any
    if not together(plan.ways[group] == way for group, way in ways_told(plan.problem, no)):
        return False
    told = no.told
    if no.case == "filled":
        return not any(filled(plan, name) for name in told["receptacles"])
    return "receptacle" not in told or filled(plan, told["receptacle"])


def ways_told(problem: Problem, no: No) -> Iterator[tuple[str, str]]:
    """The divisions that a sentence cites."""
    for fact in no.facts:
        for machine in problem.machines:
            for group in machine.board.lane_groups:
                if any(way is fact.entity for way in group.arrangements):
                    yield f"{machine.id}/{group.id}", fact.thing


@dataclass
class Telling:
    """A build, and sentences about it."""

    problem: Problem
    judge: Judge

    @cached_property
    def ways(self) -> list[dict[str, str]]:
        """Every way to divide all lane groups."""
        groups = {
            f"{machine.id}/{group.id}": [str(way.id) for way in group.arrangements]
            for machine in self.problem.machines
            for group in machine.board.lane_groups
        }
        return [dict(zip(groups, ways, strict=True)) for ways in product(*groups.values())]

    @cached_property
    def homes(self) -> Mapping[str, list[str]]:
        """Part -> receptacles that its plug goes into."""
        return {
            part.id: [
                one.id
                for one in self.problem.receptacles
                if plug_fits(part.spec.plug.form, one.spec.form)
            ]
            for part in self.problem.parts
        }

    def can_hold(self, nos: Sequence[No]) -> bool:
        """Whether some plan keeps all that these sentences say, whatever else it breaks."""
        must = {no.told["part"] for no in nos if no.rule == "WISH007" and no.case == "required"}
        steered = any(no.rule == "LANE011" and no.case == "filled" for no in nos)
        parts = [
            part
            for part in self.problem.parts
            if part.id in must or steered or self.may_serve(part)
        ]
        # What carries others first, so that each can be judged as soon as it is placed.
        parts.sort(key=lambda part: (part.id not in self.carriers, part.id not in must))
        search = Search(self, nos, parts, must)
        return any(search.fits(ways, 0, {}) for ways in self.ways)

    def may_serve(self, part: Part) -> bool:
        """Whether a part may be of use to others: it carries, blows, or has another plug."""
        plugs = {body(one) for one in self.problem.parts if one.companion_of}
        blows = part.spec.gives_airflow_lfm
        return part.id in self.carriers or bool(blows) or body(part) in plugs

    @cached_property
    def carriers(self) -> set[str]:
        """Parts on which others go, be it a lead in a power socket."""
        return {one.owner for one in self.problem.receptacles if not one.on_board}


@dataclass
class Search:
    """A search for a plan that keeps some sentences."""

    telling: Telling
    nos: Sequence[No]
    parts: Sequence[Part]
    must: set[str]

    def __post_init__(self) -> None:
        self.alone = [no for no in self.nos if no.rule in ALONE]
        self.steering = [no for no in self.nos if no.rule in STEERING]
        self.growing = [(GROWING[no.rule], no.told) for no in self.nos if no.rule in GROWING]
        self.at_the_end = [
            (AT_THE_END[no.rule], no.told)
            for no in self.nos
            if no.rule in AT_THE_END and no.case != "once"
        ]
        known = {*ALONE, *GROWING, *AT_THE_END, *STEERING}
        assert {no.rule for no in self.nos} <= known, {no.rule for no in self.nos} - known

    def fits(self, ways: Mapping[str, str], number: int, places: dict[str, str]) -> bool:
        """Whether the parts from this one on can be placed as well."""
        plan = self.plan(ways, places)
        if plan is None or any(breaks(plan, told) for breaks, told in self.growing):
            return False
        if number == len(self.parts):
            return self.is_kept(plan, places)
        part = self.parts[number]
        homes: list[str | None] = [*self.telling.homes[part.id]]
        if part.id not in self.must:
            homes.insert(0, None)
        return any(
            self.fits(ways, number + 1, {**places, part.id: home} if home else places)
            for home in homes
        )

    def plan(self, ways: Mapping[str, str], places: Mapping[str, str]) -> Placed | None:
        """All that has a way down to a board by now; None if a part must not be where it is."""
        judge = self.telling.judge
        spots: dict[str, Spot] = {}
        for name in places:
            chain = judge.chain(name, places)
            if chain is None:
                continue
            spot, words = judge.sit(chain, ways)
            if "on itself" in words or any(
                self.is_refused(no, name, spot, words) for no in self.alone
            ):
                return None
            spots[name] = spot
        return Placed(self.telling.problem, as_fed(judge.parts, spots), spots, ways)

    def is_refused(self, no: No, name: str, spot: Spot, words: Sequence[object]) -> bool:
        here = is_here(no.told, self.telling.judge.parts[name], spot)
        return here and ALONE[no.rule] in words

    def is_kept(self, plan: Placed, places: Mapping[str, str]) -> bool:
        """Whether nothing hangs in the air, and what only the whole plan tells is kept."""
        return (
            len(plan.spots) == len(places)
            and not any(breaks(plan, told) for breaks, told in self.at_the_end)
            and not any(steered(plan, no) for no in self.steering)
        )
