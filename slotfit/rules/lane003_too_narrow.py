"""LANE003: link narrower than the part needs."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link narrower than the part, or the wish for it, allows."""
    needed, wished = trial.part.spec.min_lanes or 0, trial.part.wish.min_lanes or 0
    least = max(needed, wished)
    narrowest = min((link.lanes for link in trial.links if link.lanes), default=None)
    if narrowest is None or narrowest >= least:
        return
    whose = "wish" if wished > needed else "part"
    facts = trial.said(f"{whose}.min_lanes", "receptacle.lanes")
    names = trial.named("part", "receptacle")
    yield RULE.no(whose, names, facts, narrowest=narrowest, least=least)


RULE = SeatRule(
    id="LANE003",
    title="link narrower than the part needs",
    why="Some parts do not start, or are of no use, below a width.",
    source="part description or build file, `min_lanes`",
    says={
        "part": Wording("{part} would train at x{narrowest} in {receptacle} and needs x{least}"),
        "wish": Wording(
            "{part} would train at x{narrowest} in {receptacle} and is to have x{least}"
        ),
    },
    judge=judge,
    severity="darkens",
)
