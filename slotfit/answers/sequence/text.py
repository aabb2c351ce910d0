"""A sequence for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.answers.sequence.answer import (
    ApartView,
    HelpView,
    MachineWorkView,
    MoveView,
    NoWayView,
    PlaceView,
    SequenceView,
    StretchView,
    WindowView,
)
from slotfit.answers.text_layout import WIDTH, bullet, fill, heading
from slotfit.draw.svg import cut
from slotfit.listing import in_short

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


def as_text(view: SequenceView) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: SequenceView) -> Iterator[str]:
    """The answer, the picture in letters, window by window, what to know."""
    yield from fill(view.title + (" (invented)" if view.invented else ""))
    yield from fill(view.headline + ".")
    if view.no_way:
        yield from no_way(view.no_way)
    yield from grid(view)
    if view.today and view.windows:
        yield from heading("Today")
        yield from state(view.today, view.windows[0])
    for number, window in enumerate(view.windows):
        later = view.windows[number + 1] if number + 1 < len(view.windows) else None
        yield from window_lines(view, window, later)
    yield from rests_on(view)
    yield from figures(view)
    if view.notes:
        yield from heading("Taken for granted")
        for note in view.notes:
            yield from bullet(note)
    if view.cautions:
        yield from heading("In every window, as far as its numbers say")
        for number, caution in enumerate(view.cautions, 1):
            yield from bullet(f"({number}) {caution}", hang=8)


def grid(view: SequenceView) -> Iterator[str]:
    """Receptacles as rows, stretches as columns; what moves is marked where it arrives."""
    if not view.places:
        return
    count = len(view.windows) + 1
    label = max(len(place.label) for place in view.places)
    label = min(label, 16)
    wide = max(min((WIDTH - 4 - label) // count - 2, 18), 7)
    yield from heading("Where everything is ('>' has just come)")
    head = ["today", *(f"after {number}" for number in range(1, count))]
    yield "  " + " " * label + "".join(f"  {text.ljust(wide)}" for text in head)
    for machine in dict.fromkeys(place.machine for place in view.places):
        if len(view.machines) > 1 or not machine:
            yield f"  {machine or 'beside the machines'}"
        for place in view.places:
            if place.machine == machine:
                cells = (f"  {cell.ljust(wide)}" for cell in cells_of(place, wide))
                yield "  " + cut(place.label, label).ljust(label) + "".join(cells)


def cells_of(place: PlaceView, wide: int) -> Iterator[str]:
    """The texts of one row."""
    before = place.cells[0].item
    for cell in place.cells:
        if cell.item is None:
            yield "."
        else:
            more = f" +{cell.riders}" if cell.riders else ""
            mark = ">" if cell.item != before else ""
            yield mark + cut(cell.item, wide - len(more) - len(mark)) + more
        before = cell.item


def window_lines(view: SequenceView, window: WindowView, later: WindowView | None) -> Iterator[str]:
    """One window and the stretch after it."""
    names = dict(view.machines)
    what = f"switch off {listed(window.off, names)}" if window.off else "nothing to do; wait"
    yield from heading(f"Window {window.number}: {what}")
    for text in before_work(window, names):
        yield from bullet(text)
    for work in window.work:
        yield from work_lines(work, several=len(window.work) > 1)
    for risk in window.risks:
        yield from bullet(f"AT RISK: {risk}")
    if window.cautions:
        numbers = [str(n) for n, one in enumerate(view.cautions, 1) if one in window.cautions]
        yield from bullet(f"mind: {', '.join(numbers)} of the list below")
    yield f"  After window {window.number}:"
    yield from state(window.after, later)


def work_lines(work: MachineWorkView, *, several: bool) -> Iterator[str]:
    """What is done in one machine."""
    if several:
        yield f"  {work.machine or 'Beside the machines'}:"
    for kind, text in steps(work):
        yield from bullet(f"{kind.ljust(4)} {text}", hang=9)


def state(stretch: StretchView, later: WindowView | None) -> Iterator[str]:
    """How things are, and what to do before the next window."""
    for check in stretch.checks:
        yield from bullet(f"[ ] {check}", hang=8)
    for text in state_words(stretch, is_last=later is None):
        yield from bullet(text)
    yield from bullet(stretch.stop)


def rests_on(view: SequenceView) -> Iterator[str]:
    """Unproven facts, and how to prove them."""
    if not view.facts:
        return
    yield from heading("Rests on (nobody has proven it; find out before the first window)")
    for number, fact in enumerate(view.facts, 1):
        when = ", ".join("today" if not one else f"after {one}" for one in fact.stretches)
        yield from bullet(f"({number}) {fact.statement} [{when}]", hang=6)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def figures(view: SequenceView) -> Iterator[str]:
    """What was made small, in order."""
    if view.figures:
        yield from heading("What was made small, in this order")
        for number, figure in enumerate(view.figures, 1):
            yield from bullet(f"{number}. {figure.says}", hang=7)


def no_way(why: NoWayView) -> Iterator[str]:
    """The clash, and what would help."""
    if why.ruled_out is None:
        yield "However many windows there are."
    elif why.ruled_out >= 0:
        yield f"Not in up to {why.ruled_out} windows."
    yield from heading("What cannot all be kept")
    for demand in why.demands or ("the way from today's layout to the goal by itself",):
        yield from bullet(demand)
    if not why.minimal:
        yield "  (time ran out: perhaps not all of these are to blame)"
    for apart in why.apart:
        yield from apart_lines(apart)
    yield from help_lines(why)


def apart_lines(apart: ApartView) -> Iterator[str]:
    """Why both ends of a copy are never in one machine together."""
    beside = f" beside {', '.join(apart.beside)}" if apart.beside else ""
    yield from heading(f"Why {apart.copy} are never both in {apart.machine}{beside}")
    for text, rule in apart.reasons:
        yield from bullet(f"{text} [{rule}]")


def help_lines(why: NoWayView) -> Iterator[str]:
    """Each help with the sequence it gives."""
    if not why.helps:
        yield from heading("No single help, and no two, of those tried make it possible")
        return
    size = len(why.helps[0].do)
    yield from heading("Any one of these makes it possible" if size == 1 else "These together do")
    for one in why.helps:
        yield from bullet(one_help(one))
        for text in one.write:
            yield from fill(f"write: {text}", "      ")
    tried = f"{why.tried} single helps were tried"
    yield from fill(f"({tried}{'' if why.complete else ', not all to the end'}.)", "  ")


def one_help(one: HelpView) -> str:
    """What to do, and what comes of it."""
    windows = f"{one.windows} window{'' if one.windows == 1 else 's'}"
    proven = "" if one.proven else ", not proven fewest"
    return f"{' and '.join(one.do)}: then {windows}, {one.touches} parts touched{proven}"
