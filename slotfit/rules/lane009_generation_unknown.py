"""LANE009: generation of a link not known."""

from collections.abc import Iterator

from slotfit.hardware.wires import maker_of_lanes
from slotfit.model.part import PartSpec
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.model.seat import Trained
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A link of which nobody can tell how fast either end is."""
    ends = [link for link in trial.links if link.lanes and link.bus == "pcie" and not link.to]
    if not ends:
        return
    if trial.upstream.generation is None:
        yield lanes_unknown(trial, ends)
    elif any(link.able_generation is None for link in ends):
        names, facts = trial.named("kind"), trial.said("kind.generation")
        yield RULE.doubt("part's generation", names, facts, least=trial.upstream.arrives)


def lanes_unknown(trial: Trial, ends: list[Trained]) -> Verdict:
    """The fact that the lanes are as fast as the part, and as the wires to it, could be."""
    fastest = max((link.generation or 0 for link in ends), default=0)
    source = maker_of_lanes(trial.problem, trial.upstream)
    names = {"receptacle": source}
    facts = (Cited("receptacle", source, trial.receptacle.spec, "generation"),)
    if fastest:
        return RULE.doubt("lanes' generation", names, facts, least=fastest)
    return RULE.doubt("both generations", names, facts, {"part": trial.part.spec.id})


def is_unknown(part: PartSpec) -> bool:
    """Whether nobody has said how fast a link is that ends in the part."""
    said = part.generation is not None or all(link.generation is not None for link in part.links)
    return part.has_endpoint and not said


LOOK_AT_THE_PORT = (
    "the manual's slot table names it; on a running machine the port's LnkCap line in `lspci -vv` "
    "shows the speed"
)

RULE = SeatRule(
    id="LANE009",
    title="generation of a link not known",
    why="Without it no bandwidth can be promised.",
    source="PCI Express Base: a link trains at the lower of both ends' rates, as quoted",
    looks={
        "lanes' generation": Look(
            "{receptacle}: generation {least} or later",
            "{receptacle} is of generation {least} or later",
            LOOK_AT_THE_PORT,
        ),
        "both generations": Look(
            "{receptacle}: generation as the part",
            "{receptacle} is as fast as {part}, of which neither is known",
            LOOK_AT_THE_PORT,
        ),
        "part's generation": Look(
            "{kind}: generation {least} or later",
            "{kind} is of generation {least} or later",
            "the part's data sheet; in a running machine its LnkCap line in `lspci -vv`",
        ),
    },
    gaps=(
        Gap(
            "short receptacle",
            "generation",
            lambda one: one.generation is None,
            "the generation is not said, so how fast anything trains here is not known",
            "the manual's slot table or block diagram",
            changes=("place", "check", "compare"),
        ),
        Gap(
            "lane group",
            "generation",
            lambda group: group.generation is None and group.bus == "pcie",
            "the generation is not said, so how fast anything trains on these lanes is not known",
            "the manual's slot table or block diagram",
            changes=("place", "check", "compare"),
        ),
        Gap(
            "part",
            "generation",
            is_unknown,
            "the generation is not said, so how fast it trains is not known",
            "its data sheet; in a running machine its LnkCap line in `lspci -vv`",
            changes=("place", "check", "compare"),
        ),
    ),
    judge=judge,
)
