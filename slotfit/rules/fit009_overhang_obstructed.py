"""FIT009: something behind an open-ended slot."""

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.cem import CONNECTORS, made


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card that hangs over an end that is not closed further than the board is clear."""
    plug, spec = trial.part.spec.plug, trial.receptacle.spec
    if plug.form != "cem" or spec.form != "cem" or spec.open_end is False:
        return
    card, slot = made(plug.width), made(spec.width)
    if card is None or slot is None or card <= slot:
        return
    over, clear = overhang_mm(card, slot), spec.behind_mm
    if clear is None:
        facts = trial.said("receptacle.behind_mm")
        yield RULE.doubt("clear", trial.named("receptacle"), facts, over=over)
    elif clear < over:
        facts = trial.said("part.plug.width", "receptacle.behind_mm")
        yield RULE.no("over", trial.named("part", "receptacle"), facts, over=over, clear=clear)


def overhang_mm(card: int, slot: int) -> float:
    """How much longer the card's edge is, in millimetres."""
    return round(CONNECTORS[card].tab_mm - CONNECTORS[slot].tab_mm, 2)


def is_room_unknown(one: BoardReceptacle) -> bool:
    """Whether nobody has said how much room is behind an open end."""
    return one.form == "cem" and one.open_end is True and one.behind_mm is None


RULE = SeatRule(
    id="FIT009",
    title="something behind an open-ended slot",
    why="The part of a card's edge that hangs over an open end needs clear board behind the slot.",
    source="open drawing of card outlines, measured; open ends: common practice, no source",
    says={
        "over": Wording(
            "{part} hangs {over:g} mm over the end of {receptacle} and only {clear:g} mm are "
            "clear behind it"
        )
    },
    looks={
        "clear": Look(
            "{receptacle}: {over:g} mm clear behind its end",
            "{over:g} mm are clear behind the end of {receptacle}",
            "hold a ruler behind the slot: heat sinks, capacitors, latches or M.2 drives in line "
            "with it stop the card",
            decides=True,
        )
    },
    gaps=(
        Gap(
            "receptacle",
            "behind_mm",
            is_room_unknown,
            "how much room is behind the open end is not said, so longer cards are in doubt",
            "hold a ruler behind the slot",
        ),
    ),
    judge=judge,
)
