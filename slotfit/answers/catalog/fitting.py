"""A machine round a board, and parts that have room in it: what a build can begin with."""

from __future__ import annotations

import json
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from pathlib import Path
from typing import Any

from slotfit.answers.place.plan import best_plan
from slotfit.engine.seats import seat_all
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.load.edit import Edit, Put, Remove
from slotfit.model.machine import Chassis
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.model.words import PartClass, Stage
from slotfit.rulebook import SEAT_RULES

Entry = Mapping[str, Any]
"""One of a build's parts, as the file has it."""

AIMS: tuple[Stage, ...] = ("dark-endpoints", "unproven-facts")
MOST_TRIED = 3
"""Parts of a class that are placed with the others, of those that have a seat by themselves."""


def fitted(build: Mapping[str, Any], catalog: Catalog, folder: Path) -> Iterator[Edit]:
    """
    What to change in a build of one machine so that it places: the chassis and the parts.

    What is in it comes first, then the catalog's own by id; the rules say what fits. A part goes
    where neither it nor any of its class has room. Paths in the build are relative to `folder`.
    """
    begun = Beginning(build, catalog, folder)
    entries: tuple[Entry, ...] = build["parts"]
    if begun.plan(entries):
        return
    chassis = begun.best_chassis(entries)
    yield Put(("machines", 0, "chassis"), chassis)
    begun = begun.with_chassis(chassis)
    found = begun.filled(entries)
    for number, entry in reversed([*enumerate(entries)]):
        now = found.get(entry["id"])
        if now is None:
            yield Remove(("parts", number))
        elif now != entry:
            yield Put(("parts", number), now)


@dataclass(frozen=True, slots=True)
class Beginning:
    """A build in the making."""

    build: Mapping[str, Any]
    catalog: Catalog
    folder: Path

    def with_chassis(self, chassis: str) -> Beginning:
        machine = {**self.build["machines"][0], "chassis": chassis}
        return replace(self, build={**self.build, "machines": [machine]})

    def problem(self, entries: Sequence[Entry]) -> Problem:
        """The build with these parts."""
        text = json.dumps({**self.build, "parts": entries})
        problem = load_build_text(text, self.catalog, beside=self.folder)
        return replace(problem, preferences=AIMS)

    def plan(self, entries: Sequence[Entry]) -> Plan | None:
        """The plan with the fewest links that stay dark; None if there is none."""
        return best_plan(self.problem(entries)).plan

    def seats(self, names: Sequence[str], beside: Sequence[Entry] = ()) -> dict[str, list[Seat]]:
        """Catalog part -> the seats that it has by itself, or on a part beside it."""
        trials = {f"trial-{number}": name for number, name in enumerate(names)}
        listed = [{"id": trial, "part": name} for trial, name in trials.items()]
        problem = self.problem([*beside, *listed])
        others = tuple(one for one in problem.receptacles if one.owner not in trials)
        by_part = seat_all(replace(problem, receptacles=others), SEAT_RULES).by_part
        return {name: by_part[trial] for trial, name in trials.items() if trial in by_part}

    def kin(self, kind: PartClass) -> list[str]:
        """The catalog's parts of a class."""
        parts = self.catalog.every(PartSpec)
        sound = (one.entity for one in parts if one.entity and not one.mistakes)
        return [part.id for part in sound if part.part_class == kind]

    def best_chassis(self, entries: Sequence[Entry]) -> str:
        """
        The chassis in which most of these parts have a seat; where none has one, most risers have.

        Among equals the one with as many openings as the board's first row, then the build's own.
        """
        own: str = self.build["machines"][0]["chassis"]
        names = [own, *(name for name in self.catalog.ids(Chassis) if name != own)]
        begun = {name: self.with_chassis(name) for name in names}
        for parts in ([entry["part"] for entry in entries], self.kin("riser")):
            seated = {name: len(one.seats(parts)) for name, one in begun.items()}
            if most := max(seated.values()):
                names = [name for name in names if seated[name] == most]
                break
        return min(names, key=lambda name: begun[name].openings_apart())

    def openings_apart(self) -> int:
        """How far the chassis' openings are from the positions of the board's first row."""
        machine = self.problem(()).machines[0]
        rows, openings = machine.board.rows, machine.chassis.openings if machine.chassis else None
        return abs(rows[0].positions - openings) if rows and openings is not None else 0

    def filled(self, entries: Sequence[Entry]) -> dict[str, Entry]:
        """By id what has room together: each entry, with another part of its class or fewer."""
        found: dict[str, Entry] = {}
        for entry in entries:
            if chosen := self.chosen(entry, [*found.values()]):
                found[entry["id"]] = chosen
        return found

    def chosen(self, entry: Entry, beside: list[Entry]) -> Entry | None:
        """The entry, with another part of its class or fewer if need be; None if nothing fits."""
        if self.plan([*beside, entry]):
            return entry
        kind = self.catalog.load(entry["part"], PartSpec).part_class
        names = self.likely(dict.fromkeys((entry["part"], *self.kin(kind))), beside)
        fewer = [{**entry, "count": 1}] if entry.get("count", 1) > 1 else []
        for asked in (entry, *fewer):
            trials = [{**asked, "part": name} for name in names]
            plans = [(trial, self.plan([*beside, trial])) for trial in trials]
            placed = [(trial, cost_of(plan)) for trial, plan in plans if plan]
            if placed:
                return min(placed, key=lambda pair: pair[1])[0]
        return None

    def likely(self, names: Iterable[str], beside: Sequence[Entry]) -> list[str]:
        """A few that have a seat where every link trains, those with the fewest doubts first."""
        doubts = {
            name: min(len(seat.facts) for seat in seats if not seat.dark)
            for name, seats in self.seats([*names], beside).items()
            if not all(seat.dark for seat in seats)
        }
        return sorted(doubts, key=doubts.__getitem__)[:MOST_TRIED]


def cost_of(plan: Plan) -> tuple[int, int]:
    """Links that stay dark, and facts that nobody has proven."""
    return sum(seat.dark for seat in plan.seats), len(plan.facts)
