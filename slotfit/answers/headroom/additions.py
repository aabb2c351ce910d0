"""Additions worth asking about: invented parts that stand for their class."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from typing import Any

from slotfit.answers.compare.left_out import without
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import items_of, sites_on
from slotfit.load.catalog import Catalog
from slotfit.model.build import BuildPart
from slotfit.model.part import Part, Power
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat
from slotfit.model.words import Stage

CLASS_FIGURE = "stands for its class; common practice, no source"


@dataclass(frozen=True)
class Probe:
    """One kind of addition, and how many of it are tried at most."""

    name: str
    parts: tuple[tuple[Part, int], ...]
    """What one of it is made of: parts, each so many times."""
    wish: dict[str, Any] = field(default_factory=dict)
    """Wishes for the first part."""
    most: int = 8
    own_lanes: bool = False
    """It is to have lanes of its own, not share a chipset's or a switch's link upwards."""
    inside: bool = False
    """The further parts sit in the receptacles of the first one."""
    drives: int = 0
    """NVMe drives that one of it brings."""


LIGHT = Power(slot_w=20.0)
THICK = Power(slot_w=50.0, aux=("pcie-8",), aux_w=150.0, graphics=True)
DRIVE = Power(slot_w=8.25)


def card(lanes: int, power: Power, thickness: int = 1) -> Part:
    """
    A card of so many lanes, of the newest generation that boards have, low if it is thin.

    What it moves is left at nothing: whether a slot has the lanes is the question.
    """
    return described(
        f"x{lanes}-card" + (f"-{thickness}-slots" if thickness > 1 else ""),
        plug=f"cem x{lanes}",
        links=f"x{lanes}",
        generation=5,
        thickness=thickness,
        length_mm=167.65,
        height_mm=68.9 if thickness == 1 else 111.15,
        bracket="both" if thickness == 1 else "full",
        power=power,
        cooling="fan" if thickness > 1 else "none",
        demand=0,
    )


def drive(form: str, length_mm: float | None = None) -> Part:
    """An NVMe drive of four lanes."""
    return described(
        f"{form}-drive",
        plug=form,
        links="x4",
        generation=4,
        length_mm=length_mm,
        power=DRIVE,
        demand=3.2,
        **{"class": "drive"},
    )


def described(name: str, **fields: Any) -> Part:
    """A part that stands for its class."""
    return Part.model_validate(
        {"id": name, "invented": True, "sources": {"links": CLASS_FIGURE}, **fields}
    )


CARDS = (
    ("x1 card", card(1, Power(slot_w=6.0)), {"min_lanes": 1}, False),
    ("x4 card at x4", card(4, LIGHT), {"min_lanes": 4}, False),
    ("x8 card at x8, on lanes of its own", card(8, LIGHT), {"min_lanes": 8}, True),
    ("x16 card at x16, on lanes of its own", card(16, LIGHT), {"min_lanes": 16}, True),
    (
        "two-slot card of 200 W with one 8-pin plug, at x8 or wider, on lanes of its own",
        card(16, THICK, 2),
        {"min_lanes": 8},
        True,
    ),
)


def standard_probes(carriers: Iterable[Part]) -> tuple[Probe, ...]:
    """
    What people add: cards by width, a thick card, drives, and carriers full of drives.

    `carriers` are parts with M.2 sockets (of the catalog); each is tried full.
    """
    m2, u2 = drive("m2-m", 80), drive("u2")
    return (
        *(Probe(name, ((part, 1),), wish, own_lanes=own) for name, part, wish, own in CARDS),
        Probe("M.2 drive in a socket that is there", ((m2, 1),), most=24, drives=1),
        Probe("U.2 drive on a port that is there", ((u2, 1),), most=24, drives=1),
        *(filled(carrier, m2) for carrier in carriers),
    )


def filled(carrier: Part, m2: Part) -> Probe:
    """A carrier with a drive in every socket, all of them seen."""
    sockets = sum(receptacle.form == "m2-m" for receptacle in carrier.receptacles)
    return Probe(
        f"{carrier.name or carrier.id}, full of drives",
        ((carrier, 1), (m2, sockets)),
        {"endpoints": len(carrier.links)},
        most=4,
        inside=True,
        drives=sockets,
    )


def expected(part: Part, count: int) -> Probe:
    """An addition the user expects: up to `count` of one part."""
    name = f"{count} x {part.id}" if count > 1 else part.id
    drives = int(part.part_class == "drive" and any(link.bus == "pcie" for link in part.links))
    return Probe(name, ((part, 1),), most=count, drives=drives)


def together(probes: Sequence[Probe], name: str = "all of them together") -> Probe:
    """All of several additions at once."""
    parts = tuple((part, each * probe.most) for probe in probes for part, each in probe.parts)
    return Probe(name, parts, most=1)


STILL_COUNT: tuple[Stage, ...] = ("bandwidth", "unproven-facts", "locality")
"""Preferences that an addition should harm no more than it must, once it moves the fewest parts."""

Entry = tuple[BuildPart, Part]


def with_parts(problem: Problem, entries: Sequence[Entry]) -> Problem:
    """The build with more parts in it; further plugs of a part are items of their own."""
    items = [item for wish, part in entries for item in items_of(wish, part)]
    sites = [site for item in items for site in sites_on(item)]
    return replace(problem, items=(*problem.items, *items), sites=(*problem.sites, *sites))


def added(problem: Problem, probe: Probe, count: int) -> list[Entry]:
    """So many of an addition, all required; the probe's wishes go to its first part."""
    numbers: Counter[str] = Counter()
    shared = shared_sites(problem) if probe.own_lanes else ()
    made: list[Entry] = []
    plugs = {part.plug.form for part, _ in probe.parts[1:]}
    sockets: list[str] = []
    for place, (part, each) in enumerate(probe.parts):
        for _ in range(count * each):
            name = fresh(problem, part, numbers)
            wishes: dict[str, object] = {}
            if place == 0:
                wishes = {**probe.wish, "ban": shared}
                sockets += [f"{name}/{one.id}" for one in part.receptacles if one.form in plugs]
            elif probe.inside:
                wishes = {"pin": sockets.pop(0)}
            made.append((BuildPart.model_validate({"id": name, "part": part.id, **wishes}), part))
    return made


def fresh(problem: Problem, part: Part, numbers: Counter[str]) -> str:
    """A name that no item has: `new-nvme-2280-gen4-1`."""
    stem = f"new-{part.id[:60]}"
    while True:
        numbers[stem] += 1
        name = f"{stem}-{numbers[stem]}"
        if name not in problem.item:
            return name


def shared_sites(problem: Problem) -> tuple[str, ...]:
    """Board receptacles whose lanes come from a chipset or an on-board switch."""
    return tuple(
        site.id
        for site in problem.sites
        if site.on_board
        and (group := problem.rig[site.owner].group_of.get(site.receptacle.id))
        and group.from_ in problem.rig[site.owner].hubs
    )


def keeping(problem: Problem, plan: Plan) -> Problem:
    """
    The build with the plan as today's layout, and what the plan leaves out left out.

    Moving a part is what an addition costs; no part may get fewer lanes or endpoints than now.
    """
    seats = {seat.item: seat for seat in plan.seats}
    kept = without(problem, plan.left_out)
    still = tuple(stage for stage in problem.preferences if stage in STILL_COUNT)
    return replace(
        kept,
        items=tuple(as_good(item, seats[item.id]) for item in kept.items),
        today={item: seat.site for item, seat in seats.items()},
        preferences=("moves", *still),
    )


def as_good(item: Item, seat: Seat) -> Item:
    """The item, required, and required to train as well as it does now."""
    alive = [link for link in seat.links if link.lanes]
    speeds = [link.generation for link in alive if link.generation and link.bus == "pcie"]
    update: dict[str, object] = {"required": True}
    if alive:
        update |= {
            "min_lanes": min(link.lanes for link in alive),
            "endpoints": seat.alive,
            "min_generation": min(speeds, default=None),
        }
    return item._replace(wish=item.wish.model_copy(update=update))


def seats_of_new(base: Problem, plan: Plan) -> Iterator[Seat]:
    """The seats of what was added."""
    return (seat for seat in plan.seats if seat.item not in base.item)


EXPECTED = re.compile(r"^(?P<part>.+?)(?:=(?P<count>\d{1,3}))?$", re.DOTALL)

USUAL = ("carrier-m2x2-x8-gen4", "carrier-m2x4-gen4", "carrier-switch-m2x4-x8-gen3")
"""A passive carrier for two, one for four, and one with a switch for four; where there is one."""


def expected_parts(arguments: Sequence[str], catalog: Catalog) -> list[Probe]:
    """`nvme-2280-gen4=4`: up to four of that part. Raises InputError with every mistake."""
    probes: list[Probe] = []
    mistakes: list[Mistake] = []
    for argument in arguments:
        name, equals, said = argument.rpartition("=")
        if equals and "{" not in argument and not said.isdigit():
            text = f"{argument}: write how many as a whole number, such as {name}=4"
            mistakes.append(Mistake("--expect", "", text))
            continue
        found = EXPECTED.match(argument)
        name, count = (found["part"], found["count"]) if found else (argument, None)
        number = int(count) if count else 1
        if not 1 <= number <= 64:
            mistakes.append(Mistake("--expect", "", f"{argument}: expected 1 to 64 of a part"))
            continue
        try:
            part = catalog.given(name, Part, "--expect")
        except InputError as error:
            mistakes += error.mistakes
        else:
            probes.append(expected(part, number))
    if mistakes:
        raise InputError(mistakes)
    return probes


def usual_carriers(catalog: Catalog) -> list[Part]:
    """Those of the usual carriers that the catalog has."""
    known = set(catalog.ids(Part))
    return [catalog.load(name, Part) for name in USUAL if name in known]
