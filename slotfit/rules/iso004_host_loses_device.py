"""ISO004: host loses what it needs."""

from collections.abc import Iterator

from slotfit.model.board import Device
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial, is_function

NEEDED = ("drive", "host-bus-adapter", "accelerator")
"""Classes of parts that a host may boot from, or show its console on."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part for a guest that takes what the host keeps along, or may."""
    if trial.part.wish.owner is None or not is_function(trial.part.spec):
        return
    keeps = trial.machine.entry.keeps
    if keeps is None:
        if may_be_needed(trial):
            yield RULE.doubt("keeps", trial.named("machine"), trial.said("machine.keeps"))
        return
    for one in trial.machine.board.devices or ():
        if one.id in keeps and takes_group(trial):
            yield from kept(trial, one)


def kept(trial: Trial, one: Device) -> Iterator[Verdict]:
    """A device that stays with the host, beside a group that goes to a guest."""
    names = {**trial.named("machine"), "device": one.id}
    facts = (Cited("device", one.id, one, "isolation"), *trial.said("machine.keeps"))
    if one.isolation is None:
        yield RULE.doubt("where", names, facts[:1], group=word(trial))
    elif one.isolation == word(trial):
        names |= trial.named("part", "receptacle")
        yield RULE.no("kept", names, facts, guest=trial.part.wish.owner, group=word(trial))


def may_be_needed(trial: Trial) -> bool:
    """Whether the host may boot from what goes to the guest, or show its console on it."""
    if trial.part.spec.part_class in NEEDED:
        return True
    devices = trial.machine.board.devices
    some = devices is None or any(one.isolation in (None, word(trial)) for one in devices)
    return some and takes_group(trial)


def word(trial: Trial) -> str:
    """The group of the receptacle on the board."""
    return str(trial.said("root.isolation")[0].value)


def takes_group(trial: Trial) -> bool:
    """Whether the whole group of the board's receptacle goes along, no port keeping it apart."""
    return trial.upstream.isolation == f"{trial.machine.id}/{word(trial)}"


RULE = SeatRule(
    id="ISO004",
    title="host loses what it needs",
    why="On-board devices are members of isolation groups too: a card in the chipset's group takes "
    "the chipset's SATA and USB along, and with them the drive that the host runs from.",
    source="Linux 6.12 Documentation/driver-api/vfio.rst, read in the source; that chipset "
    "functions share a group: common practice, no source",
    says={
        "kept": Wording(
            "{part} in {receptacle} would take {device}, which {machine} keeps, along to guest "
            "{guest}: both are in isolation group {group}"
        )
    },
    looks={
        "keeps": Look(
            "{machine}: host keeps what it needs",
            "{machine} boots from, and shows its console on, nothing that goes to a guest",
            "`findmnt /` and `lsblk -s` name the drive, `ls -l /sys/class/drm` the display; then "
            "write `keeps` in the machine, `[]` if it may all go",
        ),
        "where": Look(
            "{machine}: group of {device}",
            "{device} of {machine} is not in isolation group {group}",
            "on a running machine look for it in /sys/kernel/iommu_groups/*/devices",
        ),
    },
    gaps=(
        Gap(
            "board",
            "devices",
            lambda board: (
                board.devices is None
                and any(one.isolation is not None for one in board.receptacles)
            ),
            "which on-board devices share isolation groups with slots is not said; it matters only "
            "for a part that is handed to a virtual machine",
            "/sys/kernel/iommu_groups on a running machine; `slotfit read` writes them down",
            changes=("place",),
        ),
    ),
    judge=judge,
)
