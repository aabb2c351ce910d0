"""FIT008: bracket of the wrong height."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial, opening_at


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card whose bracket the opening does not take."""
    part, opening = trial.part.spec, opening_at(trial)
    fitted = trial.part.wish.bracket
    said = "part" if fitted is None or part.bracket in ("both", "none") else "wish"
    have = fitted if said == "wish" else part.bracket
    if part.plug.form not in ("cem", "opening") or have in ("both", "none") or opening == "none":
        return
    if opening is None:
        if at_the_rear(trial):
            yield from opening_unknown(trial, have)
    elif have is None:
        facts = trial.said("kind.bracket")
        yield RULE.doubt("bracket", trial.named("kind"), facts, opening=opening)
    elif have != opening:
        facts = trial.said(f"{said}.bracket", "receptacle.bracket", "chassis.bracket")
        names = trial.named("part", "receptacle")
        yield RULE.no("height", names, facts, have=have, opening=opening)


def at_the_rear(trial: Trial) -> bool:
    """A slot of a riser's row, or of the board's in a chassis that was named."""
    asked = trial.machine.chassis is not None or not trial.receptacle.on_board
    return asked and trial.receptacle.row is not None


def opening_unknown(trial: Trial, have: str | None) -> Iterator[Verdict]:
    """Nobody has said how high the opening is."""
    inside = trial.receptacle.on_board
    names = trial.named("machine" if inside else "receptacle")
    facts = trial.said("chassis.bracket" if inside else "receptacle.bracket")
    case = "openings" if inside else "opening beside"
    what = ("height", have) if have else ("as", trial.part.spec.id)
    yield RULE.doubt(case, names, facts, what=what)


def height(what: tuple[str, str]) -> str:
    """A height class, or that of a part whose own is not known."""
    kind, name = what
    return f"{name}-height" if kind == "height" else f"as high as the bracket of {name}"


LOOK_AT_THE_REAR = (
    "look at the rear: an opening for full-height brackets is about 120 mm high, for low ones "
    "about 79 mm"
)

RULE = SeatRule(
    id="FIT008",
    title="bracket of the wrong height",
    why="A full-height bracket does not go into a low opening, and a low one leaves the card "
    "loose in a full-height one.",
    source="CEM bracket heights: about 120 mm, from memory; 79.2 mm, as quoted",
    says={
        "height": Wording(
            "{part} has a {have}-height bracket and the opening at {receptacle} is {opening}-height"
        )
    },
    looks={
        "openings": Look(
            "the bracket openings of {machine} are {what}",
            "the bracket openings of {machine} are {what}",
            LOOK_AT_THE_REAR,
            words={"what": height},
        ),
        "opening beside": Look(
            "the bracket openings beside {receptacle} are {what}",
            "the bracket openings beside {receptacle} are {what}",
            LOOK_AT_THE_REAR,
            words={"what": height},
        ),
        "bracket": Look(
            "{kind}: {opening}-height bracket",
            "{kind} has a {opening}-height bracket",
            "look at the card: a full-height bracket is about 120 mm long, a low one about 79 mm",
        ),
    },
    gaps=(
        Gap(
            "part",
            "bracket",
            lambda part: part.bracket is None and part.is_card,
            "which bracket it has is not said, so which openings take it is in doubt",
            "look: a full-height bracket is about 120 mm long, a low one about 79 mm",
        ),
        Gap(
            "chassis",
            "bracket",
            lambda case: case.bracket is None,
            "which brackets its openings take is not said",
            "look: full-height openings are about 120 mm high, low ones about 79 mm",
        ),
    ),
    judge=judge,
)
