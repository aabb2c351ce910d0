"""FIT018: no slot where a part needs one."""

from collections.abc import Iterator

from slotfit.listing import counted
from slotfit.model.machine import MountingPlace
from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part in a place that is no slot and gives it no power, or has too little room above it."""
    spec, place = trial.part.spec, trial.receptacle.spec
    if not isinstance(place, MountingPlace) or spec.links:
        return
    away = spec.power.aux_away if spec.power else None
    if away is None:
        names = trial.named("kind")
        yield RULE.doubt("away", names, trial.said("kind.power.aux_away"))
    elif not away:
        facts = trial.said("part.power.aux_away")
        yield RULE.no("slot", trial.named("part", "receptacle"), facts)
    yield from too_thick(trial, spec.thickness, place.thickness)


def too_thick(trial: Trial, have: int | None, room: int | None) -> Iterator[Verdict]:
    """A part that stands higher above its place than there is room."""
    if room is None:
        names = trial.named("receptacle", "kind")
        yield RULE.doubt("thickness", names, trial.said("receptacle.thickness"))
    elif have is None:
        facts = trial.said("kind.thickness")
        yield RULE.doubt("thick part", trial.named("kind"), facts, room=room)
    elif have > room:
        facts = trial.said("part.thickness", "receptacle.thickness")
        yield RULE.no("thick", trial.named("part", "receptacle"), facts, have=have, room=room)


def is_away_unknown(part: PartSpec) -> bool:
    """Whether it takes power alone, and nobody has said whether it does so without a slot."""
    in_slots = part.plug.form in ("cem", "opening") and not part.links
    return in_slots and part.power is not None and part.power.aux_away is None


RULE = SeatRule(
    id="FIT018",
    title="no slot where a part needs one",
    why="Some cards take nothing but power and can have it from a plug: they are screwed to a tray "
    "or a wall, and their slot is free for others. Most cannot.",
    source="cards with a power plug beside the edge: common practice, no source",
    says={
        "slot": Wording("{part} is fed in a slot alone and {receptacle} is none"),
        "thick": Wording(
            "{part} is {have} thick and {receptacle} has room for {room}",
            words={"have": lambda count: counted(count, "slot")},
        ),
    },
    looks={
        "away": Look(
            "{kind}: works without a slot",
            "{kind} can be screwed to a place without a slot and has a plug that feeds it alone",
            "look for a power plug beside its edge and for screw holes in its corners, and in its "
            "manual whether the plug alone is enough",
            decides=True,
        ),
        "thickness": Look(
            "{receptacle}: room above it",
            "above {receptacle} there is room for {kind}",
            "measure from the tray or wall to what is over it, the closed lid included; a slot's "
            "pitch is 20.32 mm",
        ),
        "thick part": Look(
            "{kind}: at most {room} slots thick",
            "{kind} is at most {room} slots thick",
            "measure the thickest point from the board's back: up to about 17 mm is one slot, each "
            "further slot is 20.32 mm",
        ),
    },
    gaps=(
        Gap(
            "part",
            "power",
            is_away_unknown,
            "whether it works without a slot, fed by a plug (`aux_away`), is not said, so where "
            "slots are short nobody counts on it",
            "look for a plug beside its edge; `aux_away: []` if there is none",
            changes=("place",),
        ),
    ),
    judge=judge,
)
