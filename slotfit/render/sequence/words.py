"""What is done in a window, and how things are after it, in words; text and page say the same."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.listing import in_short
from slotfit.render.sequence.view import MachineWorkView, MoveView, StretchView, WindowView

HOW = {"presence": "by itself", "jumper": "jumper", "setting": "firmware", "fixed": "by itself"}
"""How an arrangement is chosen."""


def before_work(window: WindowView, names: dict[str, str]) -> Iterator[str]:
    """What arrives, runs on, goes down and stays up."""
    if window.waits_for:
        yield f"now there: {', '.join(window.waits_for)}"
    if window.on and window.off:
        yield f"runs on: {listed(window.on, names)}"
    if window.down:
        yield f"down while it is off: {', '.join(window.down)}"
    if window.keep and window.off:
        yield f"keeps serving: {', '.join(window.keep)}"


def listed(ids: Iterable[str], names: dict[str, str]) -> str:
    """Machines by name and id."""
    texts = [names[one] if names[one] == one else f"{one} ({names[one]})" for one in ids]
    return " and ".join(texts)


def steps(work: MachineWorkView) -> Iterator[tuple[str, str]]:
    """Each step in one machine, in the order in which it is done: what kind, and the words."""
    for change in work.changes:
        yield "SET", f"({HOW[change.how]}) {change.after}  (now {change.before})"
    for move in work.out:
        to = f", to {move.to_label}" if move.to else ""
        yield "OUT", f"{move.item} from {move.from_label}{to}{along(move)}"
    for move in work.moved:
        yield "MOVE", f"{move.item} from {move.from_label} to {move.to_label}{along(move)}"
    for same in together(work.in_):
        yield "IN", in_words(same)


def together(moves: Sequence[MoveView]) -> Iterator[list[MoveView]]:
    """Parts that come alike onto one carrier are told in one line."""
    found: list[list[MoveView]] = []
    for move in moves:
        last = found[-1][-1] if found else None
        if last and move.onto and told_alike(move) == told_alike(last):
            found[-1].append(move)
        else:
            found.append([move])
    yield from found


def told_alike(move: MoveView) -> tuple[object, ...]:
    """What is the same of parts that one line tells of; what carries others has its own line."""
    return (move.onto, move.link, move.from_, move.cables, move.riders and move.item)


def in_words(moves: Sequence[MoveView]) -> str:
    """`accelerator from fog into SLOT 3 of lamp, 16 GT/s x16; plugs: ...`."""
    first = moves[0]
    link = f", {first.link}" + (" each" if len(moves) > 1 else "") if first.link else ""
    if len(moves) > 1:
        sockets = in_short(move.socket for move in moves)
        names = in_short(move.item for move in moves)
        return f"{names} into {first.onto} ({sockets}){link}{along(first, each=True)}"
    from_ = f" from {first.from_label}" if first.from_ else ""
    return f"{first.item}{from_} into {first.to_label}{link}{along(first)}"


def along(move: MoveView, *, each: bool = False) -> str:
    """What comes along, and what to plug."""
    riders = f", with {in_short(move.riders)} on it" if move.riders else ""
    of_each = " each" if each else ""
    cables = f"; plugs: {'; '.join(move.cables)}{of_each}" if move.cables else ""
    return riders + cables


def state_words(stretch: StretchView, *, is_last: bool) -> Iterator[str]:
    """How things are in a stretch."""
    yield from services(stretch)
    yield from mirrors(stretch)
    yield from leftovers(stretch)
    if stretch.waiting and not is_last:
        yield f"not copied yet: {', '.join(stretch.waiting)}"


def services(stretch: StretchView) -> Iterator[str]:
    """What is up where, and what is down."""
    up = [f"{one.name} on {' and '.join(one.machines)}" for one in stretch.services if one.machines]
    down = [one.name for one in stretch.services if not one.machines]
    if up:
        yield f"up: {', '.join(up)}"
    if down:
        yield f"down: {', '.join(down)}"


def mirrors(stretch: StretchView) -> Iterator[str]:
    """Whole or not."""
    for mirror in stretch.mirrors:
        text = f"lacks {', '.join(mirror.missing)}" if mirror.missing else "whole"
        text = "needed no longer" if mirror.released else f"{text}, in {mirror.machine}"
        yield f"mirror {mirror.name}: {text}"


def leftovers(stretch: StretchView) -> Iterator[str]:
    """What lies about, runs slowly or can go."""
    if stretch.beside:
        yield f"beside the machines: {in_short(stretch.beside)}"
    if stretch.slow:
        yield f"slower than today and at the end: {', '.join(stretch.slow)}"
    if stretch.shared_loss_mb_s:
        yield f"shared links lose {stretch.shared_loss_mb_s} MB/s more than usual"
    for machine in stretch.done:
        yield f"{machine} has given what was wanted of it, and may stay off"
