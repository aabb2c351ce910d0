"""FIT007: card higher than the room."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.machine import Chassis
from slotfit.model.part import Receptacle
from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card higher than its receptacle or the chassis has room for."""
    part = trial.item.part
    said = tuple(bounds(trial))
    if not said or trial.site.receptacle.form not in ("cem", "ocp3-sff", "ocp3-lff"):
        return
    room, where = min(said, key=lambda bound: bound[0])
    if part.height_mm is None:
        if part.plug.form == "cem":
            yield Doubt(RULE.id, unknown(trial, room))
    elif part.height_mm > room:
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.height_mm:g} mm high and {trial.site.id} has room for "
            f"{room:g} mm",
            written(part.span("height_mm"), where.span("height_mm")),
        )


def bounds(trial: Trial) -> Iterator[tuple[float, Receptacle | Chassis]]:
    """Every known room for the card's height, and who said it."""
    receptacle, chassis = trial.site.receptacle, trial.rig.chassis
    if receptacle.height_mm is not None:
        yield receptacle.height_mm, receptacle
    if trial.site.on_board and chassis and chassis.card_height_mm is not None:
        yield chassis.card_height_mm, chassis


def unknown(trial: Trial, room: float) -> Fact:
    """Nobody has said how high the card is."""
    part = trial.item.part
    return Fact(
        f"{part.id}: at most {room:g} mm high",
        f"{trial.item.id} is at most {room:g} mm high",
        "measure the card from the edge connector to its top, plugs on top included",
        part.span(),
    )


RULE = SeatRule(
    id="FIT007",
    title="card higher than the room",
    why="What stands in the way of the card's height stops it: a drive cage, a fan wall, a lid.",
    source="CEM 1.2 card outline (111.15 mm full height, 68.90 mm low profile), measured; the room from the chassis and the board",
    judge=judge,
)
