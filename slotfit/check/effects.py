"""What a part in a receptacle does to others, and they to it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.check.answer import Effect, Filled, Outcome
from slotfit.check.bench import Bench, Layout
from slotfit.check.presence import keep_empty, taken_from, while_filled
from slotfit.hardware.slot_row import positions
from slotfit.model.board import Arrangement, BoardReceptacle
from slotfit.model.problem import Site


def own_receptacle(outcome: Outcome) -> str:
    """Id of the board receptacle below it all."""
    return outcome.seat.offer.root.rpartition("/")[2]


def kept_empty(outcome: Outcome) -> tuple[str, ...]:
    """Receptacles that would draw its lanes away if something were plugged into them."""
    if outcome.group is None or outcome.way is None:
        return ()
    return keep_empty(outcome.group, outcome.way, own_receptacle(outcome))


def filled(best: Outcome, found: Sequence[tuple[Layout, Outcome]]) -> Iterator[Filled]:
    """How it fares under arrangements that come only while others are filled."""
    if best.group is None or best.way is None:
        return
    for way, others in while_filled(best.group, own_receptacle(best)):
        for _, outcome in found:
            if outcome.way is way and outcome.seat is not best.seat:
                yield Filled(others, outcome)


def effects(outcome: Outcome, today: Layout) -> Iterator[Effect]:
    """Receptacles of its lane group that have fewer lanes than today."""
    if outcome.group is None or outcome.way is None:
        return
    own = today.ways.get(str(outcome.seat.offer.group))
    now = next((way for way in outcome.group.arrangements if way.id == own), outcome.way)
    for name in taken_from(now, outcome.way, own_receptacle(outcome)):
        yield Effect(name, now.gives[name], outcome.way.gives.get(name, ()))


def covers(bench: Bench, outcome: Outcome) -> Iterator[str]:
    """Receptacles that its body covers, or that are in its way."""
    problem, seat = bench.problem, outcome.seat
    own = problem.site[seat.site]
    covered = set(positions(problem, seat)[1:])
    for site in problem.sites:
        place = (*site.row, site.receptacle.position) if site.row else None
        if place in covered or is_blocked(site, own):
            yield site.id


def is_blocked(site: Site, by: Site) -> bool:
    """Whether a receptacle cannot be used while there is a part in another."""
    own = site.receptacle
    if not isinstance(own, BoardReceptacle) or site.owner != by.owner:
        return False
    return by.receptacle.id in own.blocked_by


def refuted(bench: Bench, site: Site) -> tuple[Arrangement, ...]:
    """Arrangements that would serve a receptacle of a board and are known not to work."""
    if not site.on_board:
        return ()
    group = bench.problem.rig[site.owner].group_of.get(site.receptacle.id)
    return tuple(
        way
        for way in (group.arrangements if group else ())
        if way.proof == "refuted" and way.gives.get(site.receptacle.id)
    )
