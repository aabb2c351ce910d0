"""CAB004: breakout cable of the other direction."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.model.words import Direction
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.forms import CABLED


def judge(trial: Trial) -> Iterator[Verdict]:
    """A breakout used the other way round than it is wired, or of which nobody has said which."""
    used, wired = use_of(trial.part.spec), trial.part.spec.direction
    if used is None or wired == used:
        return
    if wired is None:
        yield RULE.doubt("wired", trial.named("kind"), trial.said("kind.direction"), used=used)
    else:
        names, facts = trial.named("part", "receptacle"), trial.said("part.direction")
        yield RULE.no("turned", names, facts, wired=wired, used=used)


def use_of(part: PartSpec) -> Direction | None:
    """Which way a breakout with SATA ends is used by what it is plugged into; None: it is none."""
    ends = {one.form for one in part.receptacles}
    if part.part_class != "cable":
        return None
    if part.plug.form in CABLED and "sata" in ends:
        return "forward"
    return "reverse" if part.plug.form == "sata" and not ends.isdisjoint(CABLED) else None


RULE = SeatRule(
    id="CAB004",
    title="breakout cable of the other direction",
    why="A forward breakout leads from an adapter to drives, a reverse one from a board's SATA "
    "ports to a backplane: they look alike, are crossed otherwise, and nothing is seen.",
    source="common practice, no source",
    says={
        "turned": Wording("{part} is a {wired} breakout and would be a {used} one at {receptacle}")
    },
    looks={
        "wired": Look(
            "{kind}: {used} breakout",
            "{kind} is a {used} breakout",
            "its label or its maker's page says forward or reverse; else try it: with the other "
            "one no drive is seen, and no harm is done",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "part",
            "direction",
            lambda part: use_of(part) is not None and part.direction is None,
            "whether it is a forward or a reverse breakout is not said, so whether its drives are "
            "seen is in doubt",
            "its label or its maker's page",
        ),
    ),
    judge=judge,
)
