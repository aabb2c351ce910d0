"""LANE005: arrangement known not to work."""

from collections.abc import Iterator

from slotfit.model.reason import Cited, Verdict, Wording
from slotfit.rule import SeatRule, Trial, arrangement_of, division


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat that needs an arrangement which has been refuted."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.proof != "refuted" or not trial.links:
        return
    facts = (Cited("arrangement", str(chosen.id), chosen, "proof"),)
    names = trial.named("part", "receptacle")
    yield RULE.no("refuted", names, facts, division=division(chosen))


RULE = SeatRule(
    id="LANE005",
    title="arrangement known not to work",
    why="A setting that was tried and failed is as good as absent.",
    source="board file, `proof: refuted`",
    says={
        "refuted": Wording("{part} in {receptacle} needs {division}, which is known not to work")
    },
    judge=judge,
)
