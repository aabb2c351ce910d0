"""ISO003: isolation below a slot or a switch not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial, is_function

FLAGS = "SrcValid, ReqRedir, CmpltRedir and UpstreamFwd"
"""What a port needs to keep what hangs on it apart, as `lspci -vvv` spells it."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part for a guest on a segment or a switch port that may share its neighbours' group."""
    if trial.item.wish.guest and is_function(trial.item.part):
        for name in trial.offer.isolators:
            yield Doubt(RULE.id, unknown(trial, name))


def unknown(trial: Trial, name: str) -> Fact:
    """The fact that the ports keep guests apart."""
    item = trial.problem.item.get(name)
    ports = f"the ports of {name}" if item else f"the ports that {name} is divided into"
    return Fact(
        f"{name}: ports keep guests apart",
        f"{ports} keep guests apart",
        f"the ACSCap lines of those ports in `lspci -vvv` list {FLAGS}; or see what stands in "
        "/sys/kernel/iommu_groups/*/devices together",
        item.part.span() if item else trial.problem.site[name].receptacle.span(),
    )


RULE = SeatRule(
    id="ISO003",
    title="isolation below a slot or a switch not known",
    why="Ports without access control services put all that hangs on them into one group.",
    source="Linux 6.12 drivers/iommu/iommu.c, REQ_ACS_FLAGS and pci_device_group, read in the "
    "source",
    judge=judge,
)
