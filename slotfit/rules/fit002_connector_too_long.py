"""FIT002: connector longer than a closed slot."""

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.cem import CONNECTOR_LANES, card_enters, made


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card edge longer than the slot, unless its end is open; what is not known is a doubt."""
    plug, spec = trial.part.spec.plug, trial.receptacle.spec
    if plug.form != "cem" or spec.form != "cem" or trial.part.wish.is_unknown:
        return  # what is unknown is in there already
    card, slot = made(plug.width), made(spec.width)
    if card is None or slot is None:
        unknown = "receptacle.width" if card else "kind.plug.width"
        yield RULE.doubt("size", trial.named("receptacle", "kind"), trial.said(unknown))
        return
    match card_enters(card, slot, spec.open_end):
        case None:
            yield RULE.doubt("end", trial.named("receptacle"), trial.said("receptacle.open_end"))
        case False:
            facts = trial.said("part.plug.width", "receptacle.width", "receptacle.open_end")
            names = trial.named("part", "receptacle")
            yield RULE.no("closed", names, facts, card=plug.width, slot=spec.width)


def is_end_unknown(one: BoardReceptacle) -> bool:
    """Whether a slot may be open where longer cards would hang over."""
    longest = CONNECTOR_LANES[-1]
    return one.form == "cem" and one.open_end is None and (one.width or longest) < longest


RULE = SeatRule(
    id="FIT002",
    title="connector longer than a closed slot",
    why="The end wall of a closed slot stops the card; only an open end lets it hang over.",
    source="CEM connector lengths, as quoted; open ends: common practice, no source",
    says={
        "closed": Wording(
            "{part} has an x{card} connector and {receptacle} is a closed x{slot} slot"
        )
    },
    looks={
        "size": Look(
            "{receptacle}: takes the connector of {kind}",
            "the connector of {kind} goes into {receptacle}",
            "look at both: a connector is about 25 mm (x1), 39 mm (x4), 56 mm (x8) or 89 mm (x16) "
            "long, and a slot with an open end has no wall there",
            decides=True,
        ),
        "end": Look(
            "{receptacle}: open end",
            "{receptacle} has an open end, so that a longer card may hang over",
            "look at the end of the slot that is farther from the bracket: most have a wall there",
            decides=True,
        ),
    },
    gaps=(
        Gap(
            "receptacle",
            "width",
            lambda one: one.form == "cem" and one.width is None,
            "the connector's length is not said, so which cards go in is not known",
            "the manual's slot table or block diagram, or measure: about 25 mm is x1, 39 mm x4, "
            "56 mm x8, 89 mm x16",
        ),
        Gap(
            "receptacle",
            "open_end",
            is_end_unknown,
            "whether the slot's end is open is not said, so longer cards are in doubt",
            "look at the end farther from the bracket: most have a wall there (`open_end: false`)",
        ),
        Gap(
            "part",
            "width",
            lambda part: part.plug.form == "cem" and part.plug.width is None,
            "the length of its connector is not said, so which slots take it is in doubt",
            "measure its edge: about 20 mm is x1, 34 mm x4, 51 mm x8, 84 mm x16; `plug: cem x8`",
        ),
    ),
    judge=judge,
)
