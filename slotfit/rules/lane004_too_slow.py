"""LANE004: link of a lower generation than the part needs."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Objection, Verdict
from slotfit.rule import SeatRule, Trial, written


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link slower than the part, or the wish for it, allows."""
    part, wish = trial.item.part, trial.item.wish
    least = max(part.min_generation or 0, wish.min_generation or 0)
    alive = [link for link in trial.links if link.lanes and link.bus == "pcie"]
    if not least or not alive:
        return
    known = [link.generation for link in alive if link.generation is not None]
    if trial.offer.generation is None:
        yield Doubt(RULE.id, unknown(trial, least))
    elif min(known, default=least) < least:
        yield Objection(
            RULE.id,
            f"{trial.item.id} would train at generation {min(known)} in {trial.site.id} and "
            f"needs {least}",
            written(part.span("min_generation"), wish.span("min_generation")),
        )


def unknown(trial: Trial, least: int) -> Fact:
    """Nobody has said which generation reaches the receptacle."""
    return Fact(
        f"{trial.site.id}: generation {least} or later",
        f"generation {least} or later reaches {trial.site.id}",
        "the manual's slot table names it; on a running machine the port's LnkCap line in "
        "`lspci -vv` shows the speed",
        trial.site.receptacle.span(),
    )


RULE = SeatRule(
    id="LANE004",
    title="link of a lower generation than the part needs",
    why="Some parts do not start, or are of no use, below a generation.",
    source="part description or build file",
    judge=judge,
)
