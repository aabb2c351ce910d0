"""LANE017: several passive pieces in a row."""

from collections.abc import Iterator

from slotfit.hardware.wires import EASY_GENERATION, Lost, ends_here, lost
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.pcie import CHANNEL_DB


def judge(trial: Trial) -> Iterator[Verdict]:
    """A fast link through two or more passive pieces, each of which adds to the loss."""
    is_anew = trial.part.spec.retimer
    fastest = max(
        (link.generation or 0 for link in ends_here(trial.links, made_anew=is_anew)), default=0
    )
    pieces = [trial.problem.part[name].spec for name in trial.upstream.pieces]
    if fastest <= EASY_GENERATION or not pieces:
        return
    way = lost(trial.problem, trial.part, trial.upstream, fastest)
    if way.stated and fastest in CHANNEL_DB:
        yield from rest_of(way, fastest)
        return
    if len(pieces) < 2:
        return
    names = {"carrier": pieces[0].id}
    facts = tuple(Cited("carrier", one.id, one, "generation") for one in pieces)
    told = tuple(one.id for one in reversed(pieces))
    yield RULE.doubt("row", names, facts, pieces=told, fastest=fastest)


def rest_of(way: Lost, generation: int) -> Iterator[Verdict]:
    """What those may lose of which nobody has said; the part itself is the first of them."""
    if way.silent:
        facts = tuple(Cited("silent", name, one, "loss_db") for name, one in way.silent)
        names = ", ".join(name for name, _ in reversed(way.silent))
        left = round(CHANNEL_DB[generation] - way.stated_db, 1)
        yield RULE.doubt("rest", {"silent": names}, facts, left=left, fastest=generation)


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
        ),
        "rest": Look(
            "{silent}: at most {left:g} dB",
            "no more than {left:g} dB are lost in {silent} at generation {fastest}",
            "their data sheets give the loss at 8 GHz (generation 4) or 16 GHz (5): `loss_db`; "
            "else load the link and look at LnkSta and the corrected errors in `lspci -vv`",
        ),
    },
    judge=judge,
)
