"""LANE017: several passive pieces in a row."""

from collections.abc import Iterator

from slotfit.hardware.wires import EASY_GENERATION, ends_here
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A fast link through two or more passive pieces, each of which adds to the loss."""
    fastest = max((link.generation or 0 for link in ends_here(trial.links)), default=0)
    pieces = [trial.problem.part[name].spec for name in trial.upstream.pieces]
    if fastest <= EASY_GENERATION or len(pieces) < 2:
        return
    names = {"carrier": pieces[0].id}
    facts = tuple(Cited("carrier", one.id, one, "generation") for one in pieces)
    told = tuple(one.id for one in reversed(pieces))
    yield RULE.doubt("row", names, facts, pieces=told, fastest=fastest)


RULE = SeatRule(
    id="LANE017",
    title="several passive pieces in a row",
    why="Each piece is rated for a channel of its own; one after another their losses add up, and "
    "from generation 4 on the sum may be too much though each is good for the rate.",
    source="channel loss budgets of 28 dB (generation 4) and 36 dB (5), as quoted; that each piece "
    "takes its share: common practice, no source",
    looks={
        "row": Look(
            "{pieces}: carry generation {fastest} in a row",
            "{pieces} carry generation {fastest} one after another",
            "ask their makers for this very combination, or use one piece instead; else fit them, "
            "load the link, and look at LnkSta and the corrected errors in `lspci -vv`",
            words={"pieces": ", then ".join},
        )
    },
    judge=judge,
)
