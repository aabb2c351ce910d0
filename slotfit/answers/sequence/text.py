"""A sequence for a terminal: the verdict, where everything is, window by window."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import chain, groupby

from slotfit.answers.names import SHORT, gb_s, now_words
from slotfit.answers.place.cautions import safety
from slotfit.answers.sequence.answer import (
    MachineWork,
    NoWay,
    PartMove,
    PlaceRow,
    PowerDown,
    SequenceAnswer,
    SettingStep,
    StretchState,
    WindowCaution,
)
from slotfit.answers.text_layout import (
    NARROW,
    WIDTH,
    bullet,
    bulleted,
    fill,
    heading,
    joined,
    verdict,
    wrapped,
)
from slotfit.draw.svg import cut
from slotfit.listing import counted, in_short
from slotfit.listing import listed as listed_names

HOW = {"presence": "(by itself) ", "jumper": "(jumper) ", "setting": "", "fixed": "(by itself) "}
"""How an arrangement is chosen; nothing where the firmware's menu has it."""


def before_work(window: PowerDown, names: Mapping[str, str]) -> Iterator[str]:
    """What arrives, runs on, goes down and serves through the window."""
    if window.waits_for:
        yield f"now there: {', '.join(window.waits_for)}"
    if window.on and window.off:
        yield f"runs on: {listed(window.on, names)}"
    if window.down:
        yield f"down while it is off: {', '.join(window.down)}"
    if window.keep and window.off:
        yield f"keeps serving: {', '.join(window.keep)}"


def listed(ids: Iterable[str], names: Mapping[str, str]) -> str:
    """Machines by name and id."""
    texts = [names[one] if names[one] == one else f"{one} ({names[one]})" for one in ids]
    return " and ".join(texts)


def steps(work: MachineWork) -> Iterator[tuple[str, str]]:
    """Each step in one machine, in the order in which it is done: what kind, and the words."""
    for change in work.changes:
        yield "SET", f"{HOW[change.chosen_by]}{set_words(change)}"
    for move in work.out:
        to = f", to {move.to_label}" if move.to else ""
        yield "OUT", f"{move.item} from {move.from_label}{to}{along(move)}"
    for move in work.moved:
        yield "MOVE", f"{move.item} from {move.from_label} to {move.to_label}{along(move)}"
    for _, same in groupby(work.in_, same_line):
        yield "IN", in_words([*same])


def set_words(change: SettingStep) -> str:
    """`x4x4x4x4  (now x16)`."""
    return f"{change.after}  ({now_words(change.before, known=change.known)})"


def same_line(move: PartMove) -> tuple[object, ...]:
    """
    The same for parts that come alike onto one carrier: they are told in one line.

    What goes on a board, or carries others, has its own line.
    """
    alone = move.riders or not move.onto
    return (move.onto, move.link, move.from_, move.cables, move.item if alone else "")


def in_words(moves: Sequence[PartMove]) -> str:
    """`accelerator from fog into SLOT 3 of lamp, gen 4 x16; plugs: ...`."""
    first = moves[0]
    link = f", {first.link}" + (" each" if len(moves) > 1 else "") if first.link else ""
    if len(moves) > 1:
        sockets = in_short(move.socket for move in moves)
        names = in_short(move.item for move in moves)
        return f"{names} into {first.onto} ({sockets}){link}{along(first, each=True)}"
    from_ = f" from {first.from_label}" if first.from_ else ""
    return f"{first.item}{from_} into {first.to_label}{link}{along(first)}"


def along(move: PartMove, *, each: bool = False) -> str:
    """What comes along, and what to plug."""
    riders = f", with {in_short(move.riders)} on it" if move.riders else ""
    of_each = " each" if each else ""
    cables = f"; plugs: {'; '.join(move.cables)}{of_each}" if move.cables else ""
    return riders + cables


def state_words(stretch: StretchState, *, is_last: bool) -> Iterator[str]:
    """How things are in a stretch."""
    yield from services(stretch)
    yield from mirrors(stretch)
    yield from leftovers(stretch)
    if stretch.waiting and not is_last:
        yield f"not copied yet: {', '.join(stretch.waiting)}"


def services(stretch: StretchState) -> Iterator[str]:
    """What is up where, and what is down."""
    up = [f"{one.name} on {' and '.join(one.machines)}" for one in stretch.services if one.machines]
    down = [one.name for one in stretch.services if not one.machines]
    if up:
        yield f"up: {', '.join(up)}"
    if down:
        yield f"down: {', '.join(down)}"


def mirrors(stretch: StretchState) -> Iterator[str]:
    """Whole or not."""
    for mirror in stretch.mirrors:
        text = f"lacks {', '.join(mirror.missing)}" if mirror.missing else "whole"
        text = "needed no longer" if mirror.released else f"{text}, in {mirror.machine}"
        yield f"mirror {mirror.name}: {text}"


def leftovers(stretch: StretchState) -> Iterator[str]:
    """What lies about, runs slowly or can go."""
    if stretch.beside:
        yield f"beside the machines: {in_short(stretch.beside)}"
    yield from losses(stretch)
    yield from done_with(stretch.done)


def losses(stretch: StretchState) -> Iterator[str]:
    """What runs slower than today and at the end."""
    if stretch.slow:
        yield f"slower than today and at the end: {', '.join(stretch.slow)}"
    if stretch.shared_loss_mb_s:
        lost = gb_s(stretch.shared_loss_mb_s)
        yield f"shared links are {lost} {SHORT}, beyond what is usual"


def done_with(machines: Iterable[str]) -> Iterator[str]:
    """Machines that nothing is taken out of any more."""
    for machine in sorted(machines):
        yield f"{machine} is no longer needed and may stay off"


def as_text(answer: SequenceAnswer, *, every: bool = False) -> str:
    """The answer, or with `every` all of it; every line ends where the words end."""
    return joined(lines(answer, every=every))


MORE = "More: --all how things are after each window, every caution, what was minimized."


def lines(answer: SequenceAnswer, *, every: bool) -> Iterator[str]:
    """The answer, the picture in letters, window by window, what to watch; then all the rest."""
    plan = answer.plan
    yield from fill(answer.title + (" (invented)" if answer.invented else ""))
    yield from verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    if answer.more.no_way:
        yield from no_way(answer.more.no_way)
    yield from grid(answer, every=every)
    yield from before_all(answer)
    for window in plan.windows:
        yield from window_lines(answer, window, every=every)
    yield from bulleted("Watch", to_watch(answer))
    if every:
        yield from all_lines(answer)
    elif plan.windows:
        yield from fill(MORE)


def before_all(answer: SequenceAnswer) -> Iterator[str]:
    """What holds for every window, and what to do before the first."""
    cautions = answer.do.cautions
    for running, when in ((False, ""), (True, " while a machine runs")):
        alike = [one for one in cautions if one.while_it_runs is running]
        if short := [one.in_short for one in alike if one.in_short]:
            yield ""
            yield from fill(safety(short, when))
    yield from (line for one in cautions if not one.in_short for line in bullet(one.text))
    today = answer.plan.stretches[0] if answer.plan.windows else None
    if today and today.checks:
        yield from bulleted("Before window 1", map(to_tick, today.checks), hang=8)


def to_tick(check: str) -> str:
    """A line with a box."""
    return f"[ ] {check}"


LABEL, CELL, CELL_AT_MOST = 16, 7, 18
"""Columns that a receptacle's name takes at most, and one cell takes."""


def grid(answer: SequenceAnswer, *, every: bool) -> Iterator[str]:
    """
    Receptacles as rows, stretches as columns; what moves is marked where it arrives.

    `every`: with what lies beside the machines meanwhile.
    """
    places = [place for place in answer.plan.places if place.machine or every]
    count = len(answer.plan.stretches)
    if not places:
        return
    label = min(max(len(place.heading) for place in places), LABEL)
    room = (WIDTH.get() - 4 - label) // count - 2
    narrow = WIDTH.get() < NARROW or room < CELL
    wide = min(room, CELL_AT_MOST)
    yield from heading("What sits where ('>' has just come)")
    head = ["today", *(f"after {number}" for number in range(1, count))]
    if not narrow:
        yield "  " + " " * label + "".join(f"  {text.ljust(wide)}" for text in head)
    for machine in dict.fromkeys(place.machine for place in places):
        if len(answer.machines) > 1 or not machine:
            yield from fill(machine or "beside the machines", "  ")
        for place in places:
            if place.machine != machine:
                continue
            if narrow:
                yield from wrapped(place_words(place, head), "  - ", "    ")
                continue
            cells = (f"  {cell.ljust(wide)}" for cell in cells_of(place, wide))
            yield "  " + cut(place.heading, label).ljust(label) + "".join(cells)


def place_words(place: PlaceRow, head: Sequence[str]) -> str:
    """`SLOT 5: today index-carrier +2; after 1 empty; after 3 >capture`."""
    told: list[str] = []
    last = ""
    for when, cell in zip(head, cells_of(place), strict=True):
        if cell.removeprefix(">") != last.removeprefix(">"):
            told.append(f"{when} {'empty' if cell == '.' else cell}")
        last = cell
    return f"{place.heading}: {'; '.join(told)}"


def cells_of(place: PlaceRow, wide: int = 0) -> Iterator[str]:
    """The texts of one row; `wide`: cut to so many columns."""
    before = place.cells[0].item
    for cell in place.cells:
        if cell.item is None:
            yield "."
        else:
            more = f" +{cell.riders}" if cell.riders else ""
            mark = ">" if cell.item != before else ""
            name = cut(cell.item, wide - len(more) - len(mark)) if wide else cell.item
            yield mark + name + more
        before = cell.item


def window_title(answer: SequenceAnswer, window: PowerDown) -> str:
    """Which machines to switch off."""
    off = listed(window.off, answer.machines)
    if off:
        return f"switch off {off}"
    works = any(work.window == window.number for work in answer.do.work)
    return "nothing is switched off" if works else "nothing to do; wait"


def window_lines(answer: SequenceAnswer, window: PowerDown, *, every: bool) -> Iterator[str]:
    """One window and the stretch after it."""
    number, do = window.number, answer.do
    yield from heading(f"Window {number}: {window_title(answer, window)}")
    for text in before_work(window, answer.machines) if every else in_one(window):
        yield from bullet(text)
    works = [work for work in do.work if work.window == number]
    for work in works:
        if len(works) > 1:
            yield f"  {work.machine or 'Beside the machines'}:"
        for kind, text in steps(work):
            yield from bullet(f"{kind.ljust(4)} {text}", hang=9)
    for risk in answer.watch.risks:
        if number in risk.windows:
            yield from bullet(f"AT RISK: {risk.text}")
    yield f"  After window {number}:"
    yield from state(answer, number, every=every)


def in_one(window: PowerDown) -> Iterator[str]:
    """What arrives, what is down and what is not, in a line each."""
    if window.waits_for:
        yield f"now there: {', '.join(window.waits_for)}"
    down = [f"down while it is off: {', '.join(window.down)}"] if window.down else []
    keep = [f"keeps serving: {', '.join(window.keep)}"] if window.keep and window.off else []
    if down or keep:
        yield "; ".join([*down, *keep])


def state(answer: SequenceAnswer, number: int, *, every: bool) -> Iterator[str]:
    """What to do before the next window, and how things are meanwhile."""
    stretches = answer.plan.stretches
    stretch, before = stretches[number], stretches[number - 1]
    for check in stretch.checks:
        yield from bullet(to_tick(check), hang=8)
    if every:
        texts = state_words(stretch, is_last=number == len(answer.plan.windows))
    else:
        texts = chain(losses(stretch), done_with(set(stretch.done) - set(before.done)))
    for text in texts:
        yield from bullet(text)
    yield from bullet(stretch.stop)


def to_watch(answer: SequenceAnswer) -> Iterator[str]:
    """Unproven facts with how to prove them, and what was taken for granted."""
    for fact in answer.watch.facts:
        stretches = [one.number for one in answer.plan.stretches if fact.fact in one.facts]
        when = ", ".join("today" if not one else f"after {one}" for one in stretches)
        told = f"not proven: {fact.statement} [{when}]"
        yield f"{told}. Find out before the first window: {fact.find_out}."
    yield from answer.watch.taken_for_granted


def all_lines(answer: SequenceAnswer) -> Iterator[str]:
    """How things are today, what counted, every caution in full."""
    if answer.plan.windows:
        today = answer.plan.stretches[0]
        yield from bulleted("Today", [*state_words(today, is_last=False), today.stop])
    figures = (f"{n}. {figure.in_words}" for n, figure in enumerate(answer.more.figures, 1))
    yield from bulleted("Minimized, in this order", figures, hang=7)
    yield from bulleted("Cautions", map(caution_words, answer.do.cautions))


def caution_words(caution: WindowCaution) -> str:
    """`In windows 1 and 3: Wear a grounded wrist strap ...`."""
    which = "window" if len(caution.windows) == 1 else "windows"
    return f"In {which} {listed_names(map(str, caution.windows))}: {caution.text}"


def no_way(why: NoWay) -> Iterator[str]:
    """The clash, and what would help."""
    if why.ruled_out is None:
        yield "However many windows there are."
    elif why.ruled_out >= 0:
        yield f"Not in up to {why.ruled_out} windows."
    by_itself = ("the way from today's layout to the goal by itself",)
    yield from bulleted("What cannot all be kept", why.demands or by_itself)
    if not why.minimal:
        yield "  (time ran out: perhaps not all of these are to blame)"
    for apart in why.apart:
        beside = f" beside {', '.join(apart.beside)}" if apart.beside else ""
        title = f"Why both ends of the copy {apart.copy} never run in {apart.machine}{beside}"
        yield from bulleted(title, (f"{text} [{rule}]" for text, rule in apart.reasons))
    yield from help_lines(why)


def help_lines(why: NoWay) -> Iterator[str]:
    """Each help with the sequence it gives."""
    if not why.helps:
        yield from heading("No single help, and no two, of those tried make it possible")
        return
    size = len(why.helps[0].do)
    yield from heading("Any one of these makes it possible" if size == 1 else "These together do")
    for one in why.helps:
        then = f"{counted(one.totals.windows, 'window')}, {one.totals.touches} parts touched"
        proven = "" if one.proven else ", not proven fewest"
        yield from bullet(f"{' and '.join(one.do)}: then {then}{proven}")
        for text in one.write:
            yield from fill(f"write: {text}", "      ")
    tried = f"{why.tried} single helps were tried"
    yield from fill(f"({tried}{'' if why.complete else ', not all to the end'}.)", "  ")
