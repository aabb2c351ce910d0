"""
What there is too little of, by counting alone: before any search, and all of it at once.

Three counts, each a condition that every plan keeps. What the parts that must be placed take of a
limit at the least; the same of all limits of one kind together, over machines; and parts that have
fewer receptacles between them than there are parts (Hall 1935, "On representatives of subsets").
A count that comes out right proves nothing.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet

from slotfit.engine.seats import in_one_receptacle, seats_on_boards
from slotfit.model.clause import AtMost, Clause, ExactlyOne
from slotfit.model.plan import Shortage
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seating
from slotfit.rule import SeatRule
from slotfit.standards.forms import plug_fits

MANY_PAIRS = 400
"""Of parts with receptacles of other parts: from so many on a build is large. Each may be many
seats, as many as there are ways for the owner to sit."""

Choices = Mapping[str, tuple[str, ...]]
"""Part that must be placed -> its seats' keys; it has one of them in every plan."""


def shortages(seating: Seating, clauses: Iterable[Clause]) -> Iterator[Shortage]:
    """Everything that is short; linear in what the clauses weigh, apart from the matching."""
    clauses = tuple(clauses)
    choices = must_be_placed(seating, clauses)
    part_of = {key: part for part, keys in choices.items() for key in keys}
    for same in limits_by_kind(seating, clauses):
        found = [short for one in same if (short := added_up([one], choices, part_of))]
        if len(same) > 1 and not found and (short := added_up(same, choices, part_of)):
            found = [short]
        tightest: dict[object, Shortage] = {}  # of limits within one another that one says it all
        for short in sorted(found, key=lambda one: one.there):
            tightest.setdefault((short.parts, short.needed), short)
        yield from tightest.values()
    yield from crowds(places_of(seating, choices))


def limits_by_kind(seating: Seating, clauses: Iterable[Clause]) -> Iterable[list[AtMost]]:
    """Limits of one kind, over machines; that a receptacle takes one part is for `crowds`."""
    found: dict[tuple[str, str, str], list[AtMost]] = defaultdict(list)
    for clause in clauses:
        if isinstance(clause, AtMost) and not in_one_receptacle(seating, clause):
            reason = clause.reason
            found[reason.rule, reason.case, clause.unit].append(clause)
    return found.values()


def must_be_placed(seating: Seating, clauses: Iterable[Clause]) -> Choices:
    """The parts of which a clause says that one of their seats is taken."""
    found: dict[str, tuple[str, ...]] = {}
    for clause in clauses:
        if not isinstance(clause, ExactlyOne):
            continue
        parts = {seat.part for key in clause.atoms if (seat := seating.by_key.get(key))}
        named = parts or {name for role, name in clause.reason.names if role == "part"}
        if len(named) == 1:
            found[named.pop()] = clause.atoms
    return found


def added_up(
    limits: Sequence[AtMost], choices: Choices, part_of: Mapping[str, str]
) -> Shortage | None:
    """What all parts take of these limits together at the least, where that is too much."""
    weights: defaultdict[str, int] = defaultdict(int)
    for limit in limits:
        for key, weight in limit.terms:
            weights[key] += weight
    spare = sum(min(weight, 0) for key, weight in weights.items() if key not in part_of)
    bound = dict.fromkeys(part_of[key] for key in weights if key in part_of)
    takes = {part: min(weights.get(key, 0) for key in choices[part]) for part in bound}
    needed, there = sum(takes.values()) + spare, sum(limit.limit for limit in limits)
    if needed <= there:
        return None
    parts = tuple(part for part in choices if takes.get(part))
    return Shortage(parts, needed, there, limits[0].unit, tuple(one.reason for one in limits))


# --- receptacles ----------------------------------------------------------------------------------


def crowds_at_once(problem: Problem, rules: Sequence[SeatRule]) -> Iterator[Shortage]:
    """
    Required parts with too few receptacles, before most seats of a large build are judged.

    On boards as the rules have it; on parts, whatever takes the plug. Of other builds nothing is
    said: once their seats are judged, more is found than this.
    """
    rooms = {part.id: dict.fromkeys(on_parts(problem, part)) for part in problem.parts}
    if sum(map(len, rooms.values())) < MANY_PAIRS:
        return
    for seat in seats_on_boards(problem, rules):
        rooms[seat.part][seat.receptacle] = None
    required = [part.id for part in problem.parts if part.wish.required or part.asked_of]
    yield from crowds({name: tuple(rooms[name]) for name in required})


def on_parts(problem: Problem, part: Part) -> Iterator[str]:
    """Receptacles of parts that take this one's plug."""
    for one in problem.receptacles:
        if not one.on_board and plug_fits(part.spec.plug.form, one.spec.form):
            yield one.id


def places_of(seating: Seating, choices: Choices) -> dict[str, tuple[str, ...]]:
    """Part that must be placed -> the receptacles that it can go into."""
    return {
        part: tuple(dict.fromkeys(seating.by_key[key].receptacle for key in keys))
        for part, keys in choices.items()
    }


def crowds(places: Mapping[str, Sequence[str]]) -> Iterator[Shortage]:
    """
    Parts with fewer receptacles between them than there are of them.

    Part by part along augmenting paths; from one that none leads out of, all that were passed are
    a crowd, and no later path leads out of it either.
    """
    sits: dict[str, str] = {}  # receptacle -> part
    has: dict[str, str] = {}  # part -> receptacle
    shut: set[str] = set()  # receptacles of crowds
    found: list[set[str]] = []
    for part in places:
        came_from, asked, free = path_from(part, places, sits, shut)
        while free is not None:  # each on the path takes what it asked for, and leaves what it had
            asking = came_from[free]
            sits[free], has[asking], free = asking, free, has.get(asking)
        if part not in has:
            touched = {room for one in asked for room in places[one]}
            joined = [one for one in found if not touched.isdisjoint(rooms_of(one, places))]
            found = [crowd for crowd in found if crowd not in joined]
            found.append({*asked}.union(*joined))
            shut |= touched
    for crowd in found:
        members = tuple(part for part in places if part in crowd)
        rooms = tuple(rooms_of(members, places))
        yield Shortage(members, len(members), len(rooms), "", (), rooms)


def rooms_of(parts: Iterable[str], places: Mapping[str, Sequence[str]]) -> dict[str, None]:
    """The receptacles that any of the parts can go into, each once, in order."""
    return dict.fromkeys(room for part in parts for room in places[part])


def path_from(
    part: str, places: Mapping[str, Sequence[str]], sits: Mapping[str, str], shut: AbstractSet[str]
) -> tuple[dict[str, str], list[str], str | None]:
    """Who asked for which receptacle, whoever was asked to make room, and a free one if any."""
    came_from: dict[str, str] = {}
    asked = [part]
    for asking in asked:  # grows
        for room in places[asking]:
            if room in came_from or room in shut:
                continue
            came_from[room] = asking
            if room not in sits:
                return came_from, asked, room
            asked.append(sits[room])
    return came_from, asked, None
