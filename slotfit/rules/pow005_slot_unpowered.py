"""POW005: slot without power."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A power-only part in a slot of an absent processor that is not known to be powered."""
    receptacle = trial.site.receptacle
    if trial.links or not isinstance(receptacle, BoardReceptacle):
        return
    if trial.item.part.plug.form == "opening":  # takes the bracket's place, not the connector
        return
    if not trial.offer.absent:
        if may_be_absent(trial) and not receptacle.powered_without_processor:
            yield Doubt(RULE.id, processor_unknown(trial))
    elif receptacle.powered_without_processor is None:
        yield Doubt(RULE.id, unknown(trial))
    elif not receptacle.powered_without_processor:
        yield Objection(
            RULE.id,
            f"{trial.site.id} has no power while {trial.offer.absent} is not fitted",
            written(
                receptacle.span("powered_without_processor"), trial.rig.machine.span("processors")
            ),
        )


def may_be_absent(trial: Trial) -> bool:
    """Nobody has said whose slot it is, and not every processor is fitted."""
    sockets = trial.rig.board.processors
    return trial.offer.processor is None and any(s.id not in trial.rig.fitted for s in sockets)


def processor_unknown(trial: Trial) -> Fact:
    """Nobody has said which processor the slot belongs to."""
    return Fact(
        f"{trial.site.id}: powered with the processors fitted",
        f"{trial.site.id} is powered with the processors that are fitted",
        "the board's slot table lists slots by processor; or fit the card and see whether it "
        "lights up",
        trial.site.receptacle.span(),
    )


def unknown(trial: Trial) -> Fact:
    """Nobody has said whether the slot is powered."""
    return Fact(
        f"{trial.site.id}: powered without {trial.offer.absent}",
        f"{trial.site.id} is powered although {trial.offer.absent} is not fitted",
        "the manual's notes on fewer processors; or fit the card and see whether it lights up",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="POW005",
    title="slot without power",
    why="A slot of an absent processor may or may not be powered; only the board's manual knows.",
    source="slot tables by processor count in server manuals, as quoted",
    judge=judge,
)
