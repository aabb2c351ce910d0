"""FIT025: disk too big for the bay."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec, ReceptacleSpec
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial
from slotfit.standards.bays import BAY_FORMS, GOES_INTO

DISKS = ("sata", "sas")
"""Plugs of disks of either size; U.2 and U.3 drives are 2.5-inch ones."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A disk in a bay that is too small for it, or of which that is not known."""
    spec, bay = trial.part.spec, trial.receptacle.spec.bay
    if spec.part_class != "drive" or spec.plug.form not in DISKS or not is_bay(trial):
        return
    if spec.bay is None:
        if bay != "3.5":
            yield RULE.doubt("disk", trial.named("kind", "receptacle"), trial.said("kind.bay"))
    elif bay is None:
        if spec.bay == "3.5":
            facts = trial.said("receptacle.bay")
            yield RULE.doubt("bay", trial.named("receptacle"), facts, disk=spec.bay)
    elif bay not in GOES_INTO[spec.bay]:
        facts = trial.said("part.bay", "receptacle.bay")
        names = trial.named("part", "receptacle")
        yield RULE.no("size", names, facts, disk=spec.bay, bay=bay)


def is_bay(trial: Trial) -> bool:
    """Whether the receptacle is at the back of a bay, not a port or an end of a cable."""
    here, parts = trial.receptacle, trial.problem.part
    return stands_behind_a_bay(here.spec, None if here.on_board else parts[here.owner].spec)


BEHIND_BAYS = {"board": BAY_FORMS, "carrier": BAY_FORMS, "backplane": (*BAY_FORMS, *DISKS)}
"""What has bays of its own -> forms of the receptacles at their back."""


def stands_behind_a_bay(receptacle: ReceptacleSpec, owner: PartSpec | None) -> bool:
    return receptacle.form in BEHIND_BAYS.get(owner.part_class if owner else "board", ())


def has_silent_bay(part: PartSpec) -> bool:
    """Whether it has a bay of which nobody has said the size."""
    return any(one.bay is None and stands_behind_a_bay(one, part) for one in part.receptacles)


RULE = SeatRule(
    id="FIT025",
    title="disk too big for the bay",
    why="A 3.5-inch disk is wider than a 2.5-inch bay; a 2.5-inch one goes into either, with a "
    "frame. The connector does not tell: the same one stands behind bays of both sizes.",
    source="SFF-8201, SFF-8301, widths of 69.85 and 101.6 mm (from memory); frames: common "
    "practice, no source",
    says={"size": Wording("{part} is a {disk}-inch disk and {receptacle} a {bay}-inch bay")},
    looks={
        "bay": Look(
            "{receptacle}: bay for a {disk}-inch disk",
            "{receptacle} is a {disk}-inch bay",
            "hold a ruler to it: a 3.5-inch bay is about 102 mm wide, a 2.5-inch one 70",
            decides=True,
        ),
        "disk": Look(
            "{kind}: 2.5-inch disk",
            "{kind} is a disk of the size that {receptacle} takes",
            "hold a ruler to it: a 3.5-inch disk is about 102 mm wide, a 2.5-inch one 70",
            decides=True,
        ),
    },
    gaps=(
        Gap(
            "receptacle",
            "bay",
            lambda one: one.form in BAY_FORMS and one.bay is None,
            "how big its bay is is not said, so a 3.5-inch disk there is in doubt",
            'measure it: about 70 mm wide is `bay: "2.5"`, about 102 mm `bay: "3.5"`',
        ),
        Gap(
            "part",
            "receptacles",
            has_silent_bay,
            "the size of its bays (`bay`) is not said, so a 3.5-inch disk there is in doubt",
            'measure them: about 70 mm wide is `bay: "2.5"`, about 102 mm `bay: "3.5"`',
        ),
    ),
    judge=judge,
)
