"""Parts that may be added to a plan: how many of what, the build with them, likely futures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from slotfit.answers.place.left_out import without
from slotfit.load.build_file import References, items_of, sites_on
from slotfit.load.catalog import Catalog
from slotfit.load.checks import Complaints
from slotfit.load.entities import describe
from slotfit.load.findings import error_of
from slotfit.load.yaml_file import read_yaml
from slotfit.load.yaml_text import folder_of
from slotfit.model.build import BuildPart, Futures
from slotfit.model.part import Part
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seat
from slotfit.model.words import Stage


@dataclass(frozen=True, slots=True)
class Probe:
    """One kind of addition, and how many of it are tried at most."""

    name: str
    parts: tuple[tuple[Part, int], ...]
    """What one of it is made of: parts, each so many times."""
    wish: Mapping[str, Any] = field(default_factory=dict)
    """Wishes for the first part."""
    most: int = 8
    own_lanes: bool = False
    """It is to have lanes of its own, not share a chipset's or a switch's link upwards."""
    inside: bool = False
    """The further parts sit in the receptacles of the first one."""
    drives: int = 0
    """NVMe drives that one of it brings."""
    weight: float = 1
    """How likely it is, against other likely futures."""


def expected(part: Part, count: int) -> Probe:
    """An addition the user expects: up to `count` of one part."""
    name = f"{count} x {part.id}" if count > 1 else part.id
    drives = int(part.part_class == "drive" and any(link.bus == "pcie" for link in part.links))
    return Probe(name, ((part, 1),), most=count, drives=drives)


def together(
    probes: Sequence[Probe], name: str = "all of them together", weight: float = 1
) -> Probe:
    """All of several additions at once."""
    parts = tuple((part, each * probe.most) for probe in probes for part, each in probe.parts)
    return Probe(name, parts, most=1, weight=weight)


STILL_COUNT: tuple[Stage, ...] = ("bandwidth", "unproven-facts", "locality")
"""Preferences that an addition should harm no more than it must, once it moves the fewest parts."""

Entry = tuple[BuildPart, Part]
"""What a build file says of a part, and the part."""


def with_added(problem: Problem, probe: Probe, count: int) -> Problem:
    """The build with so many of an addition; further plugs of a part are items of their own."""
    items = [item for wish, part in added(problem, probe, count) for item in items_of(wish, part)]
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


def load_futures(path: Path, catalog: Catalog) -> tuple[Probe, ...]:
    """
    The likely futures that a file lists, each with its weight.

    Raises InputError with everything that is wrong in it.
    """
    written = read_yaml(path)
    outcome = describe(Futures, written)
    references = References(written, catalog, folder_of(path))
    references.mistakes += [*written.mistakes, *outcome.mistakes]
    found: list[Probe] = []
    if outcome.entity is not None:
        futures = outcome.entity.futures
        complaints = Complaints(written, outcome.lost, references.mistakes)
        complaints.unique([(one.id, one) for one in futures], "futures")
        for one in futures:
            parts = [
                (references.follow(wanted, "part", Part).entity, wanted.count)
                for wanted in one.parts
            ]
            probes = [expected(part, count) for part, count in parts if part is not None]
            found.append(together(probes, one.id, one.weight))
    if references.mistakes or not found:
        raise error_of(references.mistakes, written.file)
    return tuple(found)


@dataclass(frozen=True, slots=True)
class FuturesTaken:
    """Which of the likely futures fit beside a plan."""

    fits: tuple[str, ...]
    fails: tuple[str, ...]
    open: tuple[str, ...]
    """Time ran out."""
    share: float
    """Weight of those that fit, out of all; those that stayed open do not count."""


def futures_taken(futures: Sequence[Probe], fits: Mapping[str, bool | None]) -> FuturesTaken:
    """The futures by what became of them; None: it is not known."""
    names = {
        answer: tuple(one.name for one in futures if fits[one.name] is answer)
        for answer in (True, False, None)
    }
    weight = sum(one.weight for one in futures if fits[one.name])
    share = weight / sum(one.weight for one in futures)
    return FuturesTaken(names[True], names[False], names[None], share)
