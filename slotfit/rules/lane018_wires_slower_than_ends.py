"""LANE018: wires slower than both ends of a link."""

from collections.abc import Iterator

from slotfit.hardware.wires import maker_of_lanes, outruns_wires, speed_setting
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link that comes up faster than the wires on its way, where nobody knows how to hold it."""
    if not outruns_wires(trial.links, trial.upstream):
        return
    setting, passes = speed_setting(trial.problem, trial.upstream), trial.upstream.passes
    source = maker_of_lanes(trial.problem, trial.upstream)
    if setting is False:
        facts = trial.said("root.speed_setting", "part.generation")
        yield RULE.no("free", trial.named("part", "root"), facts, passes=passes)
    elif setting is None:
        made = trial.problem.receptacle.get(source)
        entity = made.spec if made else trial.problem.part[source].spec
        facts = (Cited("receptacle", source, entity, "speed_setting"),)
        yield RULE.doubt("held", {"receptacle": source}, facts, passes=passes)


RULE = SeatRule(
    id="LANE018",
    title="wires slower than both ends of a link",
    why="Both ends settle on a rate and know nothing of a riser, cable or carrier between them: "
    "the link comes up faster than its wires carry, and errs, unless the port is held down.",
    source="PCI Express Base: a link trains at the lower of both ends' rates, as quoted; risers: "
    "common practice, no source",
    says={
        "free": Wording(
            "{part} would come up faster than generation {passes}, which is all that the wires on "
            "its way carry, and {root} has no setting that holds it down"
        )
    },
    looks={
        "held": Look(
            "{receptacle}: held to generation {passes}",
            "{receptacle} can be held to generation {passes}, which is all that the wires there "
            "carry",
            "look in firmware setup for the link speed of that slot; set it to generation {passes} "
            "before the part goes in, or the link comes up faster than its wires carry and errs; "
            "then look at LnkSta and the corrected errors in `lspci -vv`",
        )
    },
    gaps=(
        Gap(
            "pcie receptacle",
            "speed_setting",
            lambda one: one.speed_setting is None,
            "which menu entry holds its link to a lower generation is not said; it matters only "
            "for risers, cables and carriers that are slower than both ends",
            "firmware setup, the menu of link speeds; `speed_setting: false` if there is none",
            changes=("place", "check"),
        ),
    ),
    judge=judge,
)
