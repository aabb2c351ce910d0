"""
Seats that no clause and no preference tells apart share one variable.

A drive in a host adapter's port has a seat for each slot that the adapter may go into, and mostly
nothing depends on which: once the adapter has its seat, the drive's follows.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Hashable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import pairwise
from typing import assert_never

from slotfit.engine.alike import carries_itself, kinds
from slotfit.engine.costs import abilities, dark_endpoints, far, moved, spare_mb_s, taken
from slotfit.hardware.flow import FLOWS, Flow, Path, Ways, capacity, demand_of, met, serving
from slotfit.listing import by_name
from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, arrangement
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Problem
from slotfit.model.seat import Alike, Seat, Seating
from slotfit.solve.engine import FAR, Model, Term


def alike(problem: Problem, seating: Seating) -> list[Alike]:
    """Every set of two or more parts that may swap."""
    homes = {
        part.id: {seat.receptacle for seat in seating.every(part.id)} for part in problem.parts
    }
    members = [kind.parts for kind in seating.in_order] if seating.in_order else kinds(problem)
    found = [
        Alike(parts, tuple(sorted(homes[parts[0]], key=by_name)))
        for parts in members
        if len(parts) > 1 and all(homes[name] == homes[parts[0]] for name in parts)
    ]
    return [kind for kind in found if not carries_itself(problem, homes.__getitem__, kind)]


def left_out(problem: Problem, seating: Seating, kinds: list[Alike]) -> set[str]:
    """Keys of seats that no plan in order takes: out of a part's window, or on a part that is."""
    gone: set[str] = set()
    for kind in kinds:
        for number, name in enumerate(kind.parts):
            kept = kind.receptacles[kind.window(number, problem.part[name].wish.required)]
            gone |= {s.key for s in seating.by_part.get(name, []) if s.receptacle not in kept}
    for seat in seating.seats:  # a part's seats come before those of what sits on it
        if seat.parents and gone.issuperset(seat.parents):
            gone.add(seat.key)
    return gone


@dataclass(frozen=True, slots=True)
class Through:
    """What becomes of what a part moves at its own links."""

    short: int
    """MB/s that do not get through, in and out together."""
    passes: Ways
    """MB/s that do."""


@dataclass(frozen=True, slots=True)
class Worth:
    """A seat's costs, the facts it rests on, and what it moves where."""

    dark: int
    far: int
    moved: int
    """How much more moves than if the part were left out."""
    taken: int
    facts: tuple[tuple[str, ...], ...]
    flows: tuple[Through, ...]
    """In the order of `FLOWS`."""
    spare: int
    """MB/s that its own links could carry beyond what they do."""
    carries: int
    """MB/s that its own links could carry for what sits on it."""
    hops: Path

    def of(self, flow: Flow) -> Through:
        """What gets through of one flow."""
        return self.flows[FLOWS.index(flow)]


def worths(problem: Problem, seating: Seating) -> dict[str, Worth]:
    """Seat key -> worth."""
    serves, able = serving(problem), abilities(problem)
    return {seat.key: worth_of(problem, serves, able, seat) for seat in seating.seats}


def worth_of(
    problem: Problem, serves: frozenset[str], able: Mapping[str, int], seat: Seat
) -> Worth:
    """The worth of one seat."""
    part, room = problem.part[seat.part], capacity(seat)
    return Worth(
        dark=dark_endpoints(part, seat),
        far=far(part, seat),
        moved=moved(problem, part.id, seat.receptacle) - moved(problem, part.id, None),
        taken=taken(problem, able, seat),
        facts=tuple(sorted(fact.id for fact in seat.facts)),
        flows=tuple(
            Through(sum(wanted) - sum(passes := met(wanted, room)), passes)
            for wanted in (demand_of(part, seat, part.id in serves, flow) for flow in FLOWS)
        ),
        spare=spare_mb_s(seat),
        carries=room,
        hops=seat.upstream.hops,
    )


Variables = Mapping[str, int | None]
"""Atom -> variable; None for an atom that is not to be chosen."""


def weighed(x: Variables, terms: Iterable[tuple[str, int]]) -> list[Term]:
    """
    Atoms and weights as variables and weights.

    Each variable once: atoms that share one are the same choice, and weigh the same.
    """
    found = {v: weight for atom, weight in terms if (v := x[atom]) is not None}
    return list(found.items())


Row = tuple[list[Term], int, int]
"""Terms, and the least and most they may come to."""


def row_of(x: Variables, clause: Clause) -> Row:
    """The clause as one row; of an atom that is not to be chosen there is nothing to say."""
    match clause:
        case AtMost(terms=terms, limit=limit):
            return weighed(x, terms), -FAR, limit
        case Needs(atom=atom, any_of=any_of):
            chosen = x[atom]
            if chosen is None:
                return [], -FAR, 0
            return [(chosen, 1), *weighed(x, ((other, -1) for other in any_of))], -FAR, 0
        case ExactlyOne(atoms=atoms):
            return weighed(x, ((atom, 1) for atom in atoms)), 1, 1
        case _:
            assert_never(clause)


def post(model: Model, x: Variables, clause: Clause, only_if: int | None = None) -> None:
    """Add one clause; with `only_if` it binds only while that variable is 1."""
    terms, low, high = row_of(x, clause)
    if terms or low > 0 or high < 0:
        model.row(terms, low, high, only_if)


def atoms_in(problem: Problem, seating: Seating) -> list[str]:
    """Every atom of the problem, in a fixed order."""
    ways = [arrangement(group, way) for group, way in ways_in(problem)]
    return [*(seat.key for seat in seating.seats), *ways]


def ways_in(problem: Problem) -> Iterator[tuple[GroupKey, str]]:
    """Every lane group with the id of each of its arrangements."""
    for key in problem.lane_groups:
        for way in problem.every_way(key):
            yield key, str(way.id)


def post_atoms(model: Model, atoms: Iterable[str]) -> dict[str, int]:
    """One yes-or-no variable an atom."""
    return {atom: model.variable() for atom in atoms}


Uses = dict[str, list[Hashable]]
"""Atom -> every place where a clause speaks of it."""


def merged(
    seats: Sequence[Seat], clauses: Iterable[Clause], cost: Mapping[str, Hashable]
) -> Iterator[list[Seat]]:
    """
    The seats in lists of those that may share a variable.

    `clauses` are all but those by which a seat needs one of its parents; `cost` is what preferences
    look at. From the top down, because what sits on a part tells the part's own seats apart,
    unless it has been merged itself.
    """
    uses = uses_in(clauses)
    levels: defaultdict[int, list[Seat]] = defaultdict(list)
    for seat in seats:
        levels[seat.upstream.depth].append(seat)
    for depth in sorted(levels, reverse=True):
        same: dict[Hashable, list[Seat]] = {}
        for seat in levels[depth]:
            mark: Hashable = seat.key
            if seat.parents:
                mark = (seat.part, seat.receptacle, cost[seat.key], tuple(uses.get(seat.key, ())))
            same.setdefault(mark, []).append(seat)
        for number, group in enumerate(same.values()):
            for parent in dict.fromkeys(key for seat in group for key in seat.parents):
                uses.setdefault(parent, []).append(("carries", depth, number))
        yield from same.values()


def uses_in(clauses: Iterable[Clause]) -> Uses:
    """Where each atom stands in the clauses."""
    uses: Uses = {}
    for number, clause in enumerate(clauses):
        for atom, role in roles(clause):
            uses.setdefault(atom, []).append((number, role))
    return uses


def sorted_out(
    clauses: Iterable[Clause], seating: Seating
) -> tuple[list[Clause], dict[str, Needs]]:
    """The clauses without those by which a seat needs one of its parents, and these by seat key."""
    rest: list[Clause] = []
    resting: dict[str, Needs] = {}
    for clause in clauses:
        seat = seating.by_key.get(clause.atom) if isinstance(clause, Needs) else None
        if isinstance(clause, Needs) and seat and seat.parents == clause.any_of:
            resting[clause.atom] = clause
        else:
            rest.append(clause)
    return rest, resting


def together(needs: Sequence[Needs]) -> Needs:
    """What seats that share a variable need of their parents: one of any of them."""
    every = dict.fromkeys(parent for one in needs for parent in one.any_of)
    return Needs(needs[0].reason, needs[0].atom, tuple(every))


def gathered(clauses: Iterable[Clause], seating: Seating) -> Iterator[Clause]:
    """
    The clauses with one in place of all by which seats of one receptacle need the same.

    A receptacle takes one part, so those seats add up to one at most, and so may what they need.
    That is the same for whole numbers and says more of fractions: 3 to 5 times faster at 18 slots.
    """
    alike: dict[tuple[str, frozenset[str]], list[Needs]] = {}
    for clause in clauses:
        seat = seating.by_key.get(clause.atom) if isinstance(clause, Needs) else None
        if isinstance(clause, Needs) and seat is not None:
            alike.setdefault((seat.receptacle, frozenset(clause.any_of)), []).append(clause)
        else:
            yield clause
    for needs in alike.values():
        seats = tuple((one.atom, 1) for one in needs)
        others = tuple((other, -1) for other in needs[0].any_of)
        yield needs[0] if len(needs) == 1 else AtMost(needs[0].reason, (*seats, *others), 0)


def roles(clause: Clause) -> Iterator[tuple[str, Hashable]]:
    """Each atom with what it does in the clause."""
    match clause:
        case AtMost(terms=terms):
            yield from terms
        case Needs(atom=atom, any_of=any_of):
            yield atom, "needs"
            yield from ((other, "serves") for other in any_of)
        case ExactlyOne(atoms=atoms):
            yield from ((atom, 1) for atom in atoms)
        case _:
            assert_never(clause)


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
        for seat in sorted(found, key=lambda seat: seat.upstream.depth):
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
        shared = model.variable(one_of=f"seat of {same[0].part}")
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
    by_part = {part: frame.seating.by_part.get(part, []) for part in kind.parts}
    for before, after in pairwise(kind.parts):
        at_or_before: list[tuple[str, int]] = []
        already: list[tuple[str, int]] = []
        for receptacle in kind.receptacles:
            here = [(seat.key, 1) for seat in by_part[after] if seat.receptacle == receptacle]
            at_or_before += here
            if weighed(frame.x, here):
                row = [(k, -w) for k, w in already]
                frame.model.row(weighed(frame.x, [*at_or_before, *row]), high=0)
            already += [(seat.key, 1) for seat in by_part[before] if seat.receptacle == receptacle]
