"""Parts that may be added to a plan: how many of what, the build with them, likely futures."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path
from typing import Any

from slotfit.answers.no_plan.changed import with_parts
from slotfit.answers.place.left_out import without
from slotfit.hardware.flow import FLOWS
from slotfit.load.build_file import References, parts_of
from slotfit.load.catalog import Catalog
from slotfit.load.checks import Complaints
from slotfit.load.entities import describe
from slotfit.load.findings import error_of
from slotfit.load.yaml_file import read_yaml
from slotfit.load.yaml_text import folder_of
from slotfit.model.build import BuildPart, Futures
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seat
from slotfit.model.words import Stage


@dataclass(frozen=True, slots=True)
class Probe:
    """One kind of addition, and how many of it are tried at most."""

    name: str
    parts: tuple[tuple[PartSpec, int], ...]
    """What one of it is made of: parts, each so many times."""
    wish: Mapping[str, Any] = field(default_factory=dict)
    """Wishes for the first part."""
    most: int = 8
    own_lanes: bool = False
    """It is to have lanes of its own, not share a chipset's or a switch's uplink."""
    inside: bool = False
    """The further parts sit in the receptacles of the first one."""
    drives: int = 0
    """NVMe drives that one of it brings."""
    weight: float = 1
    """How likely it is, against other likely futures."""


def expected(spec: PartSpec, count: int) -> Probe:
    """An addition the user expects: up to `count` of one part."""
    name = f"{count} x {spec.id}" if count > 1 else spec.id
    drives = int(spec.part_class == "drive" and any(link.bus == "pcie" for link in spec.links))
    return Probe(name, ((spec, 1),), most=count, drives=drives)


def together(
    probes: Sequence[Probe], name: str = "all of them together", weight: float = 1
) -> Probe:
    """All of several additions at once."""
    parts = tuple((spec, each * probe.most) for probe in probes for spec, each in probe.parts)
    return Probe(name, parts, most=1, weight=weight)


STILL_COUNT: tuple[Stage, ...] = (*FLOWS, "unproven-facts", "locality")
"""Preferences that an addition should harm no more than it must, once it moves the fewest parts."""

Entry = tuple[BuildPart, PartSpec]
"""What a build file says of a part, and the part."""


def with_added(problem: Problem, probe: Probe, count: int) -> Problem:
    """The build with so many of an addition; further plugs of a part are parts of their own."""
    more = [part for wish, spec in added(problem, probe, count) for part in parts_of(wish, spec)]
    return with_parts(problem, (*problem.parts, *more))


def added(problem: Problem, probe: Probe, count: int) -> list[Entry]:
    """So many of an addition, all required; the probe's wishes go to its first part."""
    numbers: Counter[str] = Counter()
    shared = shared_receptacles(problem) if probe.own_lanes else ()
    made: list[Entry] = []
    plugs = {spec.plug.form for spec, _ in probe.parts[1:]}
    sockets: list[str] = []
    for place, (spec, each) in enumerate(probe.parts):
        for _ in range(count * each):
            name = fresh(problem, spec, numbers)
            wishes: dict[str, object] = {}
            if place == 0:
                wishes = {**probe.wish, "ban": shared}
                sockets += [f"{name}/{one.id}" for one in spec.receptacles if one.form in plugs]
            elif probe.inside:
                wishes = {"pin": sockets.pop(0)}
            made.append((BuildPart.model_validate({"id": name, "part": spec.id, **wishes}), spec))
    return made


def fresh(problem: Problem, spec: PartSpec, numbers: Counter[str]) -> str:
    """A name that no part has: `new-nvme-2280-gen4-1`."""
    stem = f"new-{spec.id[:60]}"
    while True:
        numbers[stem] += 1
        name = f"{stem}-{numbers[stem]}"
        if name not in problem.part:
            return name


def shared_receptacles(problem: Problem) -> tuple[str, ...]:
    """Board receptacles whose lanes come from a chipset or an on-board switch."""
    return tuple(
        receptacle.id
        for receptacle in problem.receptacles
        if receptacle.on_board
        and (group := problem.machine[receptacle.owner].group_of.get(receptacle.spec.id))
        and group.from_ in problem.machine[receptacle.owner].hubs
    )


def keeping(problem: Problem, plan: Plan) -> Problem:
    """
    The build with the plan as today's layout, and what the plan leaves out left out.

    Moving a part is what an addition costs; no part may get fewer lanes or endpoints than now.
    """
    seats = {seat.part: seat for seat in plan.seats}
    kept = without(problem, plan.left_out)
    still = tuple(stage for stage in problem.preferences if stage in STILL_COUNT)
    return replace(
        kept,
        parts=tuple(as_good(part, seats[part.id]) for part in kept.parts),
        today={part: seat.receptacle for part, seat in seats.items()},
        preferences=("moves", *still),
    )


def as_good(part: Part, seat: Seat) -> Part:
    """The part, required, and required to train as well as it does now."""
    alive = [link for link in seat.links if link.lanes]
    speeds = [link.generation for link in alive if link.generation and link.bus == "pcie"]
    update: dict[str, object] = {"required": True}
    if alive:
        update |= {
            "min_lanes": min(link.lanes for link in alive),
            "endpoints": seat.alive,
            "min_generation": min(speeds, default=None),
        }
    return replace(part, wish=part.wish.model_copy(update=update))


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
                (references.follow(wanted, "part", PartSpec).entity, wanted.count)
                for wanted in one.parts
            ]
            probes = [expected(spec, count) for spec, count in parts if spec is not None]
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
