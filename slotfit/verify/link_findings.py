"""Links that are narrower or slower than planned, and links that only rest."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.render.verify_view import CauseView, FindingView
from slotfit.render.words import link_text
from slotfit.verify.causes import causes_of
from slotfit.verify.findings import FAULT, NOTE, OPEN
from slotfit.verify.match import Pair
from slotfit.verify.scene import Scene

RESTING_GENERATION = 1
"""Devices and drivers that save power let a link fall to its lowest rate, 2.5 GT/s."""

UNDER_LOAD = CauseView(
    "links save power while nothing moves over them",
    "load the part and read once more while it works: read a drive (dd from it to /dev/null), send "
    "over a network card, let an accelerator compute; then `slotfit collect` again",
)
MORE_RIGHTS = CauseView(
    "what was read does not show links",
    "read as root: `slotfit collect`, or `lspci -vv`",
)


def links(scene: Scene) -> Iterator[FindingView]:
    """One finding a link that is worse than planned; one for all that rest; one for all unknown."""
    resting: list[Pair] = []
    unknown: list[Pair] = []
    for pair in scene.matched.pairs:
        state = state_of(scene, pair)
        if state == "resting":
            resting.append(pair)
        elif state == "not known":
            unknown.append(pair)
        elif state != "as planned":
            yield _worse(scene, pair, state)
    if resting:
        yield _together(resting, "resting", NOTE, UNDER_LOAD, "at 2.5 GT/s for the moment")
    if unknown:
        yield _together(unknown, "not-known", OPEN, MORE_RIGHTS, "the link does not show")


def state_of(scene: Scene, pair: Pair) -> str:
    """One of: as planned, narrower, slower, resting, not known."""
    link, planned = pair.end.part.top.link, pair.unit.link
    if link is None or not link.lanes_now:
        return "not known"
    if link.lanes_now < planned.lanes:
        return "narrower"
    if planned.generation is None or (link.generation_now or 0) >= planned.generation:
        return "as planned"
    if link.generation_now is None:
        return "not known"
    port = scene.port_link(pair.end)
    able = [one.generation_max for one in (link, port) if one and one.generation_max]
    could = bool(able) and min(able) >= planned.generation
    return "resting" if link.generation_now == RESTING_GENERATION and could else "slower"


def seen_text(pair: Pair) -> str:
    """The link as it is now."""
    link = pair.end.part.top.link
    if link is None or not link.lanes_now:
        return "not known"
    return link_text("pcie", link.generation_now, link.lanes_now)


def planned_text(pair: Pair) -> str:
    """The link as it was planned."""
    return link_text("pcie", pair.unit.link.generation, pair.unit.link.lanes)


def _worse(scene: Scene, pair: Pair, kind: str) -> FindingView:
    unit = pair.unit
    text = (
        f"{unit.item} in {scene.where(pair.end)} runs at {seen_text(pair)}, planned "
        f"{planned_text(pair)}{_limit(scene, pair)}"
    )
    causes = causes_of(kind, scene.shown(unit, pair.end))
    if kind == "narrower" and _is_at_rest(pair):
        causes = (*causes, UNDER_LOAD)
    return FindingView(kind, FAULT, (unit.item,), unit.root, text, causes)


def _is_at_rest(pair: Pair) -> bool:
    link = pair.end.part.top.link
    return bool(link and link.generation_now == RESTING_GENERATION and link.generation_max != 1)


def _limit(scene: Scene, pair: Pair) -> str:
    """Which end cannot do what was planned, if one of them says so."""
    shown = scene.shown(pair.unit, pair.end)
    port, link = scene.port_link(pair.end), pair.end.part.top.link
    if shown.port_able is False and port and port.lanes_max:
        return f"; the port offers {link_text('pcie', port.generation_max, port.lanes_max)}"
    if shown.card_able is False and link and link.lanes_max:
        return f"; the part can do {link_text('pcie', link.generation_max, link.lanes_max)}"
    return ""


def _together(
    pairs: Sequence[Pair], kind: str, weight: str, cause: CauseView, text: str
) -> FindingView:
    items = tuple(dict.fromkeys(pair.unit.item for pair in pairs))
    return FindingView(kind, weight, items, None, f"{text}: {', '.join(items)}", (cause,))
