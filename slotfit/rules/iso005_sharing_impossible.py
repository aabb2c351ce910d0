"""ISO005: part that guests cannot share so."""

from collections.abc import Iterator

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial, is_function


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part of which several guests are to have a share."""
    wish = trial.part.wish
    if not wish.is_shared or not is_function(trial.part.spec):
        return
    if wish.shared_by is None:
        facts = trial.said("wish.shared_by")
        yield RULE.doubt("how", trial.named("part"), facts, {"guests": wish.guests})
    elif wish.shared_by == "virtual-functions":
        yield from virtual(trial)
    elif wish.shared_by == "mediated":
        yield from mediated(trial)


def virtual(trial: Trial) -> Iterator[Verdict]:
    """One virtual function a guest, each in an isolation group of its own."""
    has, guests = trial.part.spec.virtual_functions, len(set(trial.part.wish.guests))
    names = trial.named("kind")
    facts = trial.said("kind.virtual_functions")
    if has is None:
        yield RULE.doubt("virtual", names, facts, guests=guests)
    elif has < guests:
        yield RULE.no("virtual", trial.named("part"), facts, has=has, guests=guests)
    if trial.upstream.isolation is not None and not trial.upstream.alone and guests > 1:
        facts = trial.said("root.isolation")
        group = trial.upstream.isolation
        yield RULE.no("group", trial.named("part", "receptacle"), facts, group=group)


def mediated(trial: Trial) -> Iterator[Verdict]:
    """The driver cuts the part into shares."""
    facts = trial.said("kind.mediated")
    if trial.part.spec.mediated is None:
        yield RULE.doubt("mediated", trial.named("kind"), facts)
    elif not trial.part.spec.mediated:
        yield RULE.no("mediated", trial.named("part"), facts)


RULE = SeatRule(
    id="ISO005",
    title="part that guests cannot share so",
    why="A share needs something that makes it: virtual functions in the part, a driver that cuts "
    "it up, or a service of the host.",
    source="Linux 6.12 Documentation/PCI/pci-iov-howto.rst and Documentation/driver-api/"
    "vfio-mediated-device.rst, from memory",
    says={
        "virtual": Wording(
            "{part} has {has} virtual functions and {guests} guests are to share it"
        ),
        "group": Wording(
            "virtual functions of {part} in {receptacle} would not be kept apart: {group} is one "
            "isolation group with what is beside it"
        ),
        "mediated": Wording("no driver cuts {part} into shares"),
    },
    looks={
        "how": Look(
            "{part}: how it is shared",
            "{part} can be shared by {guests}",
            "choose one: `shared_by: virtual-functions` (see sriov_totalvfs of it in sysfs), "
            "`mediated` (its driver's manual) or `host-service` (a bridge or a file share)",
            words={"guests": " and ".join},
        ),
        "virtual": Look(
            "{kind}: {guests} virtual functions",
            "{kind} has virtual functions for {guests}",
            "`cat /sys/bus/pci/devices/*/sriov_totalvfs`, or `lspci -vvv` (Single Root I/O "
            "Virtualization); the firmware setup has to switch it on as well",
        ),
        "mediated": Look(
            "{kind}: shares by its driver",
            "the driver of {kind} cuts it into shares for guests",
            "the driver's manual; on a running host /sys/class/mdev_bus lists such parts",
        ),
    },
    judge=judge,
)
