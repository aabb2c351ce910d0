"""FIT005: body beyond the end of the row."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.entity import Span
from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A body that needs more positions, or more openings, than there are from here on."""
    part, receptacle = trial.item.part, trial.site.receptacle
    if receptacle.row is None or part.plug.form not in ("cem", "opening"):
        return
    thickness = part.thickness or 1
    for what, room, where in rooms(trial):
        left = None if room is None else max(room - receptacle.position, 0)
        if left is None:
            needed = receptacle.position + thickness
            yield Doubt(RULE.id, room_unknown(trial, what, needed, where))
        elif thickness > left:
            yield Objection(
                RULE.id,
                f"{trial.item.id} is {slots(thickness)} thick and from {trial.site.id} on there "
                f"is room for {left}: {what} {room}",
                written(part.span("thickness"), where),
            )
    if part.thickness is None:
        yield Doubt(RULE.id, thickness_unknown(trial))


def slots(count: int) -> str:
    """So many slots, in words."""
    return "1 slot" if count == 1 else f"{count} slots"


def rooms(trial: Trial) -> Iterator[tuple[str, int | None, Span | None]]:
    """What bounds the row, its length in positions, and where that is written."""
    row = trial.site.receptacle.row
    if not trial.site.on_board:
        riser = trial.problem.item[trial.site.owner]
        long = riser.part.row_positions
        yield f"{riser.id} has positions for", long, riser.part.span("row_positions")
        return
    board, chassis = trial.rig.board, trial.rig.chassis
    for one in board.rows:
        if one.id == row:
            yield f"the row {row} has positions for", one.positions, one.span("positions")
    if chassis and board.rows and row == board.rows[0].id:
        yield f"{chassis.id} has openings for", chassis.openings, chassis.span("openings")


def room_unknown(trial: Trial, what: str, needed: int, where: Span | None) -> Fact:
    """Nobody has said how many positions or openings there are."""
    return Fact(
        f"{trial.offer.machine}: {what} {needed} or more",
        f"{what} {needed} or more, counted from the first position of its row",
        "count the bracket openings at the rear, or the places for brackets on the riser",
        where,
    )


def thickness_unknown(trial: Trial) -> Fact:
    """Nobody has said how thick the part is."""
    part = trial.item.part
    return Fact(
        f"{part.id}: one slot thick",
        f"{part.id} is one slot thick",
        "measure the thickest point from the board's back: up to about 17 mm is one slot, each "
        "further slot is 20.32 mm",
        part.span(),
    )


RULE = SeatRule(
    id="FIT005",
    title="body beyond the end of the row",
    why="A thick card needs the positions and the bracket openings that it covers.",
    source="CEM slot pitch of 20.32 mm, from memory; openings from the chassis",
    judge=judge,
)
