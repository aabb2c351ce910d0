"""FIT010: no stand-off for the drive's length."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """An M.2 module of a length that the socket has no stand-off for."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if not receptacle.form.startswith("m2-") or receptacle.drive_lengths is None:
        return
    if part.length_mm is None:
        yield Doubt(RULE.id, unknown(trial))
    elif round(part.length_mm) not in receptacle.drive_lengths:
        lengths = ", ".join(str(length) for length in receptacle.drive_lengths)
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.length_mm:g} mm long and {trial.site.id} has stand-offs "
            f"for {lengths} mm",
            written(part.span("length_mm"), receptacle.span("drive_lengths")),
        )


def unknown(trial: Trial) -> Fact:
    """Nobody has said how long the module is."""
    return Fact(
        f"{trial.item.part.id}: has a stand-off at {trial.site.id}",
        f"{trial.site.id} has a stand-off for {trial.item.id}",
        "read the module's size: the last digits of 2280 or 22110 are its length in mm",
        trial.item.part.span(),
    )


RULE = SeatRule(
    id="FIT010",
    title="no stand-off for the drive's length",
    why="An M.2 drive is screwed down at its far end; the socket has stand-offs for certain lengths.",
    source="M.2 module sizes, as quoted",
    judge=judge,
)
