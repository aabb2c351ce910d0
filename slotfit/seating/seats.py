"""Every seat: each part held to each receptacle, and what the seat rules say."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Sequence

from slotfit.model.problem import Item, Problem, Site
from slotfit.model.seat import Doubt, Objection, Refusal, Seat, Seating, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.seating.offers import Opening, board_openings, nested_openings
from slotfit.standards.forms import plug_fits
from slotfit.training import train

DEEPEST = 6
"""Parts stacked on one another that are looked at: a drive on a breakout cable on an expander on a
cable on an adapter in a riser is the deepest in use."""


def seat_all(problem: Problem, rules: Sequence[SeatRule]) -> Seating:
    """
    Every seat that the rules allow, and every one that they refuse.

    Level by level: a receptacle on a part offers something only where the part has a seat, and a
    seat of one level rests on seats of the level below, so nothing ever carries itself.
    """
    seats: list[Seat] = []
    refusals: list[Refusal] = []
    level: dict[str, list[Seat]] = {}
    numbers: defaultdict[tuple[str, str], int] = defaultdict(int)
    for depth in range(DEEPEST + 1):
        found: defaultdict[str, list[Seat]] = defaultdict(list)
        for trial, opening in trials(problem, depth, level):
            pair = (trial.item.id, trial.site.id)
            numbers[pair] += 1
            seat, objections = hold(trial, opening, rules, numbers[pair])
            if objections:
                refusals.append(Refusal(seat, objections))
            else:
                seats.append(seat)
                found[seat.item].append(seat)
        level = dict(found)
        if not level:
            break
    return Seating(tuple(seats), tuple(refusals))


def trials(
    problem: Problem, depth: int, level: dict[str, list[Seat]]
) -> Iterator[tuple[Trial, Opening]]:
    """Each part held to each offer of one level."""
    for site in problem.sites:
        if site.on_board != (depth == 0):
            continue
        if site.on_board:
            ways = board_openings(problem, site)
        else:
            ways = nested_openings(problem.item[site.owner], site, level.get(site.owner, []))
        for item in problem.items:
            yield from held_to(problem, site, item, ways)


def held_to(
    problem: Problem, site: Site, item: Item, ways: Iterable[Opening]
) -> Iterator[tuple[Trial, Opening]]:
    """One part held to the offers of one receptacle; a part of another form to one of them only."""
    fits = plug_fits(item.part.plug.form, site.receptacle.form)
    ways = [way for way in ways if item.id not in way.offer.carriers]
    if not fits or not item.part.links:
        ways = alike_without_lanes(ways)
    for way in ways if fits or site.on_board else ():
        trial = Trial(
            problem,
            problem.rig[way.offer.machine],
            item,
            site,
            way.offer,
            train(item.part, way.offer),
            way.arrangements,
        )
        yield trial, way


def alike_without_lanes(ways: Sequence[Opening]) -> list[Opening]:
    """For a part that takes no lanes the arrangements make no difference."""
    merged: dict[tuple[object, ...], Opening] = {}
    for way in ways:
        key = (way.offer.machine, way.offer.carriers, way.offer.root)
        known = merged.get(key)
        parents = (*known.parents, *way.parents) if known else way.parents
        merged[key] = Opening(way.offer, (), parents)
    return list(merged.values())


def hold(
    trial: Trial, opening: Opening, rules: Sequence[SeatRule], number: int
) -> tuple[Seat, tuple[Objection, ...]]:
    """The seat, and every objection to it."""
    verdicts = list(judge(trial, rules))
    facts = {doubt.fact.id: doubt.fact for doubt in verdicts if isinstance(doubt, Doubt)}
    seat = Seat(
        key=f"{trial.item.id}@{trial.site.id}" + (f"#{number}" if number > 1 else ""),
        item=trial.item.id,
        site=trial.site.id,
        offer=opening.offer,
        arrangements=opening.arrangements,
        parents=opening.parents,
        links=trial.links,
        facts=tuple(facts.values()),
    )
    return seat, tuple(v for v in verdicts if isinstance(v, Objection))


def judge(trial: Trial, rules: Sequence[SeatRule]) -> Iterator[Verdict]:
    """What every rule says; a plug of another form ends the matter at once."""
    for rule in rules:
        stop = False
        for verdict in rule.judge(trial):
            yield verdict
            stop = rule.id == "FIT001" and isinstance(verdict, Objection)
        if stop:
            return
