"""How much room there is for a card's length or height, and whether the card stays within it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from dataclasses import dataclass
from typing import Literal

from slotfit.model.board import Row
from slotfit.model.problem import Machine, Problem, Receptacle
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.model.seat import Seat
from slotfit.rule import Rule, Trial

Position = tuple[str, str, int]
"""Owner, row, position."""


def positions(problem: Problem, seat: Seat) -> tuple[Position, ...]:
    """Every position the seat's body covers; none outside a row. Unknown thickness counts as 1."""
    receptacle, spec = problem.receptacle[seat.receptacle], problem.part[seat.part].spec
    if receptacle.row is None:
        return ()
    first = receptacle.spec.position
    thickness = (spec.thickness or 1) if spec.plug.form in ("cem", "opening") else 0
    return tuple((*receptacle.row, place) for place in range(first, first + thickness))


def bodies_by_position(problem: Problem, seats: Iterable[Seat]) -> dict[Position, list[Seat]]:
    """Position -> the seats that would cover it."""
    found: defaultdict[Position, list[Seat]] = defaultdict(list)
    for seat in seats:
        for position in positions(problem, seat):
            found[position].append(seat)
    return dict(found)


Size = Literal["length_mm", "height_mm"]


@dataclass(frozen=True, slots=True)
class Room:
    """The smallest room that anyone has named, in mm, and who; no fact is a class of openings."""

    mm: float
    fact: Cited | None


def room_for(
    size: Size, problem: Problem, receptacle: Receptacle, machine: str, thickness: int = 1
) -> Room | None:
    """
    Room for a card's length or height; None if nobody has said.

    A chassis' figures are for cards in the board's own slots: in a riser a card lies another way.
    """
    said = [Cited("receptacle", receptacle.id, receptacle.spec, size)]
    if receptacle.on_board and not receptacle.is_away:
        said += room_in_chassis(size, problem.machine[machine], receptacle, thickness)
    rooms = [Room(fact.value, fact) for fact in said if fact.value is not None]
    return min(rooms, key=lambda room: room.mm, default=None)


def room_in_chassis(
    size: Size, machine: Machine, receptacle: Receptacle, thickness: int
) -> list[Cited]:
    """What the chassis says, or leaves out, of each opening that a body here covers."""
    chassis, rows = machine.chassis, machine.board.rows
    if chassis is None:
        return []
    everywhere = Cited("chassis", chassis.id, chassis, f"card_{size}")
    if not is_first(receptacle, rows):
        return [everywhere]
    other = {
        place: Cited("chassis", chassis.id, one, size)
        for one in chassis.room_at
        for place in one.at
        if getattr(one, size) is not None
    }
    first = receptacle.spec.position
    return [other.get(place, everywhere) for place in range(first, first + thickness)]


def is_first(receptacle: Receptacle, rows: tuple[Row, ...]) -> bool:
    """Whether it stands in the board's first row, which the openings are beside."""
    return bool(rows) and receptacle.spec.row == rows[0].id


def room_here(trial: Trial, size: Size) -> Room | None:
    """The same for the seat that is tried."""
    thickness = trial.part.spec.thickness or 1
    return room_for(size, trial.problem, trial.receptacle, trial.upstream.machine, thickness)


def chassis_silent(trial: Trial, size: Size, have: float | None) -> bool:
    """Whether a chassis around the slot may have less room, and does not say so of this place."""
    if not trial.receptacle.on_board or trial.receptacle.is_away:
        return False
    thickness = trial.part.spec.thickness or 1
    said = room_in_chassis(size, trial.machine, trial.receptacle, thickness)
    return any(fact.value is None for fact in said) or is_in_doubt(trial, size, have)


def is_in_doubt(trial: Trial, size: Size, have: float | None) -> bool:
    """Whether it is too large for some openings, and nobody knows beside which the slot is."""
    chassis, spec = trial.machine.chassis, trial.receptacle.spec
    if chassis is None or spec.row is not None or have is None:
        return False
    less = (getattr(one, size) for one in chassis.room_at)
    return any(mm is not None and mm < have for mm in less)


def held_to_room(
    rule: Rule, trial: Trial, size: Size, have: float | None, room: Room | None, *, less: bool
) -> Iterator[Verdict]:
    """
    A card larger than its room; a doubt if either is not known and somebody cares.

    `less`: a chassis that does not say may have less room than that.
    """
    if have is not None and room is not None:
        if have > room.mm:
            facts = trial.said(f"part.{size}")
            facts = (*facts, room.fact) if room.fact else facts
            names = trial.named("part", "receptacle")
            yield rule.no("large", names, facts, have=have, room=room.mm)
        elif less:
            yield unknown(rule, trial, size, have, None)
    elif room is not None or trial.machine.chassis is not None or not trial.receptacle.on_board:
        yield unknown(rule, trial, size, have, room)


def unknown(rule: Rule, trial: Trial, size: Size, have: float | None, room: Room | None) -> Verdict:
    """Nobody has said how large the card or the room is."""
    if room is not None:
        return rule.doubt("card", trial.named("kind"), trial.said(f"kind.{size}"), room=room.mm)
    names, facts = trial.named("receptacle"), trial.said(f"receptacle.{size}")
    if have is not None:
        return rule.doubt("room", names, facts, have=have)
    return rule.doubt("neither", {**names, **trial.named("kind")}, facts)


def no_room(large: str) -> Wording:
    """How to say that a card is larger than its room: `long`, `high`."""
    return Wording(
        f"{{part}} is {{have:g}} mm {large} and {{receptacle}} has room for {{room:g}} mm"
    )


def looks_for_room(large: str, measure_card: str, measure_room: str) -> dict[str, Look]:
    """How to doubt that a card is not larger than its room, and how to measure either."""
    card = f"{{kind}} is at most {{room:g}} mm {large}"
    room = f"{{receptacle}} has room for a card {{have:g}} mm {large}"
    neither = f"{{receptacle}} has room for {{kind}}, which may be too {large}"
    return {
        "card": Look(card, card, measure_card),
        "room": Look(room, room, measure_room),
        "neither": Look(neither, neither, measure_room),
    }
