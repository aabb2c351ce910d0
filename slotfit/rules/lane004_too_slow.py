"""LANE004: link of a lower generation than the part needs."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link slower than the part, or the wish for it, allows."""
    needed, wished = trial.part.spec.min_generation or 0, trial.part.wish.min_generation or 0
    least = max(needed, wished)
    alive = [link for link in trial.links if link.lanes and link.bus == "pcie"]
    slowest = min((link.generation for link in alive if link.generation), default=least)
    if slowest < least:
        whose = "wish" if wished > needed else "part"
        facts = trial.said(f"{whose}.min_generation")
        names = trial.named("part", "receptacle")
        yield RULE.no(whose, names, facts, slowest=slowest, least=least)
    elif least > 1 and alive:
        if trial.upstream.generation is None:
            names, facts = trial.named("receptacle"), trial.said("receptacle.generation")
            yield RULE.doubt("lanes' generation", names, facts, least=least)
        if any(link.able_generation is None and not link.to for link in alive):
            names, facts = trial.named("kind"), trial.said("kind.generation")
            yield RULE.doubt("part's generation", names, facts, least=least)


RULE = SeatRule(
    id="LANE004",
    title="link of a lower generation than the part needs",
    why="Some parts do not start, or are of no use, below a generation.",
    source="part description or build file, `min_generation`",
    says={
        "part": Wording(
            "{part} would train at generation {slowest} in {receptacle} and needs {least}"
        ),
        "wish": Wording(
            "{part} would train at generation {slowest} in {receptacle} and is to have {least}"
        ),
    },
    looks={
        "lanes' generation": Look(
            "{receptacle}: generation {least} or later",
            "generation {least} or later reaches {receptacle}",
            "the manual's slot table names it; on a running machine the port's LnkCap line in "
            "`lspci -vv` shows the speed",
            decides=True,
        ),
        "part's generation": Look(
            "{kind}: generation {least} or later",
            "{kind} is of generation {least} or later",
            "the part's data sheet; in a running machine its LnkCap line in `lspci -vv`",
            decides=True,
        ),
    },
    judge=judge,
    severity="darkens",
)
