"""LANE022: SATA drive that slows an expander's way up."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.reason import Cited, Look, Verdict
from slotfit.rule import SeatRule, Trial

SLOW_GENERATION = 2
"""The SAS generation at whose 6 Gb/s SATA runs."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A SATA drive behind a faster expander that does not buffer, as far as anyone has said."""
    expander = trial.problem.part.get(str(next(iter(trial.upstream.hops), "")))
    ends = any(link.bus == "sata" and not link.to for link in trial.part.spec.links)
    if not ends or expander is None or not is_faster(expander.spec) or expander.spec.buffers:
        return
    facts = (Cited("expander", expander.id, expander.spec, "buffers"),)
    yield RULE.doubt("enough", {"expander": expander.spec.id.partition(":")[0]}, facts)


def is_faster(part: PartSpec) -> bool:
    """Whether it is an expander whose way up is faster than SATA."""
    up = [link.generation or part.generation or 0 for link in part.links if link.bus == "sas"]
    return (
        part.wiring == "switch"
        and len(up) == len(part.links)
        and max(up, default=0) > SLOW_GENERATION
    )


RULE = SeatRule(
    id="LANE022",
    title="SATA drive that slows an expander's way up",
    why="A SATA drive's data crosses an expander at 6 Gb/s, and holds a lane of the way up that "
    "could carry 12 for as long, unless the expander gathers it first.",
    source="rate of a connection to SATA through a SAS expander, as quoted",
    looks={
        "enough": Look(
            "{expander}: gathers what SATA drives send",
            "{expander} gathers what SATA drives send, so that its way up runs at its own rate",
            "its data sheet, 'edge buffering' or the like, then `buffers: true`; where it does not "
            "and its drives are all SATA, `generation: 2` at its plug counts 6 Gb/s a lane",
        )
    },
    judge=judge,
)
