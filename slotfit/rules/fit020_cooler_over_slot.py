"""FIT020: cooler over the slot."""

from collections.abc import Iterator

from slotfit.hardware.coolers import Cooled, coolers
from slotfit.hardware.room import is_first
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cem import PITCH_MM, SOLDER_SIDE_MM

NEAREST_MM = 40
"""No slot is nearer to the middle of a processor's socket (common practice, no source)."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card in a slot over which the cooler beside it stands, or may stand."""
    high = is_first(trial.receptacle, trial.machine.board.rows)
    if trial.part.spec.plug.form not in ("cem", "opening") or not high:
        return
    for one in coolers(trial.machine):
        reach = one.cooler.to_slots_mm
        away = one.processor.slots_at_mm
        back = trial.receptacle.spec.position * PITCH_MM - SOLDER_SIDE_MM
        if reach is None or reach <= (NEAREST_MM if away is None else away) + back:
            continue
        yield from over(trial, one, reach) if away is not None else unknown(trial, one, reach)


def over(trial: Trial, one: Cooled, reach: float) -> Iterator[Verdict]:
    """The cooler stands over the slot; a low card may have room below it."""
    card, clear = trial.part.spec.height_mm, one.cooler.clear_mm
    socket, names = one.processor.id, trial.named("receptacle")
    if clear is None:
        fact = one.of_cooler("clear_mm")
        yield RULE.doubt("clear", {**names, **trial.named("kind")}, (fact,), socket=socket)
    elif card is None:
        yield RULE.doubt("card", trial.named("kind"), trial.said("kind.height_mm"), clear=clear)
    elif card > clear:
        facts = (
            *trial.said("part.height_mm"),
            one.of_cooler("to_slots_mm"),
            one.of_cooler("clear_mm"),
            one.of_processor("slots_at_mm"),
        )
        both = {**trial.named("part"), **names}
        yield RULE.no("over", both, facts, socket=socket, reach=reach)


def unknown(trial: Trial, one: Cooled, reach: float) -> Iterator[Verdict]:
    """Nobody has said how far the socket is from the slots."""
    socket, fact = one.processor.id, one.of_processor("slots_at_mm")
    yield RULE.doubt("beside", trial.named("receptacle"), (fact,), socket=socket, reach=reach)


RULE = SeatRule(
    id="FIT020",
    title="cooler over the slot",
    why="A large cooler stands over the first slot, where a card's back would be.",
    source="the cooler's and the board's figures; CEM slot pitch, from memory; "
    "CEM solder side, as quoted; no slot nearer than 40 mm: common practice, no source",
    says={
        "over": Wording(
            "the cooler on {socket} reaches {reach:g} mm towards the slots, over {receptacle}, "
            "where {part} would be"
        )
    },
    looks={
        "clear": Look(
            "{receptacle}: {kind} under the cooler",
            "{kind} fits under the cooler on {socket}, which stands over {receptacle}",
            "measure from the board to the lowest edge of the cooler there, and write `clear_mm`",
            decides=True,
        ),
        "card": Look(
            "{kind}: at most {clear:g} mm high",
            "{kind} is at most {clear:g} mm high, as there is room for under the cooler",
            "measure the card from the edge connector to its top",
            decides=True,
        ),
        "beside": Look(
            "{receptacle}: clear of the cooler",
            "the cooler on {socket}, which reaches {reach:g} mm, is clear of {receptacle}",
            "measure from the middle of the processor's socket to the first place of the row, and "
            "write `slots_at_mm` in the board's file",
            decides=True,
        ),
    },
    judge=judge,
)
