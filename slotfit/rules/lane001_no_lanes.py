"""LANE001: no lanes here."""

from collections.abc import Iterator

from slotfit.model.reason import No, Verdict, Wording
from slotfit.rule import SeatRule, Trial, Unheld


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part none of whose links trains; an absent processor is another rule's word."""
    if not trial.links or any(link.lanes for link in trial.links) or trial.upstream.absent:
        return
    facts = trial.said("receptacle.lanes", "part.links")
    yield RULE.no("dark", trial.named("part", "receptacle"), facts, {"dark": trial.links[0].dark})


def unheld(one: Unheld) -> Iterator[No]:
    """What carries it has a seat today, and still nothing of the part is seen."""
    if one.fits and one.seated is not None and one.receptacle.owner in one.seated:
        names = {"part": one.part.id, "receptacle": one.receptacle.id}
        yield RULE.no("unseen", names, one.facts)


RULE = SeatRule(
    id="LANE001",
    title="no lanes here",
    why="A part with links needs at least one that trains.",
    source="PCI Express Base, link initialisation, as quoted; a segment is one port's lanes: our "
    "own word",
    says={
        "dark": Wording("no link of {part} trains in {receptacle}", "{dark}"),
        "unseen": Wording("nothing of {part} is seen in {receptacle}"),
    },
    unheld=unheld,
    judge=judge,
    severity="darkens",
)
