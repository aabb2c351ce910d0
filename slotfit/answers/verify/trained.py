"""Links that came up worse than planned, that rest, or that do not show."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence

from slotfit.answers.names import link_text
from slotfit.answers.verify.answer import Finding, LikelyCause
from slotfit.answers.verify.causes import causes_of
from slotfit.answers.verify.match import Pair
from slotfit.answers.verify.scene import Scene
from slotfit.answers.verify.told import FAULT, NOTE, OPEN, Explained
from slotfit.listing import listed
from slotfit.standards.resting import RESTING_GENERATION, rests

UNDER_LOAD = LikelyCause(
    "at-rest",
    "links save power while nothing moves over them",
    "load the part and read once more while it works: read a drive (dd from it to /dev/null), send "
    "over a network card, let an accelerator compute; then `slotfit collect` again",
)
MORE_RIGHTS = LikelyCause(
    "not-root",
    "what was read does not show links",
    "read as root: `slotfit collect`, or `lspci -vv`",
)


def links(scene: Scene, told: Explained) -> Iterator[Finding]:
    """One finding for the links of a slot that are worse than planned; one for all that rest."""
    by_state: dict[str, list[Pair]] = defaultdict(list)
    for pair in scene.matched.pairs:
        if not told.covers([pair.unit.part]):
            by_state[state_of(scene, pair)].append(pair)
    for state in ("narrower", "slower"):
        slots: dict[str, list[Pair]] = defaultdict(list)
        for pair in by_state[state]:
            slots[pair.unit.root].append(pair)
        for pairs in slots.values():
            yield _worse(scene, pairs, state)
    for state, words in TOGETHER.items():
        if found := by_state[state]:
            yield _together(found, words)


def state_of(scene: Scene, pair: Pair) -> str:
    """One of: as planned, narrower, slower, resting, perhaps resting, not known."""
    link, planned = pair.end.part.top.link, pair.unit.link.trains
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
    if link.generation_now != RESTING_GENERATION or not could:
        return "slower"
    return RESTS[rests(pair.unit.seat.part_class)]


RESTS = {True: "resting", False: "slower", None: "perhaps resting"}


def seen_text(pair: Pair) -> str:
    """The link as it is now."""
    link = pair.end.part.top.link
    if link is None or not link.lanes_now:
        return "not known"
    return link_text("pcie", link.generation_now, link.lanes_now)


def _worse(scene: Scene, pairs: Sequence[Pair], kind: str) -> Finding:
    """The links of one slot: what holds one of them back holds them all."""
    first = pairs[0]
    parts = tuple(dict.fromkeys(pair.unit.part for pair in pairs))
    planned = dict.fromkeys(
        link_text("pcie", one.generation, one.lanes)
        for one in (pair.unit.link.trains for pair in pairs)
    )
    text = (
        f"{listed(parts)} in {scene.where(first.end)} {'runs' if len(parts) == 1 else 'run'} at "
        f"{', '.join(dict.fromkeys(map(seen_text, pairs)))}, planned "
        f"{', '.join(planned)}{_limit(scene, first)}"
    )
    causes = causes_of(kind, scene.shown(first.unit, first.end))
    link = first.end.part.top.link
    at_rest = link and link.generation_now == RESTING_GENERATION and link.generation_max != 1
    if kind == "narrower" and at_rest:
        causes = (*causes, UNDER_LOAD)
    return Finding(kind, FAULT, parts, first.unit.root, text, causes)


def _limit(scene: Scene, pair: Pair) -> str:
    """Which end cannot do what was planned, if one of them says so."""
    shown = scene.shown(pair.unit, pair.end)
    port, link = scene.port_link(pair.end), pair.end.part.top.link
    if shown.port_able is False and port and port.lanes_max:
        return f"; the port offers {link_text('pcie', port.generation_max, port.lanes_max)}"
    if shown.card_able is False and link and link.lanes_max:
        return f"; the part can do {link_text('pcie', link.generation_max, link.lanes_max)}"
    return ""


Words = tuple[str, str, LikelyCause, str]
"""Kind, weight, cause and text of a finding."""

TOGETHER: dict[str, Words] = {
    "resting": ("resting", NOTE, UNDER_LOAD, "at 2.5 GT/s for the moment"),
    "perhaps resting": ("resting", OPEN, UNDER_LOAD, "at 2.5 GT/s, at rest or by a fault"),
    "not known": ("not-known", OPEN, MORE_RIGHTS, "the link does not show"),
}
"""State of a link -> what is said once of all links in it."""


def _together(pairs: Sequence[Pair], words: Words) -> Finding:
    kind, weight, cause, text = words
    parts = tuple(dict.fromkeys(pair.unit.part for pair in pairs))
    return Finding(kind, weight, parts, None, f"{text}: {', '.join(parts)}", (cause,))
