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
    slowest = min((link.generation for link in alive if link.generation), default=least)
    if slowest < least:
        by_wish = (wish.min_generation or 0) > (part.min_generation or 0)
        yield Objection(
            RULE.id,
            f"{trial.item.id} would train at generation {slowest} in {trial.site.id} and "
            f"{'is to have' if by_wish else 'needs'} {least}",
            written((wish if by_wish else part).span("min_generation")),
        )
    elif least > 1 and alive:
        if trial.offer.generation is None:
            yield Doubt(RULE.id, slot_unknown(trial, least))
        if any(link.able_generation is None and not link.to for link in alive):
            yield Doubt(RULE.id, part_unknown(trial, least))


def slot_unknown(trial: Trial, least: int) -> Fact:
    """Nobody has said which generation reaches the receptacle."""
    return Fact(
        f"{trial.site.id}: generation {least} or later",
        f"generation {least} or later reaches {trial.site.id}",
        "the manual's slot table names it; on a running machine the port's LnkCap line in "
        "`lspci -vv` shows the speed",
        trial.site.receptacle.span("generation"),
    )


def part_unknown(trial: Trial, least: int) -> Fact:
    """Nobody has said of which generation the part is."""
    part = trial.item.part
    return Fact(
        f"{part.id}: generation {least} or later",
        f"{part.id} is of generation {least} or later",
        "the part's data sheet; in a running machine its LnkCap line in `lspci -vv`",
        part.span("generation"),
    )


RULE = SeatRule(
    id="LANE004",
    title="link of a lower generation than the part needs",
    why="Some parts do not start, or are of no use, below a generation.",
    source="part description or build file, `min_generation`",
    judge=judge,
)
