"""FIT013: board the chassis has no stand-offs for."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """Nothing goes into a machine whose board does not go into its chassis."""
    board, chassis = trial.rig.board, trial.rig.chassis
    if chassis is None or not trial.site.on_board:
        return
    if board.size and chassis.sizes is not None and board.size not in chassis.sizes:
        yield Objection(
            RULE.id,
            f"{board.id} is of size {board.size} and {chassis.id} has stand-offs for "
            f"{', '.join(chassis.sizes) or 'none'}",
            written(board.span("size"), chassis.span("sizes")),
        )
    elif chassis.sizes is None or board.size in (None, "proprietary"):
        yield Doubt(RULE.id, unknown(trial))


def unknown(trial: Trial) -> Fact:
    """Nobody has said whether the board can be screwed down."""
    board, chassis = trial.rig.board, trial.rig.chassis
    home = chassis.id if chassis else trial.rig.id
    return Fact(
        f"{trial.rig.id}: stand-offs for {board.id}",
        f"{home} has stand-offs for {board.id}",
        "compare the holes in the board with the chassis' manual; every stand-off that no hole "
        "meets comes out, or it may short the board",
        board.span("size"),
    )


RULE = SeatRule(
    id="FIT013",
    title="board the chassis has no stand-offs for",
    why="A board is screwed to stand-offs at the places its size prescribes.",
    source="board file, `size`, and chassis, `sizes`; a proprietary size says nothing: common "
    "practice, no source",
    judge=judge,
)
