"""How much room there is for a card's length or height, and whether the card stays within it."""

from collections.abc import Iterator
from typing import Literal, NamedTuple

from slotfit.model.machine import Chassis
from slotfit.model.part import Receptacle
from slotfit.model.problem import Problem, Site
from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.model.span import Span
from slotfit.rule import Trial, written

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
