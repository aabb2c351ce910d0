"""ISO006: drives that a guest gets through an array's firmware."""

from collections.abc import Iterator

from slotfit.model.problem import Part
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A drive for a guest behind an adapter that hides it in an array, or may."""
    adapter = adapter_above(trial)
    if adapter is None or trial.part.spec.part_class != "drive" or adapter.wish.mode == "plain":
        return
    guest = trial.part.wish.owner or adapter.wish.owner
    if guest is None or not adapter.spec.has_modes:
        return
    only = adapter.spec.modes == ("raid",)
    case = "raid" if only or adapter.wish.mode == "raid" else "mode"
    facts = (Cited("adapter", adapter.id, adapter.wish, "mode"),)
    yield RULE.doubt(case, {"adapter": adapter.id}, facts, guest=guest)


def adapter_above(trial: Trial) -> Part | None:
    """The controller that a drive hangs on, expanders between them or not."""
    above = (trial.problem.part.get(str(hop)) for hop in trial.upstream.hops)
    return next((one for one in above if one and one.spec.wiring == "controller"), None)


RULE = SeatRule(
    id="ISO006",
    title="drives that a guest gets through an array's firmware",
    why="In its RAID mode an adapter shows arrays of its own instead of drives: a guest sees "
    "neither their serial numbers nor their health, and no other adapter reads them.",
    source="common practice, no source",
    looks={
        "mode": Look(
            "{adapter}: mode of its firmware",
            "the firmware of {adapter} is in its plain mode, so that guest {guest} gets each drive "
            "as it is",
            "`lsblk -o NAME,MODEL,SERIAL` shows each drive's own model and serial number in plain "
            "mode, and an array's otherwise; or its setup screen. Then write `mode`, or "
            "`modes: [plain]` in the adapter's file if it has no other. Changing the mode may "
            "erase the drives: copy what is on them first",
        ),
        "raid": Look(
            "{adapter}: drives behind RAID",
            "guest {guest} can work with the arrays that {adapter} shows instead of its drives",
            "its setup screen may have a plain mode (HBA, JBOD or pass-through); changing the mode "
            "may erase the drives: copy what is on them first, then write `mode: plain`",
        ),
    },
    gaps=(
        Gap(
            "part",
            "modes",
            lambda part: part.modes is None and part.has_modes,
            "whether its firmware can keep drives behind arrays is not said; it matters only for "
            "drives that go to a virtual machine",
            "the data sheet: `modes: [plain]`, `[raid]` or both",
            changes=("place",),
        ),
    ),
    judge=judge,
)
