"""
Every way from one layout to another, looked at breadth first.

A plain search over states that shares nothing with the solver: it judges layouts by the oracle
(tests/oracle), and demands by the words of the build file. Only for the smallest rebuilds.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import combinations, islice, product

from slotfit.model.build import Copy, Mirror, Service
from slotfit.model.problem import Problem
from slotfit.standards.forms import plug_fits
from tests.oracle.cost import moves, own_link
from tests.oracle.cost import short as short_in_all
from tests.oracle.judge import Choice, Judge
from tests.oracle.whole import Placed

Cost = tuple[int, ...]
"""Windows in which a machine is off, parts touched, what is missed, machines off, settings."""


@dataclass(frozen=True)
class State:
    """A layout with a past that still matters."""

    layout: int
    copied: tuple[bool, ...] = ()
    """Copies that are made when its stretch is over."""
    before: tuple[bool, ...] = ()
    """Those that were made when it began."""
    downs: tuple[int, ...] = ()
    """For each service the stretches between windows in which it was down."""
    homes: tuple[str, ...] = ()
    """For each mirror the machine in which its stretch is lived through."""


@dataclass
class Layout:
    """One way for everything to be."""

    places: Mapping[str, str]
    ways: Mapping[str, str]
    machine: Mapping[str, str]
    """Part -> the machine it runs in; those beside the machines have none."""
    short: Mapping[str, int]
    """Part that runs -> MB/s of its demand that do not get through."""
    lost: int
    """MB/s that get through the parts' own links, and not through those they share."""


@dataclass
class Search:
    """One rebuild."""

    problem: Problem
    """Without wishes: what they ask for is asked of the goal alone."""
    today: Mapping[str, str]
    ways_today: Mapping[str, str]
    goal: Mapping[str, str]
    ways_goal: Mapping[str, str]
    """Only of lane groups that a part at the goal depends on."""
    most_layouts: int
    """Not more are drawn up; with one more than these it is too large to search."""
    layouts: list[Layout] = field(default_factory=list)

    def __post_init__(self) -> None:
        self.judge = Judge(replace(self.problem, retire=()))  # what leaves is there on the way
        self.parts = {part.id: part for part in self.problem.parts}
        self.receptacles = {receptacle.id: receptacle for receptacle in self.problem.receptacles}
        self.asked = self.problem.sequence
        self.layouts = list(islice(self.every_layout(), self.most_layouts + 1))

    # --- layouts -------------------------------------------------------------

    def every_layout(self) -> Iterator[Layout]:
        """All that the oracle lets be."""
        groups = {
            f"{machine.id}/{group.id}": [str(way.id) for way in group.arrangements]
            for machine in self.problem.machines
            for group in machine.board.lane_groups
        }
        for places in self.every_place(list(self.parts), {}):
            seated = {i: s for i, s in places.items() if self.judge.chain(i, places)}
            for ways in product(*groups.values()):
                choice = Choice(seated, dict(zip(groups, ways, strict=True)))
                if not self.judge.judge(choice)[0]:
                    yield self.layout(places, choice)

    def every_place(self, parts: list[str], taken: dict[str, str]) -> Iterator[dict[str, str]]:
        """Every part in some receptacle or beside the machines; what is on a part stays on it."""
        if not parts:
            if not self.goes_round(taken):
                yield dict(taken)
            return
        first, rest = parts[0], parts[1:]
        yield from self.every_place(rest, taken)
        form = self.parts[first].spec.plug.form
        for receptacle in self.problem.receptacles:
            if receptacle.id not in taken.values() and plug_fits(form, receptacle.spec.form):
                yield from self.every_place(rest, {**taken, first: receptacle.id})

    def goes_round(self, places: Mapping[str, str]) -> bool:
        """Whether some parts carry one another."""
        for start in places:
            part, seen = start, {start}
            while part in places and not self.receptacles[places[part]].on_board:
                part = self.receptacles[places[part]].owner
                if part in seen:
                    return True
                seen.add(part)
        return False

    def layout(self, places: Mapping[str, str], choice: Choice) -> Layout:
        spots = {}
        for part in choice.places:
            chain = self.judge.chain(part, choice.places)
            assert chain is not None
            spots[part] = self.judge.sit(chain, choice.ways)[0]
        short = {}
        moving = {part: moves(self.parts[part], self.judge.serving) for part in spots}
        for part, spot in spots.items():
            carried = own_link(self.parts[part], spot)
            short[part] = sum(max(0, one - carried) for one in moving[part])
        plan = Placed(self.problem, self.parts, spots, choice.ways)
        whole = short_in_all(plan, moving)
        machine = {part: spot.machine.id for part, spot in spots.items()}
        return Layout(places, choice.ways, machine, short, whole - sum(short.values()))

    # --- demands -------------------------------------------------------------

    def data(self, part: str, *ends: Mapping[str, str]) -> tuple[str, ...]:
        """The drives on a part; else the part itself."""
        for places in ends:
            found = [
                one
                for one in places
                if self.parts[one].spec.part_class == "drive" and part in self.below(one, places)
            ]
            if found:
                return tuple(found)
        return (part,)

    def below(self, part: str, places: Mapping[str, str]) -> Iterator[str]:
        """The parts that a part sits on."""
        while part in places and not self.receptacles[places[part]].on_board:
            part = self.receptacles[places[part]].owner
            yield part

    def ends_of(self, copy: Copy) -> tuple[set[str], set[str]]:
        """What holds the data before, and after."""
        sources = {d for one in copy.from_ for d in self.data(one, self.today, self.goal)}
        return sources, {d for one in copy.to for d in self.data(one, self.goal, self.today)}

    def can_copy(self, copy: Copy, layout: Layout) -> bool:
        """Whether both ends run, where they can reach one another."""
        sources, targets = self.ends_of(copy)
        at = [{layout.machine.get(part) for part in end} for end in (sources, targets)]
        if None in at[0] | at[1] or len(at[0]) > 1 or len(at[1]) > 1:
            return False
        if copy.over == "machine":
            return at[0] == at[1]
        wired = {layout.machine.get(card) for card in copy.through}
        return not copy.through or (at[0] <= wired and at[1] <= wired)

    def in_turn(self, made: tuple[bool, ...]) -> bool:
        """Whether none is copied on that has not come yet; none may be asked to and fro."""
        ends = [self.ends_of(copy) for copy in self.asked.copies]
        return all(
            before or not made[number] or ends[number][0].isdisjoint(targets)
            for number in range(len(ends))
            for before, (_, targets) in zip(made, ends, strict=True)
        )

    def homes(self, service: Service, layout: Layout, copied: tuple[bool, ...]) -> set[str]:
        """The machines in which everything that a service needs runs."""
        found = set()
        for machine in self.problem.machines:
            here = {part for part, machine_id in layout.machine.items() if machine_id == machine.id}
            if all(self.met(need, here, copied) for need in service.needs):
                found.add(machine.id)
        return found

    def runs_today(self, service: Service) -> bool:
        """Of a service that does not, nothing is asked."""
        none = (False,) * len(self.asked.copies)
        return bool(self.homes(service, self.layouts[self.start], none))

    def met(self, need: str, here: set[str], copied: tuple[bool, ...]) -> bool:
        """One copy at most is asked for, so what is needed is at its one end or at its other."""
        data = set(self.data(need, self.today, self.goal))
        for copy, made in zip(self.asked.copies, copied, strict=True):
            sources, targets = self.ends_of(copy)
            if data <= targets or data <= sources:
                return sources <= here or (made and targets <= here)
        return data <= here

    def in_service(self, mirror: Mirror, layout: Layout, machine: str) -> set[str]:
        """Members that run in one machine."""
        return {
            one
            for one in mirror.parts
            if all(
                layout.machine.get(part) == machine
                for part in self.data(one, self.today, self.goal)
            )
        }

    def is_free(self, mirror: Mirror, copied: tuple[bool, ...]) -> bool:
        """Whether its data has been copied."""
        members = [set(self.data(one, self.today, self.goal)) for one in mirror.parts]
        return any(
            made and any(data <= self.ends_of(copy)[0] for data in members)
            for copy, made in zip(self.asked.copies, copied, strict=True)
        )

    # --- steps ---------------------------------------------------------------

    def within_reach(self, number: int) -> set[int]:
        """Layouts that differ in no more machines than may be off at once."""
        found: set[int] = set()
        for rest, layouts in self.alike.items():
            found.update(layouts.get(self.look(self.layouts[number], rest), ()))
        return found

    @cached_property
    def alike(self) -> dict[tuple[str, ...], dict[object, list[int]]]:
        """For every set of machines that stay on, the layouts by how these machines look."""
        machines = [machine.id for machine in self.problem.machines]
        stay = max(0, len(machines) - self.asked.at_once)
        found: dict[tuple[str, ...], dict[object, list[int]]] = {}
        for rest in combinations(machines, stay):
            by_look = found.setdefault(rest, {})
            for number, layout in enumerate(self.layouts):
                by_look.setdefault(self.look(layout, rest), []).append(number)
        return found

    def look(self, layout: Layout, machines: tuple[str, ...]) -> object:
        """What cannot come and go in some machines while they run, and how lanes are divided."""
        inside = {
            (i, layout.places[i])
            for i, home in layout.machine.items()
            if home in machines and not self.is_live(i, layout)
        }
        ways = {one for one in layout.ways.items() if one[0].split("/")[0] in machines}
        return frozenset(inside), frozenset(ways)

    @cached_property
    def steady(self) -> list[str]:
        """Parts with links that run at both ends."""
        goal = [i for i in self.goal if self.judge.chain(i, self.goal)]
        today = [i for i in self.today if self.judge.chain(i, self.today)]
        return [i for i in goal if i in today and self.parts[i].spec.links]

    @cached_property
    def start(self) -> int:
        return next(
            number
            for number, one in enumerate(self.layouts)
            if one.places == self.today and one.ways == self.ways_today
        )

    @cached_property
    def ends(self) -> set[int]:
        """Layouts that are the goal; parts that have no place there may lie anywhere beside it."""
        return {number for number, one in enumerate(self.layouts) if self.is_goal(one)}

    def is_goal(self, layout: Layout) -> bool:
        others = [part for part in layout.machine if part not in self.goal]
        return (
            all(layout.places.get(part) == receptacle for part, receptacle in self.goal.items())
            and all(layout.machine[part] in self.problem.retire for part in others)
            and all(layout.ways[group] == way for group, way in self.ways_goal.items())
        )

    def off(self, before: Layout, after: Layout) -> set[str]:
        """Machines that must be off for this step."""
        machines = {
            one.machine[part]
            for part in self.parts
            if before.places.get(part) != after.places.get(part)
            for one in (before, after)
            if part in one.machine
            and not (self.is_live(part, one) and self.may_be_out(part, before, after))
        }
        return machines | {
            group.split("/")[0] for group, way in after.ways.items() if before.ways[group] != way
        }

    def is_live(self, part: str, layout: Layout) -> bool:
        """Every socket says that it takes a part while the machine runs, up to a switch's."""
        receptacle = self.receptacles[layout.places[part]]
        if not receptacle.spec.live_swap:
            return False
        if receptacle.on_board or self.parts[receptacle.owner].spec.wiring == "switch":
            return True
        return self.is_live(receptacle.owner, layout)

    def may_be_out(self, part: str, before: Layout, after: Layout) -> bool:
        """It runs at one side only, or nobody misses it."""
        names = [name for one in self.asked.services for name in one.needs]
        names += [name for one in self.asked.mirrors for name in one.parts]
        missed = {data for name in names for data in self.data(name, self.today, self.goal)}
        for copy in self.asked.copies:
            sources, targets = self.ends_of(copy)
            missed |= sources | targets if missed & (sources | targets) else set()
        bears = any(one.owner == part for one in self.problem.receptacles)
        return (part not in missed and not bears) or not (
            part in before.machine and part in after.machine
        )

    def is_there(self, layout: Layout, window: int) -> bool:
        """Whether nothing is used before it has come."""
        for name, comes in self.asked.arrivals.items():
            if window >= comes:
                continue
            runs = [i for i, machine in layout.machine.items() if name in (i, machine)]
            moved = [
                part
                for part in self.parts
                if layout.places.get(part) != self.today.get(part)
                and (
                    part == name
                    or name in self.below(part, layout.places)
                    or name in self.below(part, self.today)
                )
            ]
            if runs or moved:
                return False
        return True

    def missed(self, layout: Layout, state: State) -> int:
        """Parts out or slow, mirrors not whole, shared links worse than usual, in a stretch."""
        worst = {
            part: max(self.layouts[n].short[part] for n in (self.start, self.one_end))
            for part in self.steady
        }
        parts = sum(layout.short.get(part, worst[part] + 1) > worst[part] for part in self.steady)
        mirrors = sum(
            len(self.in_service(mirror, layout, home)) < len(mirror.parts)
            and not self.is_free(mirror, state.before)
            for mirror, home in zip(self.asked.mirrors, state.homes, strict=True)
        )
        usual = max(self.layouts[number].lost for number in (self.start, self.one_end))
        return parts + mirrors + (layout.lost > usual)

    @cached_property
    def one_end(self) -> int:
        return min(self.ends)


@dataclass(frozen=True)
class Fewest:
    """The answer: the fewest windows, and the least cost of a sequence with so many."""

    windows: int
    cost: Cost


def fewest(search: Search) -> Fewest | None:
    """One window more at a time; None if `most_windows` do not do."""
    reached: dict[State, Cost] = dict.fromkeys(beginnings(search), (0,) * 5)
    for window in range(search.asked.most_windows + 1):
        done = [
            cost
            for state, cost in reached.items()
            if state.layout in search.ends and all(state.copied)
        ]
        if done:
            return Fewest(window, min(done))
        reached = step(search, reached, window + 1)
    return None


def beginnings(search: Search) -> Iterator[State]:
    """Today, with any of the copies that can be made at once made or not."""
    none = (False,) * len(search.asked.copies)
    for copied in copies_made(search, search.start, none):
        for homes in product(search.judge.machines, repeat=len(search.asked.mirrors)):
            yield State(search.start, copied, none, (0,) * len(search.asked.services), homes)


def copies_made(
    search: Search, layout: int, copied: tuple[bool, ...]
) -> Iterator[tuple[bool, ...]]:
    """What may be copied by the end of a stretch."""
    can = [
        {made, made or search.can_copy(copy, search.layouts[layout])}
        for made, copy in zip(copied, search.asked.copies, strict=True)
    ]
    yield from (made for made in product(*can) if search.in_turn(made))


def step(search: Search, reached: Mapping[State, Cost], window: int) -> dict[State, Cost]:
    """
    Every state after one window more.

    What is missed in the stretch before is counted when the next window begins, because the last
    stretch does not count: it is the goal.
    """
    found: dict[State, Cost] = {}
    for state, cost in reached.items():
        left = leave(search, state, cost, window)
        if left is None:
            continue
        downs, spent = left
        before = search.layouts[state.layout]
        for number in search.within_reach(state.layout):
            after = search.layouts[number]
            priced = passes(search, state, before, after, window)
            if priced is None:
                continue
            worth = tuple(map(sum, zip(spent, priced, strict=True)))
            for copied, homes in product(
                copies_made(search, number, state.copied), new_homes(search, state, before, after)
            ):
                made = State(number, copied, state.copied, downs, homes)
                found[made] = min(worth, found.get(made, worth))
    return found


def new_homes(
    search: Search, state: State, before: Layout, after: Layout
) -> Iterator[tuple[str, ...]]:
    """Where each mirror may live on: enough members in service before and after the window."""
    yield from product(
        *(
            [
                there
                for there in search.judge.machines
                if search.is_free(mirror, state.copied)
                or len(
                    search.in_service(mirror, before, home)
                    & search.in_service(mirror, after, there)
                )
                >= mirror.keep
            ]
            for mirror, home in zip(search.asked.mirrors, state.homes, strict=True)
        )
    )


def leave(
    search: Search, state: State, cost: Cost, window: int
) -> tuple[tuple[int, ...], Cost] | None:
    """The stretch before `window` is over: services that were down in it, and what was missed."""
    if window == 1:
        return state.downs, cost
    layout = search.layouts[state.layout]
    down = [not search.homes(one, layout, state.copied) for one in search.asked.services]
    downs = tuple(before + now for before, now in zip(state.downs, down, strict=True))
    if any(
        n > one.may_be_down and search.runs_today(one)
        for n, one in zip(downs, search.asked.services, strict=True)
    ):
        return None
    used, touches, missed, off, changes = cost
    missed += sum(down) + search.missed(layout, state)
    return downs, (used, touches, missed, off, changes)


def passes(search: Search, state: State, before: Layout, after: Layout, window: int) -> Cost | None:
    """What one window costs; None if it cannot be."""
    off = search.off(before, after)
    if len(off) > search.asked.at_once or not search.is_there(after, window):
        return None
    for service in search.asked.services:
        agreed = service.windows is None or window in service.windows
        if search.runs_today(service) and not agreed:
            homes = search.homes(service, before, state.copied)
            if homes and homes <= off:
                return None
    touches = sum(before.places.get(i) != after.places.get(i) for i in search.parts)
    changes = sum(before.ways[group] != way for group, way in after.ways.items())
    return (bool(off), touches, 0, len(off), changes)
