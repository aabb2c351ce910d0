"""LANE009: generation of a link not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Trained, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link of which nobody can tell how fast either end is."""
    ends = [link for link in trial.links if link.lanes and link.bus == "pcie" and not link.to]
    if not ends:
        return
    if trial.offer.generation is None:
        yield Doubt(RULE.id, lanes_unknown(trial, ends))
    elif any(link.able_generation is None for link in ends):
        yield Doubt(RULE.id, part_unknown(trial, trial.offer.generation))


def lanes_unknown(trial: Trial, ends: list[Trained]) -> Fact:
    """The fact that the lanes are as fast as the part, and as the wires to it, could be."""
    fastest = max((link.generation or 0 for link in ends), default=0)
    source = maker_of_lanes(trial)
    return Fact(
        f"{source}: generation {f'{fastest} or later' if fastest else 'as the part'}",
        f"{source} is of generation {fastest} or later"
        if fastest
        else f"{source} is as fast as {trial.item.part.id}, of which neither is known",
        "the manual's slot table names it; on a running machine the port's LnkCap line in "
        "`lspci -vv` shows the speed",
        trial.site.receptacle.span("generation"),
    )


def maker_of_lanes(trial: Trial) -> str:
    """The switch that makes the lanes, or else the board receptacle that they come through."""
    for carrier in trial.offer.carriers:
        if trial.problem.item[carrier].part.wiring != "passive":
            return carrier
    return trial.offer.root


def part_unknown(trial: Trial, generation: int) -> Fact:
    """The fact that the part is as fast as the lanes."""
    part = trial.item.part
    return Fact(
        f"{part.id}: generation {generation} or later",
        f"{part.id} is of generation {generation} or later",
        "the part's data sheet; in a running machine its LnkCap line in `lspci -vv`",
        part.span("generation"),
    )


RULE = SeatRule(
    id="LANE009",
    title="generation of a link not known",
    why="Without it no bandwidth can be promised.",
    source="PCI Express Base: a link trains at the lower of both ends' rates, as quoted",
    judge=judge,
)
