"""FIT015: room beside the slot not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A body of more than one slot where nobody has said in which row the receptacle is."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if receptacle.row is not None or part.plug.form not in ("cem", "opening"):
        return
    if part.thickness != 1:
        yield Doubt(RULE.id, unknown(trial, part.thickness))


def unknown(trial: Trial, thickness: int | None) -> Fact:
    """Nobody has said what is beside the slot."""
    body = f"a body {thickness} slots thick" if thickness else f"{trial.item.part.id}"
    text = f"{trial.site.id} has room for {body}"
    if thickness is None:
        text += ", which may be more than one slot thick"
    return Fact(
        text,
        text,
        "look at what is beside the slot, on the side of the card's components; where the slots' "
        "`row` and `position` are written down, it is worked out",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="FIT015",
    title="room beside the slot not known",
    why="A thick body covers its neighbours; who they are is known only within a row.",
    source="CEM slot pitch, from memory",
    judge=judge,
)
