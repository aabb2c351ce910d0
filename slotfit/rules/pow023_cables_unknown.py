"""POW023: cables of a supply not known."""

from collections import Counter
from collections.abc import Iterator

from slotfit.hardware.chains import Sockets, chains_of, sockets_of, splitters_in, too_many
from slotfit.model.machine import PowerSupply
from slotfit.model.reason import Look, Verdict
from slotfit.model.watts import may_be_in
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.power import PLUGS

FOR_CARDS = ("pcie-6", "pcie-8", "eps-8")
"""Plugs of which two hang on a cable that may carry no more than one of them; those of disks bear
the disks that can be plugged into them (common practice, no source)."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part whose plug may hang on a cable with others, and all together may take too much."""
    supply = trial.machine.power_supply
    own = sockets_of(trial.part.spec, supply) if supply else ()
    if supply is None or supply.plugs is None or not own:
        return
    there = [
        sockets
        for part in trial.problem.parts
        if may_be_in(trial.problem, part, trial.machine)
        and (sockets := sockets_of(part.spec, supply))
    ]
    names, facts = trial.named("machine", "supply"), trial.said("supply.cables")
    chains = chains_of(supply, splitters_in(trial.problem))
    if chains is None:
        for plug in FOR_CARDS:
            if watts_through(plug, own) and watts_through(plug, *there) > PLUGS[plug].power_w:
                yield RULE.doubt("cables", names, facts)
                return
    elif not too_many(tuple(sorted(Counter(there).items())), chains).is_all:
        yield RULE.doubt("shares", names, facts)


def watts_through(plug: str, *parts: Sockets) -> float:
    """What parts may draw through such plugs; of an adapter's tails another rule speaks."""
    sockets = (one for sockets in parts for one in sockets if plug in one.plugs)
    return sum(one.mw for one in sockets if not one.is_tail) / 1000


def has_several(supply: PowerSupply) -> bool:
    """Whether it has more than one plug for cards."""
    return sum(count for plug, count in (supply.plugs or {}).items() if plug in FOR_CARDS) > 1


RULE = SeatRule(
    id="POW023",
    title="cables of a supply not known",
    why="Two plugs for cards on one cable are fed by one run of wires. Cables are sold that carry "
    "no more to both than one plug may take.",
    source="cables with two plugs for cards: common practice, no source",
    looks={
        "cables": Look(
            "{supply}: what its cables with several plugs carry",
            "no cable of {supply} with several plugs carries less than what is plugged into it",
            "use a cable for each plug where there are enough; the supply's manual says what one "
            "cable carries: write `cables`, `[]` where each plug has its own",
        ),
        "shares": Look(
            "{machine}: sockets shared out over the cables",
            "the sockets in {machine} can be shared out so that no cable of {supply} carries "
            "more than its watts",
            "share them out on paper, the largest first, each on the cable that has most left",
        ),
    },
    gaps=(
        Gap(
            "power supply",
            "cables",
            lambda supply: has_several(supply) and supply.cables is None,
            "which of its plugs for cards share a cable is not said, so cards that draw more "
            "through them than one carries are in doubt",
            "count the plugs on each cable; its manual says what one carries",
        ),
    ),
    judge=judge,
    counts_all=True,
)
