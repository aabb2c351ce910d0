"""Whether what was read says anything of this machine at all."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence

from slotfit.answers.read.yaml_text import clean
from slotfit.answers.verify.answer import Finding, LikelyCause
from slotfit.answers.verify.causes import CauseEvidence, causes_of
from slotfit.answers.verify.scene import Scene
from slotfit.answers.verify.told import FAULT, OPEN, Explained
from slotfit.read.seen import FunctionSeen
from slotfit.standards.pci_regs import CLASS_HOST_BRIDGE

AS_ROOT = LikelyCause(
    "not-root", "it was not read as root, or not on the machine",
    "collect as root: `slotfit collect | ssh root@HOST sh -s > after.tar`",
)  # fmt: skip
WITH_BUS = LikelyCause(
    "bus-not-read", "the slot table alone was read, and it names no parts",
    "collect as root, or add what `lspci -vv` prints as root",
)  # fmt: skip


def listing(scene: Scene, told: Explained) -> Iterator[Finding]:
    """A listing that is empty, that hides what counts, or that is of another machine."""
    del told
    parts = tuple(scene.planned.seat)
    seen = scene.seen
    if not seen.functions:
        kinds = ", ".join(dict.fromkeys(kind for kind, _ in seen.sources)) or "nothing"
        text = f"no device was read ({kinds}), so nothing tells what is there"
        yield Finding("not-read", OPEN, parts, None, text, (WITH_BUS,))
    elif parts and _shows_nothing(seen.functions):
        text = "nothing but bridges was read: no part can be told"
        yield Finding("not-read", OPEN, parts, None, text, (AS_ROOT,))
    elif foreign := _foreign(scene):
        weight, text = foreign
        causes = causes_of("another-machine", CauseEvidence())
        yield Finding("another-machine", weight, parts, None, text, causes)
    elif not any(one.records for one in seen.receptacles) and _hides_links(seen.functions):
        text = "nothing in it was read as root: neither links nor the slots' names show"
        yield Finding("no-rights", OPEN, parts, None, text, (AS_ROOT,))


def _shows_nothing(functions: Sequence[FunctionSeen]) -> bool:
    """Whether there are only bridges, and not even they say what they are."""
    return all(
        one.port_type is None and (one.is_bridge or one.class_code == CLASS_HOST_BRIDGE)
        for one in functions
    )


def _hides_links(functions: Sequence[FunctionSeen]) -> bool:
    """Whether not one link shows, nor what any port is."""
    return all(one.port_type is None and one.link is None for one in functions)


def _foreign(scene: Scene) -> tuple[str, str] | None:
    """Why this is another machine's listing, and whether that is sure; None if it is not."""
    theirs, ours = _boards_seen(scene), _board_planned(scene)
    other = bool(theirs and ours) and not any(_alike(one, ours) for one in theirs)
    named = f": the board calls itself {theirs[0]}, the plan is for {ours}" if other else ""
    count = len({unit.part for unit in scene.units})
    if not scene.matched.pairs and count > 1 and (other or not _ties(scene)):
        return FAULT, f"this is another machine{named}; none of {count} parts of the plan answers"
    in_place = sum(pair.in_place for pair in scene.matched.pairs)
    if other and not in_place and not _ties(scene):
        return OPEN, f"this may be another machine{named}; no part answers where it should"
    return None


def _ties(scene: Scene) -> bool:
    """Whether of half of the slots that hold parts in the plan the ports were found."""
    roots = {unit.root for unit in scene.units}
    return 2 * sum(bool(scene.ports_at(root)) for root in roots) >= len(roots)


def _boards_seen(scene: Scene) -> list[str]:
    boards = sorted(scene.seen.boards, key=lambda one: one.role != "board")
    return [clean(one.product, 60) for one in boards if one.product]


def _board_planned(scene: Scene) -> str:
    """What the plan calls its board; empty for a board of no maker, whose name no machine has."""
    return "" if scene.planned.machine.invented else scene.planned.machine.board_name


def _alike(seen: str, planned: str) -> bool:
    """Whether one name holds a word with a figure in it, or all words, of the other."""
    theirs, ours = _words(seen), _words(planned)
    models = {one for one in theirs if any(letter.isdigit() for letter in one)}
    return bool(models & ours) or theirs <= ours


def _words(text: str) -> set[str]:
    return set(re.findall(r"[a-z0-9]+", text.casefold()))
