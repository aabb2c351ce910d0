"""
Likely causes of each kind of difference, in the order in which to look.

Common practice, no source, as far as nothing else is named. A cause stands only where its condition
holds; what the machine itself shows (`CauseEvidence`) moves a cause to the front.
"""

from __future__ import annotations

from collections.abc import Callable
from dataclasses import dataclass

from slotfit.answers.verify.answer import LikelyCause


@dataclass(frozen=True, slots=True)
class CauseEvidence:
    """
    What is known around a difference; None is not known.

    `split`: the plan divides the slot. `divided`: its ports are divided as planned now.
    `cut`: they are divided now, and the plan has the slot whole. `shared`: the slot has its lanes
    in common with another. `port_able`: the port itself offers what was planned. `present`: its
    contact says that something is plugged in. `perhaps_in`: where something is plugged in, does not
    answer, and is in no plan. `passive`: lanes pass through a carrier. `long_way`: they pass
    through a riser, an adapter or a cable. `holder_answers`: the part that holds what is missing
    has a switch, and that answers. `all_gone`: nothing in the slot answers, not even what hangs on
    its first lane. `fewer_processors`: fewer are there than were planned.
    `several`: more than one slot differs in this. `wires`: the errors are of the wires.
    `silent_drive`: a drive was reset, and its link counted nothing.
    """

    setting: str | None = None
    split: bool = False
    divided: bool | None = None
    cut: bool = False
    shared: bool = False
    all_gone: bool = False
    port_able: bool | None = None
    card_able: bool | None = None
    present: bool | None = None
    perhaps_in: str | None = None
    passive: bool = False
    long_way: bool = False
    generation: int = 0
    plugs: bool = False
    holder_answers: bool = False
    on_hub: bool = False
    fewer_processors: bool | None = None
    several: bool = False
    wires: bool | None = None
    silent_drive: bool = False


@dataclass(frozen=True, slots=True)
class Cause:
    """One cause: its word, when it may be and when it is likely, and what to try."""

    word: str
    text: str
    next: str
    may_be: Callable[[CauseEvidence], bool] = lambda _: True
    likely: Callable[[CauseEvidence], bool] = lambda _: False


def undivided(shown: CauseEvidence) -> bool:
    """Whether the slot may not be divided, as the plan has it, though something answers there."""
    return shown.split and shown.divided is not True and not shown.all_gone


SPLIT = Cause(
    "split-not-set",
    "the split is not set: the slot's lanes are not divided as planned",
    "in the firmware setup choose {setting}; save, power the machine off and on again, and look "
    "once more",
    undivided,
    lambda shown: shown.divided is False,
)
WRONG_PORT = Cause(
    "split-of-another-port",
    "the setting was made for another port: menus name ports, not slots",
    "set {setting} for one port after the other and see which slot it divides; the manual has the "
    "table of ports",
    undivided,
)
CUT = Cause(
    "divided",
    "the slot's lanes are divided, and the plan has them whole",
    "in the firmware setup set the slot to one link, or to automatic; save, power the machine off "
    "and on again, and look once more",
    lambda shown: shown.cut,
    lambda shown: shown.cut,
)
NEIGHBOUR = Cause(
    "neighbour",
    "a card in a neighbouring slot takes the lanes",
    "power off, unplug, and take the neighbour out once; if that helps, the board shares these "
    "lanes",
    lambda shown: (
        not shown.holder_answers
        and shown.port_able is not True
        and (shown.shared or shown.port_able is False)
    ),
    lambda shown: shown.port_able is False and not shown.split and not shown.cut,
)
EMPTY = Cause(
    "not-plugged-in",
    "nothing is plugged in, as the slot's own contact says: it was left out, or does not reach",
    "power off, unplug, and look; press it in until it is level, fix the bracket or screw",
    lambda shown: shown.present is False,
    lambda shown: shown.present is False,
)
ASTRAY = Cause(
    "wrong-slot",
    "it may sit in {perhaps_in}: something is plugged in there that does not answer and is in no "
    "plan",
    "power off, unplug, look into that slot, and move it",
    lambda shown: bool(shown.perhaps_in) and shown.present is False,
    lambda shown: bool(shown.perhaps_in) and shown.present is False,
)
SEATING = Cause(
    "seating",
    "it is not fully seated",
    "power off, unplug, press it in until it is level, fix the bracket or screw",
    lambda shown: shown.present is not False,
    likely=lambda shown: shown.port_able is True and shown.card_able is True,
)
CONTACTS = Cause(
    "contacts",
    "its contacts are dirty",
    "power off, unplug, wipe the contacts with a lint-free cloth and isopropyl alcohol",
)
PLUGS = Cause(
    "no-power",
    "it gets no power: a plug is loose or missing",
    "power off, unplug; seat every plug of the card until it clicks, with the supply's own cables",
    lambda shown: shown.plugs,
)
TOO_LONG = Cause(
    "long-way",
    "the riser or cable is too long, or not made, for this generation",
    "set the port one generation lower; if it comes up, use a shorter or better riser or cable, or "
    "one with a retimer",
    lambda shown: shown.long_way,
    lambda shown: shown.generation >= 4 and shown.present is not False,
)
RESEAT = Cause(
    "seating",
    "it is not fully seated, or its contacts are dirty",
    "power off, unplug; take it out, wipe the contacts with a lint-free cloth and isopropyl "
    "alcohol, press it in until it is level, fix the bracket or screw; then count again",
    lambda shown: shown.wires is not False,
    lambda shown: shown.wires is True and not shown.long_way,
)
ONE_LOWER = Cause(
    "one-generation-lower",
    "the wires on the way do not carry this generation cleanly",
    "set the slot one generation lower in the firmware setup and count again; if the errors stop, "
    "keep it there, or shorten the way",
    lambda shown: shown.wires is not False and shown.generation > 1,
)
OTHER_CABLE = Cause(
    "long-way",
    "the riser or cable is too long, bent, or not made for this generation",
    "set the port one generation lower; if the errors stop, use a shorter or better riser or "
    "cable, or one with a retimer",
    lambda shown: shown.long_way and shown.wires is not False,
    lambda shown: shown.long_way,
)
LINK_POWER_SAVING = Cause(
    "link-power-saving",
    "the link's power saving does not suit the part",
    "start once with `pcie_aspm=off` on the kernel's command line (drives: also "
    "`nvme_core.default_ps_max_latency_us=0`), and count again",
    likely=lambda shown: shown.silent_drive,
)
DRIVE_POWER_SAVING = Cause(
    "link-power-saving",
    "the power saving of the drives' links does not suit them",
    "write `max_performance` to the `link_power_management_policy` of their port in "
    "/sys/class/scsi_host, and count again",
)
ADAPTER_HOT = Cause(
    "adapter",
    "what all of them have in common: the adapter is hot or not seated, its cable or plug is loose",
    "feel for air over the adapter while it works; then power off, unplug, seat it and its cables",
)
OLD_FIRMWARE = Cause(
    "old-firmware",
    "old firmware of the board or the part",
    "read the release notes of both for slots, splits and links; update as their makers say",
)
SLOT_OFF = Cause(
    "slot-off",
    "the slot is switched off in the firmware, or held for something else",
    "look for the slot in the firmware setup: enabled, speed automatic, not given to a storage "
    "volume controller",
)
BROKEN = Cause(
    "broken",
    "the part or the slot is broken",
    "power off, unplug; try the part in another slot, and another part in this one",
)
WRONG_SLOT = Cause(
    "wrong-slot",
    "it was put into another slot than planned",
    "power off, unplug, and move it; or plan again with `pin` where it is",
)
CHANGED_PLACES = Cause(
    "changed-places",
    "they were put into each other's slots",
    "power off, unplug, and put each where the plan has it; or plan again with `pin` where they "
    "are",
)
WRONG_LABEL = Cause(
    "wrong-label",
    "the firmware calls the slot by another number than the board has printed on it",
    "power off, unplug, take the card out and see which slot empties; then put the firmware's name "
    "for it as `label` in the board file",
)
PROCESSOR_GONE = Cause(
    "processor-gone",
    "the processor is not there, or does not start: none of its slots can answer",
    "power off, unplug, and look whether it is fitted, its power plug and its memory are seated; "
    "the firmware's own log says which processor it leaves out",
    lambda shown: shown.fewer_processors is not False,
)
PROCESSOR_SLOTS_OFF = Cause(
    "slot-off",
    "the processor's ports are switched off in the firmware",
    "look for its slots in the firmware setup: enabled, speed automatic",
    lambda shown: shown.fewer_processors is not True,
)
LIMIT_SET = Cause(
    "limit-set",
    "the port's speed is limited in the firmware",
    "set the slot's link speed to automatic",
    likely=lambda shown: shown.port_able is False,
)
FILE_WRONG = Cause(
    "file-wrong",
    "the description says more than the hardware can do",
    "compare the part's data sheet and the board's manual with their files, and correct them",
    likely=lambda shown: shown.card_able is False,
)
BOARD_FILE = Cause(
    "board-file",
    "the board file names the wrong processor for this slot",
    "look at the board's block diagram; correct `from`",
    likely=lambda shown: shown.several,
)
NO_ISOLATION = Cause(
    "no-access-control",
    "the port above does not keep apart what is below it",
    "look for access control services (ACS) in the firmware setup and switch them on",
)
SHARED_SWITCH = Cause(
    "shared-switch",
    "both are attached to one switch or chipset that does not keep them apart",
    "move one of them to a slot with a root port of its own",
    likely=lambda shown: shown.on_hub,
)
DRIVE_KIND = Cause(
    "drive-kind",
    "a drive of another bus sits in the socket (SATA in one wired for NVMe)",
    "read the label of the drive",
    lambda shown: shown.passive and shown.present is not False,
)
VOLUME = Cause(
    "volume-controller",
    "a storage volume controller of the processor or a RAID mode hides the drives",
    "in the firmware setup see whether it is on for these ports; back up before you change it, for "
    "volumes that it made cannot be read without it",
)
CABLE = Cause(
    "cable",
    "a data or power cable of a drive is loose, or in another port",
    "power off, unplug, and follow each cable from the adapter to the drive",
)
LOGICAL = Cause(
    "volumes",
    "the adapter shows volumes, not drives",
    "look with the adapter's own tool, or set it to pass drives through",
)
SWAPPED = Cause(
    "swapped",
    "they were put into each other's sockets",
    "look at the labels in the sockets; power off, unplug, and swap them; or swap them in the plan",
)
COUNTED_BACKWARDS = Cause(
    "counted-backwards",
    "the board leads the slot's lanes in the opposite order, or the file has them so",
    "take one drive out and see which one is gone; then correct the carrier's `links` or the board",
)
NOT_IN_PLAN = Cause(
    "not-in-plan",
    "the build file does not know it",
    "add it to the build file and plan again; or take it out",
)
OTHER_LISTING = Cause(
    "another-machine",
    "it was read from another machine, or before the move",
    "collect on the machine itself once more: `slotfit collect`",
)
DEVICE_OFF = Cause(
    "device-off",
    "it is switched off in the firmware",
    "look for the on-board devices in the firmware setup",
)

CAUSES: dict[str, tuple[Cause, ...]] = {
    "missing": (
        ASTRAY, EMPTY, PLUGS, SEATING, SLOT_OFF, NEIGHBOUR, TOO_LONG, CONTACTS, OLD_FIRMWARE,
        BROKEN,
    ),
    "elsewhere": (WRONG_SLOT, WRONG_LABEL),
    "changed-places": (CHANGED_PLACES, WRONG_LABEL),
    "another-part": (WRONG_SLOT, WRONG_LABEL),
    "another-machine": (OTHER_LISTING,),
    "processor-missing": (PROCESSOR_GONE, PROCESSOR_SLOTS_OFF, OLD_FIRMWARE, BROKEN),
    "fewer-drives": (
        SPLIT, ASTRAY, EMPTY, WRONG_PORT, SEATING, NEIGHBOUR, DRIVE_KIND, CONTACTS, TOO_LONG,
        VOLUME, OLD_FIRMWARE, BROKEN,
    ),
    "fewer-disks": (CABLE, LOGICAL, SEATING, OLD_FIRMWARE, BROKEN),
    "device-missing": (DEVICE_OFF, OLD_FIRMWARE, BROKEN),
    "narrower": (
        SPLIT, CUT, WRONG_PORT, NEIGHBOUR, SEATING, CONTACTS, TOO_LONG, FILE_WRONG, OLD_FIRMWARE,
        BROKEN,
    ),
    "slower": (TOO_LONG, LIMIT_SET, CONTACTS, SEATING, FILE_WRONG, OLD_FIRMWARE, BROKEN),
    "errs": (
        OTHER_CABLE, RESEAT, ONE_LOWER, LINK_POWER_SAVING, OLD_FIRMWARE, BROKEN,
    ),
    "drive-errs": (CABLE, DRIVE_POWER_SAVING, OLD_FIRMWARE, BROKEN),
    "adapter-errs": (ADAPTER_HOT, CABLE, DRIVE_POWER_SAVING, OLD_FIRMWARE, BROKEN),
    "other-processor": (WRONG_SLOT, BOARD_FILE, WRONG_LABEL),
    "shared-isolation": (NO_ISOLATION, SHARED_SWITCH, OLD_FIRMWARE),
    "other-order": (SWAPPED, COUNTED_BACKWARDS),
    "extra": (NOT_IN_PLAN,),
}  # fmt: skip
"""Kind of finding -> causes, the likeliest first."""


def causes_of(kind: str, shown: CauseEvidence) -> tuple[LikelyCause, ...]:
    """The causes that may be, those that the machine points to before the others."""
    may_be = [cause for cause in CAUSES.get(kind, ()) if cause.may_be(shown)]
    ordered = sorted(may_be, key=lambda cause: not cause.likely(shown))
    values = {
        "{setting}": f'"{shown.setting}"' if shown.setting else "the split",
        "{perhaps_in}": shown.perhaps_in or "another slot",
    }
    return tuple(
        LikelyCause(cause.word, filled(cause.text, values), filled(cause.next, values))
        for cause in ordered
    )


def filled(text: str, values: dict[str, str]) -> str:
    """A cause's words with what the machine puts into them."""
    for mark, value in values.items():
        text = text.replace(mark, value)
    return text
