"""CPU001: processor absent."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part with links on lanes of a processor that is not fitted, or may be such a one."""
    if not trial.links:
        return
    if trial.offer.absent:
        yield Objection(
            RULE.id,
            f"the lanes of {trial.offer.root} come from {trial.offer.absent}, which is not fitted",
            written(trial.rig.machine.span("processors"), trial.site.receptacle.span("from_")),
        )
    elif trial.offer.processor is None and trial.offer.segments and some_absent(trial):
        yield Doubt(RULE.id, processor_unknown(trial))


def some_absent(trial: Trial) -> bool:
    """Whether a processor socket of the board is empty."""
    return any(one.id not in trial.rig.fitted for one in trial.rig.board.processors)


def processor_unknown(trial: Trial) -> Fact:
    """Nobody has said which processor the lanes come from, and not all are fitted."""
    root = trial.offer.root
    return Fact(
        f"{root}: its processor is fitted",
        f"{root} hangs on a processor that is fitted",
        "the board's slot table lists slots by processor; or fit a card and look for it in `lspci`",
        trial.problem.site[root].receptacle.span(),
    )


RULE = SeatRule(
    id="CPU001",
    title="processor absent",
    why="Lanes of a socket without a processor are dead.",
    source="slot tables by processor count in server manuals, as quoted; DSP0134 slot usage 05h "
    "Unavailable, as quoted",
    judge=judge,
)
