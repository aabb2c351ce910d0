"""FIT010: no stand-off for the drive's length."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """An M.2 module of a length that the socket has no stand-off for."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if not receptacle.form.startswith("m2-"):
        return
    if part.length_mm is None or receptacle.drive_lengths is None:
        yield Doubt(RULE.id, unknown(trial))
    elif round(part.length_mm) not in receptacle.drive_lengths:
        lengths = ", ".join(str(length) for length in receptacle.drive_lengths)
        yield Objection(
            RULE.id,
            f"{trial.item.id} is {part.length_mm:g} mm long and {trial.site.id} has "
            + (f"stand-offs for {lengths} mm" if lengths else "no stand-off"),
            written(part.span("length_mm"), receptacle.span("drive_lengths")),
        )


def unknown(trial: Trial) -> Fact:
    """Nobody has said how long the module is, or where the stand-offs are."""
    part, site = trial.item.part, trial.site
    length = f"{part.length_mm:g} mm" if part.length_mm is not None else part.id
    said = site.receptacle.drive_lengths is not None
    return Fact(
        f"{site.id}: stand-off for {length}",
        f"{site.id} has a stand-off for {length}",
        "read the module's size: the last digits of 2280 or 22110 are its length in mm"
        if said
        else "look at the holes beyond the socket: their distances are printed beside them",
        (part if said else site.receptacle).span(),
    )


RULE = SeatRule(
    id="FIT010",
    title="no stand-off for the drive's length",
    why="An M.2 module is screwed down at its far end, where the socket has stand-offs for "
    "certain lengths.",
    source="PCI Express M.2 module sizes, as quoted",
    judge=judge,
)
