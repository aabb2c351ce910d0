"""CAB002: no cable between two sockets."""

from collections.abc import Iterator

from slotfit.model.reason import Verdict, Wording
from slotfit.rule import SeatRule, Trial

CABLED = (
    "sff-8643",
    "sff-8644",
    "sff-8087",
    "sff-8088",
    "slimsas-4",
    "slimsas-8",
    "mcio-4",
    "mcio-8",
    "mcio-16",
    "oculink-4",
)
"""Forms whose plug is the end of a cable; on a card or board they are sockets."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part's second connection straight on another part or board; risers bring their cable."""
    if trial.part.companion_of is None or trial.part.spec.plug.form not in CABLED:
        return
    owner = trial.problem.part.get(trial.receptacle.owner)
    if owner is None or owner.spec.part_class != "cable":
        facts = trial.said("part.plug", "receptacle.form")
        yield RULE.no("sockets", trial.named("part", "receptacle"), facts)


RULE = SeatRule(
    id="CAB002",
    title="no cable between two sockets",
    why="A socket takes a cable's plug; the cable is a part of its own, with its length.",
    source="what these connectors are; common practice, no source",
    says={
        "sockets": Wording("{part} and {receptacle} are both sockets and a cable goes between them")
    },
    judge=judge,
)
