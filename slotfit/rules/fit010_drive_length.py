"""FIT010: no stand-off for the drive's length."""

from collections.abc import Iterator, Sequence

from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """An M.2 module of a length that the socket has no stand-off for."""
    part, spec = trial.part.spec, trial.receptacle.spec
    if not spec.form.startswith("m2-") or trial.part.wish.is_unknown:
        return  # what is unknown is in there already
    length, lengths = part.length_mm, spec.drive_lengths
    if length is None or lengths is None:
        yield unknown(trial)
    elif round(length) not in lengths:
        facts = trial.said("part.length_mm", "receptacle.drive_lengths")
        names = trial.named("part", "receptacle")
        yield RULE.no("stand-off", names, facts, length=length, lengths=lengths)


def unknown(trial: Trial) -> Verdict:
    """Nobody has said how long the module is, or where the stand-offs are."""
    part, spec = trial.part.spec, trial.receptacle.spec
    module = f"{part.length_mm:g} mm" if part.length_mm is not None else part.id
    if spec.drive_lengths is None:
        case, facts = "stand-offs", trial.said("receptacle.drive_lengths")
    else:
        case, facts = "length", trial.said("kind.length_mm")
    return RULE.doubt(case, trial.named("receptacle"), facts, module=module)


def stand_offs(lengths: Sequence[int]) -> str:
    """For which lengths there are some."""
    return f"stand-offs for {', '.join(map(str, lengths))} mm" if lengths else "no stand-off"


RULE = SeatRule(
    id="FIT010",
    title="no stand-off for the drive's length",
    why="An M.2 module is screwed down at its far end, where the socket has stand-offs for "
    "certain lengths.",
    source="PCI Express M.2 module sizes, as quoted",
    says={
        "stand-off": Wording(
            "{part} is {length:g} mm long and {receptacle} has {lengths}",
            words={"lengths": stand_offs},
        )
    },
    looks={
        "length": Look(
            "{receptacle}: stand-off for {module}",
            "{receptacle} has a stand-off for {module}",
            "read the module's size: the last digits of 2280 or 22110 are its length in mm",
        ),
        "stand-offs": Look(
            "{receptacle}: stand-off for {module}",
            "{receptacle} has a stand-off for {module}",
            "look at the holes beyond the socket: their distances are printed beside them",
        ),
    },
    gaps=(
        Gap(
            "receptacle",
            "drive_lengths",
            lambda one: one.form.startswith("m2-") and one.drive_lengths is None,
            "for which lengths there is a stand-off is not said, so every module is in doubt",
            "the distances are printed beside the holes; 80 for a 2280 module",
        ),
        Gap(
            "part",
            "length_mm",
            lambda part: part.length_mm is None and part.plug.form.startswith("m2-"),
            "its length is not said, so whether there is a stand-off for it is in doubt",
            "the last digits of its size: 80 for 2280, 110 for 22110",
        ),
    ),
    judge=judge,
)
