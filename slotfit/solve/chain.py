"""
Layouts one after the other, and what is touched and switched off between them.

One layout is rows of a model, worked out once with variables counted from 0 and stamped once for
every stretch between two windows; a stamp only moves the numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from slotfit.hardware.live import takes_live
from slotfit.listing import natural
from slotfit.model.clause import arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.seat import Seat
from slotfit.model.windows import Layout, MirrorJob, ServiceJob, Task
from slotfit.solve.engine import FAR, Model, Term
from slotfit.solve.frame import Row, Worth, merged, row_of, sorted_out, together, ways_in, worths

Spot = tuple[str, str]
"""Part id and receptacle id."""


@dataclass
class Layer:
    """A layout's variables, numbered from 0, and its rows."""

    task: Task
    worth: Mapping[str, Worth]
    one_of: list[str] = field(default_factory=list)
    """For each variable a word; of those with one word at most one is 1."""
    seats: list[list[Seat]] = field(default_factory=list)
    """For each of the first variables the seats that share it."""
    number: dict[str, int | None] = field(default_factory=dict)
    """Atom -> variable."""
    rests: dict[Spot, int] = field(default_factory=dict)
    """Part and socket of a part -> variable: the part is in it, in a machine or beside it."""
    rows: list[Row] = field(default_factory=list)
    live: frozenset[str] = frozenset()
    """Keys of seats that a part can take and leave while the machine runs."""

    @cached_property
    def at(self) -> Mapping[str, Mapping[str, list[int]]]:
        """Part -> receptacle -> variables of which one is 1 where the part is there."""
        found: dict[str, dict[str, list[int]]] = {}
        for (part, receptacle), variable in self.rests.items():
            found.setdefault(part, {})[receptacle] = [variable]
        for variable, same in enumerate(self.seats):
            part, receptacle = same[0].part, same[0].receptacle
            if (part, receptacle) not in self.rests:
                found.setdefault(part, {}).setdefault(receptacle, []).append(variable)
        return found

    @cached_property
    def in_machine(self) -> Mapping[str, Mapping[str, list[int]]]:
        """Part -> machine -> variables of which one is 1 where the part runs there."""
        found: dict[str, dict[str, list[int]]] = {}
        for variable, same in enumerate(self.seats):
            by_machine = found.setdefault(same[0].part, {})
            by_machine.setdefault(same[0].upstream.machine, []).append(variable)
        return found

    def live_in(self, part: str, machine: str) -> tuple[list[int], list[int]]:
        """Of the variables by which a part runs in a machine the live ones, and the others."""
        found = self.in_machine.get(part, {}).get(machine, ())
        live = [one for one in found if self.seats[one][0].key in self.live]
        return live, [one for one in found if one not in live]

    @cached_property
    def ways(self) -> Mapping[GroupKey, Mapping[str, int]]:
        """Lane group -> arrangement -> variable."""
        found: dict[GroupKey, dict[str, int]] = {}
        for group, way in ways_in(self.task.problem):
            found.setdefault(group, {})[way] = self.number[arrangement(group, way)] or 0
        return found

    def variable(self, one_of: str) -> int:
        """A new one."""
        self.one_of.append(one_of)
        return len(self.one_of) - 1

    def stamp(self, model: Model, fixed: Mapping[int, int], *, bare: bool = False) -> int:
        """
        The layout in a model; returns what to add to a variable's number here.

        `fixed` has values that are settled; `bare` leaves the rows out where all of them are.
        """
        base = len(model.domains)
        for number, word in enumerate(self.one_of):
            low, high = (fixed[number],) * 2 if number in fixed else (0, 1)
            model.variable(low, high, f"{base} {word}")
        for terms, low, high in () if bare else self.rows:
            model.row([(variable + base, weight) for variable, weight in terms], low, high)
        return base

    def values_of(self, layout: Layout) -> dict[int, int]:
        """Every variable's value in a layout that is known to the last seat."""
        keys = {seat.key for seat in layout.seats}
        values = {v: int(any(s.key in keys for s in same)) for v, same in enumerate(self.seats)}
        for (part, receptacle), variable in self.rests.items():
            values[variable] = int(layout.places.get(part) == receptacle)
        for group, ways in self.ways.items():
            for way, variable in ways.items():
                values[variable] = int(layout.arrangements[group] == way)
        return values


def layer_of(task: Task) -> Layer:
    """The template of a task's layouts."""
    layer = Layer(task, worths(task.problem, task.seating), live=live_keys(task))
    clauses, resting = sorted_out(task.clauses, task.seating)
    cost = {
        seat.key: (layer.worth[seat.key], seat.upstream.machine, seat.key in layer.live)
        for seat in task.seating.seats
    }
    for same in merged(task.seating.seats, clauses, cost):
        shared = layer.variable(f"seat of {same[0].part}")
        layer.seats.append(same)
        layer.number.update(dict.fromkeys((seat.key for seat in same), shared))
        if needs := [resting[seat.key] for seat in same if seat.key in resting]:
            clauses.append(together(needs))
    for group, way in ways_in(task.problem):
        layer.number[arrangement(group, way)] = layer.variable(f"way of {group}")
    for spot in spots(task):
        layer.rests[spot] = layer.variable(f"place of {spot[0]}")
    layer.rows += [row_of(layer.number, clause) for clause in clauses]
    layer.rows += places(layer)
    return layer


def live_keys(task: Task) -> frozenset[str]:
    """Seats that a part can take and leave while the machine runs."""
    return frozenset(one.key for one in task.seating.seats if takes_live(task.problem, one))


def spots(task: Task) -> list[Spot]:
    """Each part with each socket of a part that it can be in."""
    found = {(s.part, s.receptacle): None for s in task.seating.seats if s.parents}
    for layout in (task.today, task.goal):
        for spot in layout.places.items():
            receptacle = task.problem.receptacle.get(spot[1])
            if receptacle is not None and not receptacle.on_board:
                found[spot] = None
    return sorted(found, key=lambda spot: (natural(spot[0]), natural(spot[1])))


def places(layer: Layer) -> Iterable[Row]:
    """Everything is in one place, and no receptacle of a part holds two things."""
    for receptacles in layer.at.values():
        yield [(v, 1) for variables in receptacles.values() for v in variables], -FAR, 1
    by_receptacle: dict[str, list[Term]] = {}
    for (_, receptacle), variable in layer.rests.items():
        by_receptacle.setdefault(receptacle, []).append((variable, 1))
    for terms in by_receptacle.values():
        if len(terms) > 1:
            yield terms, -FAR, 1
    seated: dict[Spot, list[Term]] = {}
    for variable, same in enumerate(layer.seats):
        if same[0].parents:
            seated.setdefault((same[0].part, same[0].receptacle), []).append((variable, 1))
    for spot, variable in layer.rests.items():
        yield from socket_rows(layer, spot, variable, seated.get(spot, []))


def socket_rows(layer: Layer, spot: Spot, rests: int, seated: list[Term]) -> Iterable[Row]:
    """What is in a socket has a seat exactly where the part with the socket has one."""
    owner = layer.task.problem.receptacle[spot[1]].owner
    bearer = [
        (variable, -1)
        for variables in layer.in_machine.get(owner, {}).values()
        for variable in variables
    ]
    yield [*seated, (rests, -1)], -FAR, 0
    yield [*seated, (rests, -1), *bearer], -1, FAR


def stays_up(service: ServiceJob) -> bool:
    """Whether it runs in every stretch between windows."""
    return not service.new and service.may_be_down == 0


def bound_parts(task: Task) -> dict[str, str]:
    """Part -> the machine in which it runs in every stretch between windows."""
    return {
        part: task.today.seat_of[part].upstream.machine
        for service in task.services
        if stays_up(service) and task.at_once == 1
        for need in service.needs
        if len(need) == 1
        for part in need[0].items
    }


def bound_home(task: Task, mirror: MirrorJob) -> str | None:
    """The machine that a mirror never leaves; None if it may leave or is in two today."""
    if task.at_once > 1 or mirror.released_by:
        return None
    members = [{task.today.machine(part) for part in parts} for parts in mirror.members]
    homes = [one.id for one in task.problem.machines if members.count({one.id}) >= mirror.keep]
    return homes[0] if len(homes) == 1 else None


def staying_values(layer: Layer) -> dict[int, int]:
    """Parts that are bound to one machine run in no other."""
    return {
        variable: 0
        for part, home in bound_parts(layer.task).items()
        for machine, variables in layer.in_machine[part].items()
        for variable in variables
        if machine != home
    }


def least_touches(task: Task) -> Mapping[str, int]:
    """
    For each body the touches without which no sequence does; none for those left out.

    A part that has another place at the goal, or has to leave, is touched; twice if it goes from
    board to board where only one machine may be off at once.
    """
    today, goal, receptacle_of = task.today, task.goal, task.problem.receptacle
    touches: list[tuple[str, int]] = []
    for part, receptacle in goal.places.items():
        if today.places.get(part) != receptacle:
            here, there = today.seat_of.get(part), goal.seat_of[part]
            over = here and here.upstream.machine != there.upstream.machine
            on_boards = here and not here.upstream.depth and not there.upstream.depth
            live = here and any(takes_live(task.problem, one) for one in (here, there))
            twice = over and on_boards and not live and task.at_once == 1
            touches.append((part, 2 if twice else 1))
    for part, seat in today.seat_of.items():
        owner = receptacle_of[seat.receptacle].owner
        stays = (
            owner not in task.retired
            if receptacle_of[seat.receptacle].on_board
            else owner in goal.places
        )
        if part not in goal.places and stays:
            touches.append((part, 1))
    least: dict[str, int] = {}
    for part, number in touches:  # a body is touched as often as the most touched of its plugs
        body = task.problem.part[part].body
        least[body] = max(least.get(body, 0), number)
    return least


def places_off_the_way(layer: Layer) -> dict[int, int]:
    """
    The places that no sequence with the fewest touches uses, as variables that are 0.

    Touched once, a part goes straight to its goal. Touched twice, it lies beside the machines in
    between, or in a socket of a part that does. One that leaves may go anywhere.
    """
    task = layer.task
    least = least_touches(task)
    gone: dict[int, int] = {}
    for part, receptacles in layer.at.items():
        touches = least.get(task.problem.part[part].body, 0)
        if touches and part not in task.goal.places:
            continue
        ends = (task.today.places.get(part), task.goal.places.get(part))
        for receptacle, variables in receptacles.items():
            socket = (part, receptacle) in layer.rests
            if receptacle not in ends and not (socket and touches > 1):
                gone |= dict.fromkeys(variables, 0)
    return gone


class CannotBeError(Exception):
    """Today is not the goal, or something at the goal has not arrived yet."""


@dataclass
class Chain:
    """A model of `windows` windows; stretch 0 is before the first, the last one is the goal."""

    layer: Layer
    windows: int
    model: Model = field(default_factory=Model)
    base: list[int] = field(default_factory=list)
    """For each stretch, what to add to a variable's number in the layer."""
    off: list[dict[str, int]] = field(default_factory=list)
    """For each window, machine -> variable; window 1 comes first."""
    touched: list[dict[str, int]] = field(default_factory=list)
    """For each window, body -> variable."""
    changed: list[dict[GroupKey, int]] = field(default_factory=list)
    """For each window, lane group -> variable."""

    @property
    def task(self) -> Task:
        """What is asked."""
        return self.layer.task

    @property
    def between(self) -> range:
        """The stretches between two windows."""
        return range(1, self.windows)

    def at(self, stretch: int, part: str, receptacle: str) -> list[Term]:
        """1 where the part is in the receptacle."""
        return self.terms_in(stretch, self.layer.at.get(part, {}).get(receptacle, ()))

    def runs_in(self, stretch: int, part: str, machine: str) -> list[Term]:
        """1 where the part runs in the machine."""
        return self.terms_in(stretch, self.layer.in_machine.get(part, {}).get(machine, ()))

    def runs(self, stretch: int, part: str) -> list[Term]:
        """1 where the part runs in any machine."""
        machines = self.layer.in_machine.get(part, {}).values()
        return self.terms_in(stretch, (variable for some in machines for variable in some))

    def terms_in(self, stretch: int, variables: Iterable[int]) -> list[Term]:
        """The layer's variables in one stretch."""
        return [(variable + self.base[stretch], 1) for variable in variables]


def chain_of(layer: Layer, windows: int, *, direct: bool) -> Chain:
    """
    The model, without demands. Raises CannotBeError if it is plain that so few do not do.

    `direct`: every part is where it is today, beside the machines, or at its goal, as far as
    fewest touches go together with no other places.
    """
    chain = Chain(layer, windows)
    ends = {0: layer.values_of(layer.task.today)}
    goal, off_the_way = goal_values(layer), places_off_the_way(layer) if direct else {}
    staying = staying_values(layer)
    if windows:
        ends[windows] = goal
    settled = absent_values(layer, windows) if windows else ends[0]
    if any(settled.get(variable, value) != value for variable, value in goal.items()):
        raise CannotBeError
    for stretch in range(windows + 1):
        fixed = absent_values(layer, stretch) | off_the_way
        fixed |= ends.get(stretch, staying)
        chain.base.append(layer.stamp(chain.model, fixed, bare=stretch == 0))
    for window in range(1, windows + 1):
        add_window(chain, window)
    for part, receptacle in layer.task.goal.places.items():
        chain.model.row(chain.at(windows, part, receptacle), 1, 1)
    return chain


def goal_values(layer: Layer) -> dict[int, int]:
    """
    What is settled at the goal: every part's place, and what the lanes of a seat depend on.

    Parts without a place run nowhere, unless they stay in a retired machine.
    """
    goal = layer.task.goal
    values = {
        variable: 0
        for part, machines in layer.in_machine.items()
        for machine, variables in machines.items()
        for variable in variables
        if part not in goal.places and machine not in layer.task.retired
    }
    for part, goal_receptacle in goal.places.items():
        for receptacle, variables in layer.at[part].items():
            if receptacle != goal_receptacle:
                values |= dict.fromkeys(variables, 0)
            elif len(variables) == 1:
                values[variables[0]] = 1
    for group, chosen in goal.arrangements.items():
        values |= {variable: int(way == chosen) for way, variable in layer.ways[group].items()}
    return values


def absent_values(layer: Layer, stretch: int) -> dict[int, int]:
    """What has not arrived by then runs nowhere, lies where it lies and holds what it holds."""
    task = layer.task
    late = {name for name, window in task.arrivals.items() if stretch < window}
    values: dict[int, int] = {}
    if not late:
        return values
    owner = task.problem.receptacle
    for part, machines in layer.in_machine.items():
        for machine, variables in machines.items():
            if part in late or machine in late:
                values |= dict.fromkeys(variables, 0)
    for (part, receptacle), variable in layer.rests.items():
        if part in late or owner[receptacle].owner in late:
            values[variable] = int(task.today.places.get(part) == receptacle)
    return values


def add_window(chain: Chain, window: int) -> None:
    """What may differ between the stretch before a window and the one after it."""
    off = {machine.id: chain.model.variable() for machine in chain.task.problem.machines}
    chain.model.row([(variable, 1) for variable in off.values()], high=chain.task.at_once)
    chain.off.append(off)
    chain.touched.append(touch_rows(chain, window, off))
    chain.changed.append(change_rows(chain, window, off))


def touch_rows(chain: Chain, window: int, off: Mapping[str, int]) -> dict[str, int]:
    """
    A part that moves is touched; the machines it leaves and enters are off.

    Not where its place takes that while the machine runs, and it only comes or only goes, or may be
    out for a moment.
    """
    model, touched = chain.model, {}
    before, after = window - 1, window
    for part, receptacles in chain.layer.at.items():
        body = chain.task.problem.part[part].body
        if body not in touched:
            touched[body] = model.variable()
        touch = touched[body]
        leaves: list[Term] = [(touch, -1)]
        for receptacle in receptacles:
            here, there = chain.at(before, part, receptacle), chain.at(after, part, receptacle)
            model.row([*there, *negative(here), (touch, -1)], high=0)
            leaves += [*here, *negative(there)]
        model.row(leaves, high=0)
        for machine in chain.layer.in_machine.get(part, {}):
            live, others = chain.layer.live_in(part, machine)
            for stretch, other in ((before, after), (after, before)):
                runs = chain.terms_in(stretch, others)
                model.row([*runs, (touch, 1), (off[machine], -1)], high=1)
                if live and part not in chain.task.idle:
                    both = [*chain.terms_in(stretch, live), *chain.runs(other, part)]
                    model.row([*both, (touch, 1), (off[machine], -1)], high=2)
    return touched


def change_rows(chain: Chain, window: int, off: Mapping[str, int]) -> dict[GroupKey, int]:
    """A lane group is only arranged otherwise while its machine is off."""
    model, changed = chain.model, {}
    for group, ways in chain.layer.ways.items():
        if len(ways) == 1:
            continue
        change = model.variable()
        model.row([(change, 1), (off[group.machine], -1)], high=0)
        for variable in ways.values():
            here, there = chain.terms_in(window - 1, [variable]), chain.terms_in(window, [variable])
            model.row([*there, *negative(here), (change, -1)], high=0)
        changed[group] = change
    return changed


def negative(terms: Iterable[Term]) -> list[Term]:
    """The sum with its sign turned."""
    return [(variable, -weight) for variable, weight in terms]
