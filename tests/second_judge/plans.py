"""
All plans of a small build of which everything is known, and the best of them.

What must be is told in docs/reference/rules.md and files.md, rows by presence in lanes.md, what is
best in preferences.md.
"""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import dataclass
from functools import cached_property
from itertools import product
from typing import Any

from tests.second_judge.build import Build, Group, Part, Site, Way, goes
from tests.second_judge.links import Plan
from tests.second_judge.stages import JUDGED, bodies, far

BAYS = ("u2", "u3")
"""Forms that are drive bays themselves."""

Divided = dict[str, int]
"""Lane group -> number of its arrangement."""


def natural(name: str) -> list[tuple[int, str]]:
    """`nic2` before `nic10`."""
    return [(int(one), "") if one.isdigit() else (0, one) for one in re.split(r"(\d+)", name)]


@dataclass(frozen=True)
class Candidate:
    """A plan that keeps all that must be."""

    plan: Plan
    ways: Divided


def named(site: Site, names: list[str]) -> bool:
    """Whether a receptacle is among those named; a part's name stands for all that it bears."""
    return site.id in names or site.part in names


def wide_enough(site: Site, part: Part) -> bool:
    """A 3.5-inch disk goes into no smaller bay; the size of either is known where it matters."""
    return part.said.get("bay", "2.5") == "2.5" or site.said.get("bay", "3.5") == "3.5"


@dataclass(frozen=True)
class Judge:
    """One build."""

    build: Build

    # --- one part in one receptacle

    @cached_property
    def places(self) -> dict[str, list[str]]:
        """Where each part could go by itself."""
        return {
            part.id: [site.id for site in self.build.sites.values() if self.takes(site, part)]
            for part in self.build.parts.values()
        }

    def takes(self, site: Site, part: Part) -> bool:
        return (
            site.part != part.whole
            and goes(part.form, {site.said["form"]})
            and self.wished(site, part)
            and (site.said["form"] != "cem" or self.room(site, part))
            and self.stand_off(site, part)
            and wide_enough(site, part)
            and float(part.said.get("power", {}).get("slot_w", 0)) <= site.said.get("power_w", 1e9)
        )

    def wished(self, site: Site, part: Part) -> bool:
        wish = part.wish
        return (
            not ({part.id, wish["id"]} & self.build.retired)
            and site.machine not in self.build.retired
            and wish.get("pin", site.id) == site.id
            and ("only" not in wish or named(site, wish["only"]))
            and not named(site, wish.get("ban", []))
        )

    def room(self, site: Site, part: Part) -> bool:
        """A card in a slot."""
        case = self.build.machines[site.machine]["chassis"] if site.machine else {}
        length = min(site.said.get("length_mm", 1e9), case.get("card_length_mm", 1e9))
        height = min(site.said.get("height_mm", 1e9), case.get("card_height_mm", 1e9))
        opening = site.said.get("bracket", case.get("bracket"))
        longer = (part.width or 0) > site.said["width"]
        return (
            not (longer and not (site.said["open_end"] and site.said["behind_mm"] >= 100))
            and part.said["length_mm"] <= length
            and part.said["height_mm"] <= height
            and part.said["bracket"] in {"both", "none", opening}
            and self.covers(site, part, case)
        )

    def covers(self, site: Site, part: Part, case: Mapping[str, Any]) -> bool:
        """Whether the row and the openings beside it are long enough."""
        end = site.said["position"] + part.said["thickness"]
        if site.machine is None:
            return bool(end <= self.build.parts[site.part or ""].said["row_positions"])
        rows = {row["id"]: row["positions"] for row in self.build.board(site.machine)["rows"]}
        return bool(end <= min(rows[site.said["row"]], case["openings"]))

    def stand_off(self, site: Site, part: Part) -> bool:
        lengths = site.said.get("drive_lengths")
        return lengths is None or part.said["length_mm"] in lengths

    # --- all seats

    def seatings(self) -> Iterator[dict[str, str]]:
        """Every way of seating parts without regard to lanes."""
        names = list(self.build.parts)
        choices = [[*self.places[name], *([] if self.required(name) else [None])] for name in names]
        for chosen in product(*choices):
            seats = {name: site for name, site in zip(names, chosen, strict=True) if site}
            if len(set(seats.values())) == len(seats) and self.stands(seats):
                yield seats

    def required(self, name: str) -> bool:
        part = self.build.parts[name]
        retired = bool({name, part.wish["id"]} & self.build.retired)
        return bool(part.wish.get("required", True)) and not retired

    def stands(self, seats: Mapping[str, str]) -> bool:
        """What bears each part is there; nothing is in the way of anything; watts and plugs do."""
        sites = self.build.sites
        if any(sites[at].part not in {None, *seats} for at in seats.values()):
            return False
        plan = Plan(self.build, seats, {})
        return (
            not circular(plan)
            and apart(plan)
            and not blocked(plan)
            and self.powered(plan)
            and self.bays_do(plan)
            and self.air_does(plan)
            and all(
                plan.part(name).wish.get("machine") in {None, self.machine_of(plan, name)}
                for name in seats
            )
        )

    def machine_of(self, plan: Plan, name: str) -> str:
        return self.build.sites[plan.root(name)].machine or ""

    def powered(self, plan: Plan) -> bool:
        """Each slot for the pile on it, each supply for its machine."""
        piles: Counter[str] = Counter()
        drawn: Counter[str] = Counter()
        plugs: dict[str, Counter[str]] = {name: Counter() for name in self.build.machines}
        for name in plan.seats:
            power = plan.part(name).said.get("power", {})
            piles.update(dict.fromkeys(plan.below(name), power.get("slot_w", 0)))
            machine = self.machine_of(plan, name)
            drawn[machine] += power.get("slot_w", 0) + power.get("aux_w", 0)
            plugs[machine].update(power.get("aux", ()))
        return all(
            watts <= self.build.sites[at].said.get("power_w", 1e9) for at, watts in piles.items()
        ) and all(self.supplied(name, drawn[name], plugs[name]) for name in self.build.machines)

    def supplied(self, machine: str, drawn: float, plugs: Counter[str]) -> bool:
        said = self.build.machines[machine]
        supply = said["power_supply"]
        limit = supply["watts"] * said.get("supply_limit_percent", 100) / 100
        eight, six = supply["plugs"].get("pcie-8", 0), supply["plugs"].get("pcie-6", 0)
        enough = plugs["pcie-8"] <= eight and plugs["pcie-8"] + plugs["pcie-6"] <= eight + six
        return enough and said["base_w"] + drawn <= limit

    def bays_do(self, plan: Plan) -> bool:
        """
        Drives on cables: a 2.5-inch one also goes into a larger bay.

        What sits in a receptacle that is a bay itself hangs on no cable.
        """
        for machine, said in self.build.machines.items():
            wanted = Counter(
                plan.part(name).said["bay"]
                for name in plan.seats
                if "bay" in plan.part(name).said
                and self.build.sites[plan.seats[name]].said["form"] not in BAYS
                and self.machine_of(plan, name) == machine
            )
            small, large = (said["chassis"]["bays"].get(size, 0) for size in ("2.5", "3.5"))
            if wanted["3.5"] > large or wanted.total() > small + large:
                return False
        return True

    def air_does(self, plan: Plan) -> bool:
        return all(
            plan.part(name).said.get("cooling") != "passive"
            or plan.part(name).said["airflow_lfm"]
            <= self.build.machines[self.machine_of(plan, name)]["chassis"]["airflow_lfm"]
            for name in plan.seats
        )

    # --- lanes

    def candidates(self) -> Iterator[Candidate]:
        """Every plan."""
        keys = list(self.build.groups)
        for seats in self.seatings():
            filled = set(seats.values())
            choices = [self.ways_open(self.build.groups[key], filled) for key in keys]
            for numbers in product(*choices):
                ways = dict(zip(keys, numbers, strict=True))
                division = {
                    key: self.build.groups[key].ways[number].gives for key, number in ways.items()
                }
                plan = Plan(self.build, seats, division)
                if self.runs(plan) and self.in_company(plan) and self.guests_do(plan):
                    yield Candidate(plan, ways)

    def ways_open(self, group: Group, filled: set[str]) -> list[int]:
        """Numbers of the arrangements that can hold with these receptacles filled."""
        good = [n for n, way in enumerate(group.ways) if way.said.get("proof") != "refuted"]
        if group.ways[0].said.get("chosen_by") != "presence":
            return good
        several = len(self.build.machines) > 1
        own = {
            name
            for way in group.ways
            for name in way.gives
            if (f"{group.machine}/{name}" if several else name) in filled
        }
        always = in_no_way(group)
        if not own - always:
            return [min(good, key=lambda n: len(group.ways[n].gives))]
        exact = [n for n in good if set(group.ways[n].gives) - always == own - always]
        return exact or smallest(group.ways, good, own)

    def runs(self, plan: Plan) -> bool:
        return all(self.link_does(plan, name) for name in plan.seats)

    def link_does(self, plan: Plan, name: str) -> bool:
        part, trained = plan.part(name), plan.trained(name)
        if not part.links:
            return True
        alive = [one for one in trained if one.lanes]
        wish = part.wish
        lanes = max(wish.get("min_lanes", 0), part.said.get("min_lanes", 0))
        generation = max(wish.get("min_generation", 0), part.said.get("min_generation", 0))
        return (
            bool(alive)
            and len(alive) >= wish.get("endpoints", 0)
            and all(one.lanes >= lanes for one in alive)
            and all((one.generation or 1) >= generation for one in alive)
            and (not wish.get("must_be_near") or not far(plan, name))
        )

    def guests_do(self, plan: Plan) -> bool:
        """
        Whatever shares an isolation group goes to one guest whole, or stays with the host.

        A SATA drive on a port of the board goes where the port's controller goes; one on an adapter
        goes with that.
        """
        guests: dict[object, set[str | None]] = {}
        drives: dict[object, set[str | None]] = {}
        for name in plan.seats:
            site = self.build.sites[plan.root(name)]
            on_pcie = pcie_in(plan.part(name))
            if "isolation" in site.said and (on_pcie or plan.seats[name] == plan.root(name)):
                owners = guests if on_pcie else drives
                group = (site.machine, site.said["isolation"])
                owners.setdefault(group, set()).add(plan.part(name).wish.get("guest"))
        return all(len(one | drives.get(at, set())) == 1 for at, one in guests.items())

    def in_company(self, plan: Plan) -> bool:
        groups = self.build.said
        return all(
            len(set(self.shares(plan, group))) <= 1 for group in groups.get("together", ())
        ) and all(distinct(self.shares(plan, group)) for group in groups.get("apart", ()))

    def shares(self, plan: Plan, group: Mapping[str, Any]) -> list[object]:
        """What each placed part of a group hangs on."""
        return [
            self.hangs_on(plan, name, group.get("by", "machine"))
            for name in plan.seats
            if {name, plan.part(name).wish["id"]} & set(group["parts"])
        ]

    def hangs_on(self, plan: Plan, name: str, by: str) -> object:
        root = plan.root(name)
        if by == "machine":
            return self.machine_of(plan, name)
        if by == "lane-group":
            return self.build.group_of[root]
        if by == "carrier":
            return self.build.sites[plan.seats[name]].part or f"alone {name}"
        if by == "hub":
            group = self.build.groups[self.build.group_of[root]]
            on_hub = group.source in self.build.hubs(group.machine)
            return (group.machine, group.source) if on_hub else f"alone {name}"
        return plan.processor(name)

    # --- the best

    def facts(self, one: Candidate) -> int:
        """Arrangements in use that nobody has proven, and ways of filling that no row names."""
        filled = set(one.plan.seats.values())
        used = {
            self.build.group_of[one.plan.root(name)]
            for name in one.plan.seats
            if one.plan.part(name).links
        }
        return sum(self.unproven(self.build.groups[key], one.ways[key], filled) for key in used)

    def unproven(self, group: Group, number: int, filled: set[str]) -> int:
        proof = group.ways[number].said.get("proof")
        return (proof == "menu-only") + (not self.row_holds(group, number, filled))

    def row_holds(self, group: Group, number: int, filled: set[str]) -> bool:
        if group.ways[0].said.get("chosen_by") != "presence":
            return True
        always, several = in_no_way(group), len(self.build.machines) > 1
        named_here = set(group.ways[number].gives) - always
        others = {name for way in group.ways for name in way.gives} - always
        own = {n for n in others if (f"{group.machine}/{n}" if several else n) in filled}
        return named_here == own

    def figure(self, stage: str, one: Candidate) -> int:
        return self.facts(one) if stage == "unproven-facts" else JUDGED[stage](one.plan)

    def best(self) -> list[Candidate]:
        """All plans that no other is better than, in the stages."""
        left = list(self.candidates())
        for stage in self.build.stages:
            if len(left) > 1:
                figures = [self.figure(stage, one) for one in left]
                least = min(figures)
                left = [one for one, figure in zip(left, figures, strict=True) if figure == least]
        return left

    def first(self) -> Candidate | None:
        """The one that the fixed tie-break decides for."""
        return min(self.best(), key=self.rank, default=None)

    def rank(self, one: Candidate) -> tuple[Any, ...]:
        groups = sorted(self.build.groups, key=natural)
        steps = [self.steps_down(key, one.ways[key]) for key in groups]
        names = sorted(self.build.parts, key=natural)
        seats = [one.plan.seats.get(name) for name in names]
        return sum(steps), [(seat is None, natural(seat or "")) for seat in seats], steps

    def steps_down(self, key: str, number: int) -> int:
        """Steps down the list of arrangements; today's counts as the first."""
        ids = [way.said.get("id") for way in self.build.groups[key].ways]
        today = self.build.said.get("sequence", {}).get("settings_today", {}).get(key)
        if today is None:
            return number
        first = ids.index(today)
        return 0 if number == first else number + (number < first)


def distinct(things: list[object]) -> bool:
    return len(set(things)) == len(things)


def in_no_way(group: Group) -> set[str]:
    """Those of the row that holds with nothing plugged in, unless two rows differ by one alone."""
    rows = [set(way.gives) for way in group.ways]
    told = {name for row in rows if len(row) > 1 for name in row if row - {name} in rows}
    return min(rows, key=len) - told


def pcie_in(part: Part) -> bool:
    return any(link.bus == "pcie" for link in part.links)


def smallest(ways: tuple[Way, ...], good: list[int], own: set[str]) -> list[int]:
    """The smallest row that has lanes for all that is filled."""
    enough = [n for n in good if own <= set(ways[n].gives)]
    fewest = min((len(ways[n].gives) for n in enough), default=0)
    return [n for n in enough if len(ways[n].gives) == fewest]


def circular(plan: Plan) -> bool:
    """Whether some pile stands on no board."""
    for name in plan.seats:
        site, steps = plan.build.sites[plan.seats[name]], 0
        while site.part is not None:
            site, steps = plan.build.sites[plan.seats[site.part]], steps + 1
            if steps > len(plan.seats):
                return True
    return False


def apart(plan: Plan) -> bool:
    """No two bodies in one place of a row."""
    taken = [
        (body.row, position) for body in bodies(plan) for position in range(body.start, body.end)
    ]
    return len(set(taken)) == len(taken)


def blocked(plan: Plan) -> bool:
    """Whether a part sits over another's receptacle, as the board says."""
    filled = set(plan.seats.values())
    for at in filled:
        site = plan.build.sites[at]
        prefix = f"{site.machine}/" if "/" in at and site.part is None else ""
        if any(prefix + name in filled for name in site.said.get("blocked_by", ())):
            return True
    return False
