"""Every seat: each part held to each receptacle, and what the seat rules say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from types import MappingProxyType

from slotfit.engine.alike import orders, windows
from slotfit.engine.upstream import Opening, board_openings, nested_openings
from slotfit.hardware.training import train
from slotfit.hardware.wires import within_budget
from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, arrangement
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.reason import Doubt, No, Verdict
from slotfit.model.seat import Refusal, Seat, Seating
from slotfit.rule import SeatRule, Trial, fed
from slotfit.standards.forms import plug_fits

DEEPEST = 6
"""Parts stacked on one another that are looked at: a drive on a breakout cable on an expander on a
cable on an adapter in a riser is the deepest in use."""


NONE: frozenset[str] = frozenset()

MANY_SEATS = 20_000
"""Of more than these, allowed and refused, those are left out that only swap parts alike."""


Held = tuple[Seat, tuple[No, ...]]
"""A seat, and every objection to it."""

Hold = Callable[[Problem, Receptacle, Part, Opening], Held]
"""Judges a part held to what a receptacle offers."""


def seat_all(problem: Problem, rules: Sequence[SeatRule], most: int | None = None) -> Seating:
    """Every seat that the rules allow, and every one that they refuse; `most`: see `seat_by`."""
    return seat_by(partial(hold, rules), problem, most)


def seat_by(judge_seat: Hold, problem: Problem, most: int | None = None) -> Seating:
    """
    Every seat that is allowed, and every one to which there are objections.

    If these are more than `most`, parts alike sit in order: see `Seating.in_order`. Such a seating
    is for this very problem: what may be left out of a build widens the order.
    """
    everything = seats_of(problem, judge_seat, {}, most)
    if everything is not None:
        return everything
    order = orders(problem)
    windowed = windows(problem, order.by_receptacle)
    in_order = seats_of(problem, judge_seat, windowed, None, order.stacked)
    assert in_order is not None  # noqa: S101 - it had no bound
    return replace(in_order, in_order=tuple(order.by_receptacle))


def seats_on_boards(problem: Problem, rules: Sequence[SeatRule]) -> Iterator[Seat]:
    """The seats in boards' receptacles that the rules allow."""
    twin = twins(problem)
    for receptacle, ways in openings(problem, 0, {}):
        found = seats_in(problem, problem.parts, receptacle, ways, partial(hold, rules), twin)
        yield from (seat for seat, objections in found if not objections)


def seats_of(
    problem: Problem,
    judge_seat: Hold,
    only: Mapping[str, frozenset[str]],
    most: int | None,
    never_on: Mapping[str, frozenset[str]] = MappingProxyType({}),
) -> Seating | None:
    """
    The seats of all parts, but of some `only` those in these receptacles; None if too many.

    `never_on`: parts, over others, on which they do not sit.

    Level by level: a receptacle on a part offers something only where the part has a seat, and a
    seat of one level rests on seats of the level below, so nothing ever carries itself.
    """
    seats: list[Seat] = []
    refusals: list[Refusal] = []
    level: dict[str, list[Seat]] = {}
    twin = twins(problem)
    numbers: defaultdict[tuple[str, str], int] = defaultdict(int)
    for depth in range(DEEPEST + 1):
        found: defaultdict[str, list[Seat]] = defaultdict(list)
        for receptacle, ways in openings(problem, depth, level):
            parts = [i for i in problem.parts if i.id not in only or receptacle.id in only[i.id]]
            for held, objections in seats_in(problem, parts, receptacle, ways, judge_seat, twin):
                if not never_on.get(held.part, NONE).isdisjoint(held.upstream.carriers):
                    continue
                seat = numbered(held, numbers)
                if objections:
                    refusals.append(Refusal(seat, objections))
                else:
                    seats.append(seat)
                    found[seat.part].append(seat)
            if most is not None and len(seats) + len(refusals) > most:
                return None
        level = dict(found)
        if not level:
            break
    return Seating(tuple(seats), tuple(refusals))


def numbered(seat: Seat, numbers: dict[tuple[str, str], int]) -> Seat:
    """The seat with a key of its own: later seats of one part in one receptacle are counted."""
    pair = (seat.part, seat.receptacle)
    numbers[pair] += 1
    return replace(seat, key=f"{seat.key}#{numbers[pair]}") if numbers[pair] > 1 else seat


def openings(
    problem: Problem, depth: int, level: dict[str, list[Seat]]
) -> Iterator[tuple[Receptacle, tuple[Opening, ...]]]:
    """Each receptacle of one level with what it offers; on a part, those that some part fits."""
    plugs = {part.spec.plug.form for part in problem.parts}
    for receptacle in problem.receptacles:
        if receptacle.on_board:
            if depth == 0:
                yield receptacle, board_openings(problem, receptacle)
        elif depth > 0 and any(plug_fits(plug, receptacle.spec.form) for plug in plugs):
            seats = level.get(receptacle.owner, [])
            yield receptacle, nested_openings(problem.part[receptacle.owner], receptacle, seats)


def seats_in(
    problem: Problem,
    parts: Iterable[Part],
    receptacle: Receptacle,
    ways: Sequence[Opening],
    judge_seat: Hold,
    twin: Mapping[str, str],
) -> Iterator[Held]:
    """
    Each part held to what one receptacle offers.

    Where nothing at all is to be said of a part, nothing is to be said of its twins either.
    """
    plain: dict[tuple[str, int], tuple[Opening, Seat]] = {}
    for part in parts:
        for way in held_to(receptacle, part, ways):
            mark = (twin.get(part.id, part.id), id(way))
            if mark in plain:
                yield replace(plain[mark][1], key=f"{part.id}@{receptacle.id}", part=part.id), ()
                continue
            seat, objections = judge_seat(problem, receptacle, part, way)
            if not objections and not seat.facts:
                plain[mark] = way, seat  # the opening is kept so that its id stays its own
            yield seat, objections


def twins(problem: Problem) -> dict[str, str]:
    """Parts that carry nothing -> the first of those that are alike to every rule on one seat."""
    kept: list[Part] = []
    found: dict[str, str] = {}
    for part in problem.parts:
        if part.spec.receptacles or part.companion_of is not None or part.id in problem.retire:
            continue
        wish = part.wish.model_copy(update={"id": ""})
        for other in kept:
            if other.wish.model_copy(update={"id": ""}) == wish and other.spec == part.spec:
                found[part.id] = other.id
                break
        else:
            kept.append(part)
    return found


def held_to(receptacle: Receptacle, part: Part, ways: Sequence[Opening]) -> Iterator[Opening]:
    """The offers a part is held to; a part of another form is held to one of them only."""
    fits = plug_fits(part.spec.plug.form, receptacle.spec.form)
    if not fits and not receptacle.on_board:
        return
    ways = [way for way in ways if part.id not in way.upstream.carriers]
    yield from ways if fits and part.spec.links else alike_without_lanes(ways)


def alike_without_lanes(ways: Sequence[Opening]) -> list[Opening]:
    """For a part that takes no lanes the arrangements make no difference."""
    merged: dict[tuple[object, ...], Opening] = {}
    for way in ways:
        upstream = way.upstream
        key = (upstream.machine, upstream.carriers, upstream.root, upstream.live)
        known = merged.get(key)
        parents = (*known.parents, *way.parents) if known else way.parents
        merged[key] = Opening(way.upstream, (), parents)
    return list(merged.values())


def hold(
    rules: Sequence[SeatRule], problem: Problem, receptacle: Receptacle, part: Part, way: Opening
) -> Held:
    """The seat, and every objection of these rules to it."""
    upstream = within_budget(problem, part, way.upstream)
    links = train(part.spec, upstream)
    machine = problem.machine[upstream.machine]
    fed_so = fed(part, receptacle)
    trial = Trial(problem, machine, fed_so, receptacle, upstream, links, way.arrangements)
    verdicts = tuple(judge(trial, rules))
    seat = Seat(
        key=f"{part.id}@{receptacle.id}",
        part=part.id,
        receptacle=receptacle.id,
        upstream=upstream,
        arrangements=way.arrangements,
        parents=way.parents,
        links=links,
        facts=facts_in(verdicts),
        closes=part.spec.plug.form != "opening",  # a bracket alone presses no contact
    )
    return seat, objections_in(verdicts)


def facts_in(verdicts: Sequence[Verdict]) -> tuple[Doubt, ...]:
    """What is doubted, each once."""
    return tuple({doubt.id: doubt for doubt in verdicts if isinstance(doubt, Doubt)}.values())


def objections_in(verdicts: Sequence[Verdict]) -> tuple[No, ...]:
    return tuple(verdict for verdict in verdicts if isinstance(verdict, No))


def judge(trial: Trial, rules: Sequence[SeatRule]) -> Iterator[Verdict]:
    """What every rule says; a plug of another form ends the matter at once."""
    for rule in rules:
        said = tuple(rule.verdicts(trial))
        yield from said
        if ends_it(said):
            return


def ends_it(said: Sequence[Verdict]) -> bool:
    """Whether what a rule said leaves nothing more to ask: the plug is of another form."""
    return bool(said) and isinstance(said[-1], No) and said[-1].is_about_forms


def is_structure(seating: Seating, clause: Clause) -> bool:
    """
    Whether a clause only says what a lane group and a seat are; nobody needs to be told.

    A group is divided one way at a time; a seat is there only under an arrangement that makes its
    offer, and with what it sits on.
    """
    match clause:
        case ExactlyOne(atoms=atoms):
            return bool(atoms) and not any(atom in seating.by_key for atom in atoms)
        case Needs(atom=atom, any_of=any_of) if seat := seating.by_key.get(atom):
            group = seat.upstream.group
            ways = tuple(arrangement(group, way) for way in seat.arrangements) if group else ()
            return bool(any_of) and any_of in (seat.parents, ways)
        case _:
            return False


def in_one_receptacle(seating: Seating, clause: Clause) -> bool:
    """Whether a clause lets one of the parts that could be in a receptacle be there."""
    if not isinstance(clause, AtMost) or {clause.limit, *dict(clause.terms).values()} != {1}:
        return False
    seats = [seating.by_key.get(atom) for atom, _ in clause.terms]
    receptacles, parts = (
        {seat and seat.receptacle for seat in seats},
        {seat and seat.part for seat in seats},
    )
    return len(receptacles) == 1 and len(parts) > 1
