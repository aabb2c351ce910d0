"""FIT015: room beside the slot not known."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A body of more than one slot where nobody has said in which row the receptacle is."""
    part, spec = trial.part.spec, trial.receptacle.spec
    if spec.row is not None or part.plug.form not in ("cem", "opening"):
        return
    if trial.receptacle.is_away or trial.part.wish.is_unknown:
        return  # it has no neighbours, or nobody asks whether it can be where it is
    names, facts = trial.named("receptacle"), trial.said("receptacle.row")
    if part.thickness is None:
        yield RULE.doubt("unknown body", {**names, **trial.named("kind")}, facts)
    elif part.thickness != 1:
        yield RULE.doubt("thick body", names, facts, thickness=part.thickness)


THICK = "{receptacle} has room for a body {thickness} slots thick"
UNKNOWN = "{receptacle} has room for {kind}, which may be more than one slot thick"
LOOK_BESIDE = (
    "look at what is beside the slot, on the side of the card's components; where the slots' `row` "
    "and `position` are written down, it is worked out"
)

RULE = SeatRule(
    id="FIT015",
    title="room beside the slot not known",
    why="A thick body covers its neighbours; who they are is known only within a row.",
    source="CEM slot pitch, from memory",
    looks={
        "thick body": Look(THICK, THICK, LOOK_BESIDE),
        "unknown body": Look(UNKNOWN, UNKNOWN, LOOK_BESIDE),
    },
    gaps=(
        Gap(
            "receptacle",
            "row",
            lambda one: one.row is None and one.form == "cem",
            "its place in a row is not said, so whether there is room for a thick card is in doubt",
            "count slot pitches (20.32 mm) along the rear edge: `rows` and `row`, `position`",
        ),
    ),
    judge=judge,
)
