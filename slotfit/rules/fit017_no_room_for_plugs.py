"""FIT017: room for power plugs not known."""

from collections.abc import Iterator

from slotfit.hardware.room import Size, room_here
from slotfit.model.reason import Look, Verdict
from slotfit.rule import SeatRule, Trial
from slotfit.standards.power import PLUG_ROOM_MM

EDGES: dict[str, Size] = {"end": "length_mm", "top": "height_mm"}
"""Edge of a card -> the size that grows by a plug there."""


def judge(trial: Trial) -> Iterator[Verdict]:
    """A card with power sockets that goes in, and perhaps not with its plugs."""
    spec, power = trial.part.spec, trial.part.spec.power
    if not spec.is_card or power is None or not power.aux:
        return
    more = PLUG_ROOM_MM if power.plug_mm is None else power.plug_mm
    edges = [power.plug_at] if power.plug_at else list(EDGES)
    tight = tuple(edge for edge in edges if is_tight(trial, EDGES[edge], more))
    if tight:
        names = trial.named("receptacle", "kind")
        path = "kind.power.plug_mm" if power.plug_at else "kind.power.plug_at"
        yield RULE.doubt("plugs", names, trial.said(path), edges=tight, more=more)


def is_tight(trial: Trial, size: Size, more: float) -> bool:
    """Whether a card that has room has less than that left beyond it."""
    room = room_here(trial, size)
    have = getattr(trial.part.spec, size)
    return room is not None and have is not None and have <= room.mm < have + more


RULE = SeatRule(
    id="FIT017",
    title="room for power plugs not known",
    why="A plug and the bend of its cable stand 35 to 40 mm out of the card's end or its top edge. "
    "A 12v-2x6 plug bent closer than that, or not home to the click, gets hot and melts.",
    source="common practice, no source",
    looks={
        "plugs": Look(
            "{receptacle}: room for the plugs of {kind}",
            "beyond the {edges} of {kind} in {receptacle} there are {more:g} mm for its power "
            "plugs",
            "see where its sockets are and measure from there to the lid, fan or cage; a "
            "right-angled plug needs less, and then write `plug_mm`",
            words={"edges": " and the ".join},
        )
    },
    judge=judge,
)
