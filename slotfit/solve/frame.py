"""The model before any preference: a variable an atom, a row a clause."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise

from slotfit.model.clause import Clause, Needs, arrangement
from slotfit.model.problem import Problem
from slotfit.model.seat import Alike, Seat, Seating
from slotfit.solve.alike import alike, left_out
from slotfit.solve.engine import Model, Term
from slotfit.solve.merge import gathered, merged, sorted_out, together
from slotfit.solve.post import Variables, post, ways_in, weighed
from slotfit.solve.worth import Worth, worths


@dataclass(frozen=True)
class Frame:
    """What a stage is built from."""

    problem: Problem
    seating: Seating
    model: Model
    x: Variables
    worth: dict[str, Worth]
    """Seat key -> what the preferences look at."""

    @cached_property
    def seats(self) -> tuple[Seat, ...]:
        """Seats with a variable; of those that share one, the first."""
        first: dict[int, Seat] = {}
        for seat in self.seating.seats:
            variable = self.x[seat.key]
            if variable is not None:
                first.setdefault(variable, seat)
        return tuple(first.values())

    def var(self, seat: Seat) -> int:
        """The variable of a seat that has one."""
        variable = self.x[seat.key]
        if variable is None:
            raise KeyError(seat.key)
        return variable

    def total(self, cost: Callable[[Seat], int]) -> list[Term]:
        """The sum of a cost over the chosen seats."""
        return [(self.var(s), amount) for s in self.seats if (amount := cost(s))]

    def chosen(self, values: Sequence[int]) -> tuple[Seat, ...]:
        """The seats that the values choose; of those that share a variable, the one that can be."""
        found = [s for s in self.seating.seats if (v := self.x[s.key]) is not None and values[v]]
        keys: set[str] = set()
        for seat in sorted(found, key=lambda seat: seat.offer.depth):
            if not seat.parents or not keys.isdisjoint(seat.parents):
                keys.add(seat.key)
        return tuple(seat for seat in found if seat.key in keys)


def build_frame(
    problem: Problem, seating: Seating, clauses: Iterable[Clause], *, in_order: bool = False
) -> Frame:
    """
    The model with every clause in it.

    `in_order`: of plans that differ only in which of several parts alike sits where, keep one.
    """
    kinds = alike(problem, seating) if in_order else []
    gone = left_out(problem, seating, kinds)
    clauses, resting = sorted_out(
        (c for c in clauses if not (isinstance(c, Needs) and c.atom in gone)), seating
    )
    worth = worths(problem, seating)
    model = Model()
    x: dict[str, int | None] = dict.fromkeys(gone)
    kept = [seat for seat in seating.seats if seat.key not in gone]
    for same in merged(kept, clauses, worth):
        shared = model.variable(one_of=f"seat of {same[0].item}")
        x.update(dict.fromkeys((seat.key for seat in same), shared))
        if needs := [resting[seat.key] for seat in same if seat.key in resting]:
            clauses.append(together(needs))
    for group, way in ways_in(problem):
        x[arrangement(group, way)] = model.variable(one_of=f"way of {group}")
    for clause in gathered(clauses, seating):
        post(model, x, clause)
    frame = Frame(problem, seating, model, x, worth)
    for kind in kinds:
        put_in_order(frame, kind)
    return frame


def put_in_order(frame: Frame, kind: Alike) -> None:
    """Where a part sits at or before some receptacle, the one named before it sits before that."""
    by_item = {item: frame.seating.by_item.get(item, []) for item in kind.items}
    for before, after in pairwise(kind.items):
        at_or_before: list[tuple[str, int]] = []
        already: list[tuple[str, int]] = []
        for site in kind.sites:
            here = [(seat.key, 1) for seat in by_item[after] if seat.site == site]
            at_or_before += here
            if weighed(frame.x, here):
                row = [(k, -w) for k, w in already]
                frame.model.row(weighed(frame.x, [*at_or_before, *row]), high=0)
            already += [(seat.key, 1) for seat in by_item[before] if seat.site == site]
