"""
One layout as rows of a model, to be stamped once for every stretch between two windows.

Rows are worked out once with variables counted from 0; a stamp only moves the numbers.
"""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, field
from functools import cached_property

from slotfit.listing import natural
from slotfit.model.clause import arrangement
from slotfit.model.seat import Seat
from slotfit.model.windows import Layout, Task
from slotfit.solve.engine import FAR, Model, Term
from slotfit.solve.frame import Row, Worth, merged, row_of, sorted_out, together, ways_in, worths

Spot = tuple[str, str]
"""Item id and site id."""


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
    """Item and socket of a part -> variable: the item is in it, in a machine or beside it."""
    rows: list[Row] = field(default_factory=list)

    @cached_property
    def at(self) -> Mapping[str, Mapping[str, list[int]]]:
        """Item -> site -> variables of which one is 1 where the item is there."""
        found: dict[str, dict[str, list[int]]] = {}
        for (item, site), variable in self.rests.items():
            found.setdefault(item, {})[site] = [variable]
        for variable, same in enumerate(self.seats):
            item, site = same[0].item, same[0].site
            if (item, site) not in self.rests:
                found.setdefault(item, {}).setdefault(site, []).append(variable)
        return found

    @cached_property
    def in_machine(self) -> Mapping[str, Mapping[str, list[int]]]:
        """Item -> machine -> variables of which one is 1 where the item runs there."""
        found: dict[str, dict[str, list[int]]] = {}
        for variable, same in enumerate(self.seats):
            by_machine = found.setdefault(same[0].item, {})
            by_machine.setdefault(same[0].offer.machine, []).append(variable)
        return found

    @cached_property
    def ways(self) -> Mapping[str, Mapping[str, int]]:
        """Lane group -> arrangement -> variable."""
        found: dict[str, dict[str, int]] = {}
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
        for (item, site), variable in self.rests.items():
            values[variable] = int(layout.places.get(item) == site)
        for group, ways in self.ways.items():
            for way, variable in ways.items():
                values[variable] = int(layout.arrangements[group] == way)
        return values


def layer_of(task: Task) -> Layer:
    """The template of a task's layouts."""
    layer = Layer(task, worths(task.problem, task.seating))
    clauses, resting = sorted_out(task.clauses, task.seating)
    cost = {seat.key: (layer.worth[seat.key], seat.offer.machine) for seat in task.seating.seats}
    for same in merged(task.seating.seats, clauses, cost):
        shared = layer.variable(f"seat of {same[0].item}")
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


def spots(task: Task) -> list[Spot]:
    """Each item with each socket of a part that it can be in."""
    found = {(s.item, s.site): None for s in task.seating.seats if s.parents}
    for layout in (task.today, task.goal):
        for spot in layout.places.items():
            site = task.problem.site.get(spot[1])
            if site is not None and not site.on_board:
                found[spot] = None
    return sorted(found, key=lambda spot: (natural(spot[0]), natural(spot[1])))


def places(layer: Layer) -> Iterable[Row]:
    """Everything is in one place, and no receptacle of a part holds two things."""
    for sites in layer.at.values():
        yield [(v, 1) for variables in sites.values() for v in variables], -FAR, 1
    by_site: dict[str, list[Term]] = {}
    for (_, site), variable in layer.rests.items():
        by_site.setdefault(site, []).append((variable, 1))
    for terms in by_site.values():
        if len(terms) > 1:
            yield terms, -FAR, 1
    seated: dict[Spot, list[Term]] = {}
    for variable, same in enumerate(layer.seats):
        if same[0].parents:
            seated.setdefault((same[0].item, same[0].site), []).append((variable, 1))
    for spot, variable in layer.rests.items():
        yield from socket_rows(layer, spot, variable, seated.get(spot, []))


def socket_rows(layer: Layer, spot: Spot, rests: int, seated: list[Term]) -> Iterable[Row]:
    """What is in a socket has a seat exactly where the part with the socket has one."""
    owner = layer.task.problem.site[spot[1]].owner
    bearer = [
        (variable, -1)
        for variables in layer.in_machine.get(owner, {}).values()
        for variable in variables
    ]
    yield [*seated, (rests, -1)], -FAR, 0
    yield [*seated, (rests, -1), *bearer], -1, FAR
