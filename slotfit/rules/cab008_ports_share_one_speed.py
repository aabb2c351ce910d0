"""CAB008: ports that share one speed with ends that differ."""

from collections.abc import Iterator
from itertools import combinations
from typing import Literal

from slotfit.model.part import PartSpec
from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """Any two ports in use whose far ends run at different rates, or may."""
    spec, ends = trial.part.spec, trial.part.wish.ends
    for one, other in combinations(ends, 2):
        shared, rates = share(spec, one, other), rates_at(trial, one, other)
        if (shared and rates != "same") or (shared is None and rates == "two"):
            facts = trial.said("kind.ports")
            yield RULE.doubt("apart", trial.named("part"), facts, one=one, other=other)


def rates_at(trial: Trial, one: str, other: str) -> Literal["same", "two", "open"]:
    """How the far ends of two ports run; of a machine here nobody says it, and nobody is asked."""
    outside = trial.problem.outside
    leads = [trial.part.wish.ends[port].to for port in (one, other)]
    rates = {outside.get(to) for to in leads}
    if None in rates:
        return "open" if any(to in outside for to in leads) else "same"
    return "two" if len(rates) > 1 else "same"


def share(spec: PartSpec, one: str, other: str) -> bool | None:
    """Whether two ports run at one rate; None if neither says."""
    said = [
        (spec.port[port], mate) for port, mate in ((one, other), (other, one)) if port in spec.port
    ]
    known = [
        mate in port.shares_speed_with for port, mate in said if port.shares_speed_with is not None
    ]
    return any(known) if known else None


RULE = SeatRule(
    id="CAB008",
    title="ports that share one speed with ends that differ",
    why="Many cards have one clock for two ports: with 10 Gb/s at one end and 25 at the other, one "
    "of the links stays down.",
    source="common practice, no source",
    looks={
        "apart": Look(
            "{part}: {one} and {other} at speeds of their own",
            "{one} and {other} of {part} run at the speeds of their two ends at the same time",
            "the card's manual, 'port speed' or 'mixed rates'; write `shares_speed_with` at its "
            "ports, and `gb_s` at outside ends",
        )
    },
    judge=judge,
)
