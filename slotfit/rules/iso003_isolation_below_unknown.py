"""ISO003: isolation below a slot or a switch not known."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial, is_function


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part for a guest on a segment or a switch port that may share its neighbours' group."""
    if trial.part.wish.is_handed_over and is_function(trial.part.spec):
        for name in trial.upstream.isolators:
            yield unknown(trial, name)


def unknown(trial: Trial, name: str) -> Verdict:
    """The fact that the ports keep guests apart."""
    part = trial.problem.part.get(name)
    if part:
        facts = (Cited("carrier", name, part.spec, "isolates_guests"),)
        return RULE.doubt("switch", {"carrier": name}, facts)
    spec = trial.problem.receptacle[name].spec
    facts = (Cited("receptacle", name, spec, "isolates_guests"),)
    return RULE.doubt("segments", {"receptacle": name}, facts)


def is_unknown(spec: PartSpec) -> bool:
    """Whether nobody has said if a switch keeps what hangs on it apart."""
    pcie = any(link.bus == "pcie" for link in spec.links)
    return spec.wiring == "switch" and spec.isolates_guests is None and pcie


FLAGS = "SrcValid, ReqRedir, CmpltRedir and UpstreamFwd"
"""What a port needs to keep what hangs on it apart, as `lspci -vvv` spells it."""

LOOK_AT_THE_PORTS = (
    f"the ACSCap lines of those ports in `lspci -vvv` list {FLAGS}; or see what stands in "
    "/sys/kernel/iommu_groups/*/devices together, for the kernel knows ports that keep apart "
    "without such a line; then write `isolates_guests`"
)

RULE = SeatRule(
    id="ISO003",
    title="isolation below a slot or a switch not known",
    why="Ports without access control services put all that is attached to them into one group.",
    source="Linux 6.12 drivers/iommu/iommu.c, REQ_ACS_FLAGS and pci_device_group; "
    "drivers/pci/quirks.c, pci_dev_acs_enabled, read in the source",
    looks={
        "switch": Look(
            "{carrier}: ports keep guests apart",
            "the ports of {carrier} keep guests apart",
            LOOK_AT_THE_PORTS,
        ),
        "segments": Look(
            "{receptacle}: ports keep guests apart",
            "the ports that {receptacle} is divided into keep guests apart",
            LOOK_AT_THE_PORTS,
        ),
    },
    gaps=(
        Gap(
            "part",
            "isolates_guests",
            is_unknown,
            "whether its ports keep guests apart is not said; it matters only for parts that are "
            "handed to virtual machines",
            "the ACSCap lines of its ports in `lspci -vvv`",
            changes=("place",),
        ),
    ),
    judge=judge,
)
