"""POW021: adapter for a plug that the supply lacks."""

from collections.abc import Iterator

from slotfit.hardware.leads import ADAPTED, adapter_for
from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.power import Adapter


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part with a socket for which the supply may have no plug left, but others to adapt."""
    power, supply = trial.part.spec.power, trial.machine.power_supply
    if power is None or supply is None or supply.plugs is None:
        return
    for socket in ADAPTED:
        own = sum(count for plug, count in supply.plugs.items() if plug == socket)
        row = adapter_for(power, socket) if socket in power.aux else None
        if row is not None and wanted(trial, socket) > own:
            names, facts = trial.named("part", "machine"), trial.said("supply.plugs")
            told = {"plug": row.plug, "own": own, "watts": row.power_w}
            there = leads_to(trial, row)
            yield RULE.doubt("adapter", names, facts, told, there, socket=socket, count=row.tails)


def leads_to(trial: Trial, row: Adapter) -> tuple[str, ...]:
    """Adapters among the parts of the build that are as strong."""
    return tuple(
        part.id
        for part in trial.problem.parts
        if part.spec.plug.form == row.socket
        and part.spec.power
        and sum(plug == row.plug for plug in part.spec.power.aux) >= row.tails
    )


def wanted(trial: Trial, socket: str) -> int:
    """Sockets of that kind on all parts of the build."""
    powers = (part.spec.power for part in trial.problem.parts)
    return sum(one == socket for power in powers if power for one in power.aux)


RULE = SeatRule(
    id="POW021",
    title="adapter for a plug that the supply lacks",
    why="Two, three or four 8-contact plugs make a 12v-2x6 plug of 300, 450 or 600 W, two make an "
    "EPS plug. It is one part from one maker, never a lead made at home: the EPS plug looks like "
    "an 8-contact one for cards, is wired the other way round, and must never be forced into it.",
    source="leads from two, three and four eight-contact plugs: common practice, no source",
    looks={
        "adapter": Look(
            "{part}: adapter from {count} {plug} plugs to {socket}, {watts} W",
            "{part} gets an adapter from {count} {plug} plugs to {socket} for {watts} W{own}",
            "look whether one came with the card or the supply, and what its label says; buy one "
            "whole from one maker, each of its tails on a cable of its own; count the plug under "
            "`plugs` of the supply once it is there",
            decides=True,
            words={"own": lambda own: ", or a plug of the supply's own" if own else ""},
        )
    },
    judge=judge,
    counts_all=True,
)
