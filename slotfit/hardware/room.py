"""How much room there is for a card's length or height, and whether the card stays within it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator
from typing import Literal, NamedTuple

from slotfit.model.entity import Span
from slotfit.model.machine import Chassis
from slotfit.model.part import Receptacle
from slotfit.model.problem import Problem, Site
from slotfit.model.seat import Doubt, Fact, Objection, Seat, Verdict
from slotfit.rule import Trial, written

Position = tuple[str, str, int]
"""Owner, row, position."""


def positions(problem: Problem, seat: Seat) -> tuple[Position, ...]:
    """Every position the seat's body covers; none outside a row. Unknown thickness counts as 1."""
    site, part = problem.site[seat.site], problem.item[seat.item].part
    if site.row is None:
        return ()
    first = site.receptacle.position
    thickness = (part.thickness or 1) if part.plug.form in ("cem", "opening") else 0
    return tuple((*site.row, place) for place in range(first, first + thickness))


def bodies_by_position(problem: Problem, seats: Iterable[Seat]) -> dict[Position, list[Seat]]:
    """Position -> the seats that would cover it."""
    found: defaultdict[Position, list[Seat]] = defaultdict(list)
    for seat in seats:
        for position in positions(problem, seat):
            found[position].append(seat)
    return dict(found)


Size = Literal["length_mm", "height_mm"]


class Room(NamedTuple):
    """The smallest room that anyone has named, in mm, and where."""

    mm: float
    span: Span | None


class Words(NamedTuple):
    """How to speak of a size."""

    rule: str
    size: Size
    large: str
    """`long`, `high`"""
    measure_card: str
    measure_room: str


def room_for(size: Size, problem: Problem, site: Site, machine: str) -> Room | None:
    """
    Room for a card's length or height; None if nobody has said.

    A chassis' figures are for cards in the board's own slots: in a riser a card lies another way.
    """
    said: list[tuple[Receptacle | Chassis, str]] = [(site.receptacle, size)]
    chassis = problem.rig[machine].chassis
    if site.on_board and chassis is not None:
        said.append((chassis, f"card_{size}"))
    rooms = [
        Room(mm, where.span(field))
        for where, field in said
        if (mm := getattr(where, field)) is not None
    ]
    return min(rooms, key=lambda room: room.mm, default=None)


def room_here(trial: Trial, size: Size) -> Room | None:
    """The same for the seat that is tried."""
    return room_for(size, trial.problem, trial.site, trial.offer.machine)


def chassis_silent(trial: Trial, size: Size) -> bool:
    """Whether there is a chassis around the slot that does not say how much room it has."""
    chassis = trial.rig.chassis
    return trial.site.on_board and chassis is not None and getattr(chassis, f"card_{size}") is None


def held_to_room(
    trial: Trial, have: float | None, room: Room | None, words: Words, *, less: bool = False
) -> Iterator[Verdict]:
    """
    A card larger than its room; a doubt if either is not known and somebody cares.

    `less`: a chassis that does not say may have less room than that.
    """
    part, site = trial.item.part, trial.site
    if have is not None and room is not None:
        if have > room.mm:
            reason = (
                f"{trial.item.id} is {have:g} mm {words.large} and {site.id} has room for "
                f"{room.mm:g} mm"
            )
            yield Objection(words.rule, reason, written(part.span(words.size), room.span))
        elif less:
            yield Doubt(words.rule, unknown(trial, have, None, words))
    elif room is not None or trial.rig.chassis is not None or not site.on_board:
        yield Doubt(words.rule, unknown(trial, have, room, words))


def unknown(trial: Trial, have: float | None, room: Room | None, words: Words) -> Fact:
    """Nobody has said how large the card or the room is."""
    part, site = trial.item.part, trial.site
    if room is not None:
        text = f"{part.id} is at most {room.mm:g} mm {words.large}"
        return Fact(text, text, words.measure_card, part.span())
    size = f"a card {have:g} mm {words.large}" if have is not None else part.id
    text = f"{site.id} has room for {size}"
    if have is None:
        text += f", which may be too {words.large}"
    return Fact(text, text, words.measure_room, site.receptacle.span())
