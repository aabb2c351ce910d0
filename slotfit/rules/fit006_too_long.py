"""FIT006: card longer than the room."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.machine import Chassis
from slotfit.model.part import Receptacle
from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card longer than its receptacle or the chassis has room for."""
    part = trial.item.part
    said = tuple(bounds(trial))
    if not said or trial.site.receptacle.form not in ("cem", "ocp3-sff", "ocp3-lff"):
        return
    room, where = min(said, key=lambda bound: bound[0])
    if part.length_mm is None:
        if part.plug.form == "cem":
            yield Doubt(RULE.id, unknown(trial, room))
    elif part.length_mm > room:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.length_mm:g} mm long and {trial.site.id} has room for "
            f"{room:g} mm",
            written(part.span("length_mm"), where.span("length_mm")),
        )


def bounds(trial: Trial) -> Iterator[tuple[float, Receptacle | Chassis]]:
    """Every known room for the card's length, and who said it."""
    receptacle, chassis = trial.site.receptacle, trial.rig.chassis
    if receptacle.length_mm is not None:
        yield receptacle.length_mm, receptacle
    if trial.site.on_board and chassis and chassis.card_length_mm is not None:
        yield chassis.card_length_mm, chassis


def unknown(trial: Trial, room: float) -> Fact:
    """Nobody has said how long the card is."""
    part = trial.item.part
    return Fact(
        f"{part.id}: at most {room:g} mm long",
        f"{trial.item.id} is at most {room:g} mm long",
        "measure the card from the bracket to its far end, plugs and bends of cables included",
        part.span(),
    )


RULE = SeatRule(
    id="FIT006",
    title="card longer than the room",
    why="What stands in the way of the card's length stops it: a drive cage, a fan wall, a lid.",
    source="CEM 1.2 card outline (312 mm full length, 167.65 mm half length), measured; the room from the chassis and the board",
    judge=judge,
)
