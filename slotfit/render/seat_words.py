"""What a drawing says of one seat: how its links came up, and in how many words there is room."""

from __future__ import annotations

from collections.abc import Iterable
from typing import Literal

from slotfit.render.view import LinkView, SeatView
from slotfit.render.words import link_text, segments_text

Health = Literal["full", "below", "dark", "power", "held"]
"""At full ability | below it | no link | takes power and room only | held by a part, no lanes."""

HEALTH_WORDS: dict[Health, str] = {
    "full": "at full ability",
    "below": "below its ability",
    "dark": "no link",
    "power": "power only",
    "held": "held, no lanes",
}


def health(seat: SeatView) -> Health:
    """How the seat's links came up."""
    if not seat.links:
        return "held" if seat.body and seat.body.plug in ("cooling-mount", "opening") else "power"
    if not any(link.lanes for link in seat.links):
        return "dark"
    return "below" if any(link.why for link in seat.links) else "full"


def link_words(seat: SeatView) -> str:
    """`8 GT/s x8`, `16 GT/s x4+x4`, `power only`."""
    if not seat.links:
        return HEALTH_WORDS[health(seat)]
    alive = [link for link in seat.links if link.lanes]
    if not alive:
        return "no link"
    together = " and ".join(dict.fromkeys(run_words(alive, link) for link in alive))
    lost = len(seat.links) - len(alive)
    return together + (f", {lost} of {len(seat.links)} dark" if lost else "")


def run_words(alive: Iterable[LinkView], first: LinkView) -> str:
    """All links of one bus and generation: `16 GT/s x4+x4`."""
    alike = [link for link in alive if (link.bus, link.generation) == (first.bus, first.generation)]
    if len(alike) == 1 or first.bus != "pcie":
        return link_text(first.bus, first.generation, sum(link.lanes for link in alike))
    speed = link_text("pcie", first.generation, 1).removesuffix(" x1")
    return f"{speed} {segments_text(link.lanes for link in alike)}"


def able_words(seat: SeatView) -> str:
    """What the part could do, where it does less: `could do 16 GT/s x16`, or `could do x16`."""
    if any(not link.lanes for link in seat.links) and len(seat.links) > 1:
        return ""  # what is said already: so many of them are dark
    found = dict.fromkeys(
        f"x{link.able_lanes}" if link.generation == link.able_generation else link.able_text
        for link in seat.links
        if link.why
    )
    return f"could do {' and '.join(found)}" if found else ""


def class_words(part_class: str) -> str:
    """`host bus adapter`."""
    return part_class.replace("-", " ")
