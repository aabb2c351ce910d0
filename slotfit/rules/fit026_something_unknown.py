"""FIT026: something unknown in a receptacle."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """What is in use by something that nobody has named: it is there, and may take anything."""
    if trial.part.wish.is_unknown:
        yield RULE.doubt("what", trial.named("receptacle"), trial.said("wish.part"))


RULE = SeatRule(
    id="FIT026",
    title="something unknown in a receptacle",
    why="What is there takes room, lanes, watts and air, and nobody has said how much.",
    source="build file, `part: unknown`; a table's current usage: DSP0134 7.10.3, from memory",
    looks={
        "what": Look(
            "{receptacle}: what is in it",
            "what is in {receptacle}, which nobody has named, leaves the other parts the room, "
            "lanes, watts and air that they need",
            "look at it with the lid off, or what `lspci -vv` as root shows there; then write its "
            "`part` in place of `unknown`, or take the entry out if nothing is there",
        )
    },
    gaps=(
        Gap(
            "build part",
            "part",
            lambda one: one.is_unknown,
            "nobody has said what it is, so its place is closed to others, and the room, lanes, "
            "watts and air that it takes are not counted",
            "look at it with the lid off; write its `part`, or take the entry out if nothing is "
            "there",
            changes=("place", "check", "sequence"),
        ),
    ),
    judge=judge,
)
