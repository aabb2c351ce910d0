"""FIT005: body beyond the end of the row."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A body that needs more positions, or more openings, than there are from here on."""
    receptacle = trial.site.receptacle
    if receptacle.row is None or trial.item.part.plug.form not in ("cem", "opening"):
        return
    last = receptacle.position + (trial.item.part.thickness or 1) - 1
    for name, room in rooms(trial):
        if last >= room:
            yield Objection(
                RULE.id,
                f"{trial.item.id} is {trial.item.part.thickness or 1} slots thick and from "
                f"{trial.site.id} on there is room for {max(room - receptacle.position, 0)} "
                f"({name})",
                written(trial.item.part.span("thickness"), receptacle.span("position")),
            )
    if trial.item.part.thickness is None:
        yield Doubt(RULE.id, thickness_unknown(trial))


def rooms(trial: Trial) -> Iterator[tuple[str, int]]:
    """What bounds the row, and its length in positions."""
    receptacle = trial.site.receptacle
    if not trial.site.on_board:
        positions = trial.problem.item[trial.site.owner].part.row_positions
        if positions is not None:
            yield f"the row of {trial.site.owner}", positions
        return
    for row in trial.rig.board.rows:
        if row.id == receptacle.row:
            yield f"the row has {row.positions} positions", row.positions
    first_row = trial.rig.board.rows[0].id if trial.rig.board.rows else None
    chassis = trial.rig.chassis
    if chassis and chassis.openings is not None and receptacle.row == first_row:
        yield f"the chassis has {chassis.openings} openings", chassis.openings


def thickness_unknown(trial: Trial) -> Fact:
    """Nobody has said how thick the part is."""
    part = trial.item.part
    return Fact(
        f"{part.id}: one slot thick",
        f"{trial.item.id} is one slot thick",
        "measure the thickest point from the board's back: up to about 17 mm is one slot, each "
        "further slot is 20.32 mm",
        part.span(),
    )


RULE = SeatRule(
    id="FIT005",
    title="body beyond the end of the row",
    why="A thick card needs the positions and the bracket openings that it covers.",
    source="CEM, slot pitch 20.32 mm, from memory; openings from the chassis",
    judge=judge,
)
