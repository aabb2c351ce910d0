"""POW005: slot without power."""

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A power-only part in a slot of an absent processor that is not known to be powered."""
    spec, absent = trial.receptacle.spec, trial.upstream.absent
    if trial.links or not isinstance(spec, BoardReceptacle):
        return
    if trial.part.spec.plug.form in ("opening", "fan-header"):  # no slot, or the board's own power
        return
    names = trial.named("receptacle")
    if not absent:
        if may_be_absent(trial) and not spec.powered_without_processor:
            yield RULE.doubt("processor", names, trial.said("receptacle.from_"))
    elif spec.powered_without_processor is None:
        facts = trial.said("receptacle.powered_without_processor")
        yield RULE.doubt("powered", names, facts, absent=absent)
    elif not spec.powered_without_processor:
        facts = trial.said("receptacle.powered_without_processor", "machine.processors")
        yield RULE.no("unpowered", names, facts, absent=absent)


def may_be_absent(trial: Trial) -> bool:
    """Nobody has said whose slot it is, and not every processor is fitted."""
    sockets = trial.machine.board.processors
    return trial.upstream.processor is None and any(
        s.id not in trial.machine.fitted for s in sockets
    )


RULE = SeatRule(
    id="POW005",
    title="slot without power",
    why="A slot of an absent processor may or may not be powered; only the board's manual knows.",
    source="slot tables by processor count in server manuals, as quoted",
    says={"unpowered": Wording("{receptacle} has no power while {absent} is not fitted")},
    looks={
        "processor": Look(
            "{receptacle}: powered with the processors fitted",
            "{receptacle} is powered with the processors that are fitted",
            "the board's slot table lists slots by processor; or fit the card and see whether it "
            "lights up",
            decides=True,
        ),
        "powered": Look(
            "{receptacle}: powered without {absent}",
            "{receptacle} is powered although {absent} is not fitted",
            "the manual's notes on fewer processors; or fit the card and see whether it lights up",
            decides=True,
        ),
    },
    gaps=(
        Gap(
            "far slot",
            "powered_without_processor",
            lambda one: one.powered_without_processor is None,
            "whether the slot has power while its processor is absent is not said; it matters only "
            "with fewer processors than sockets, and to parts that take nothing but power",
            "the manual's notes on fewer processors",
            changes=("place",),
        ),
    ),
    judge=judge,
)
