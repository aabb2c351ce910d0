"""A sequence for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from itertools import groupby

from slotfit.answers.names import SHORT, gb_s, now_words
from slotfit.answers.sequence.answer import (
    MachineWork,
    NoWay,
    PartMove,
    PlaceRow,
    PowerDown,
    Pull,
    PullFirstAnswer,
    SequenceAnswer,
    SettingStep,
    StretchState,
)
from slotfit.answers.text_layout import WIDTH, bullet, fill, heading, joined
from slotfit.draw.svg import cut
from slotfit.listing import counted, in_short

HOW = {"presence": "by itself", "jumper": "jumper", "setting": "firmware", "fixed": "by itself"}
"""How an arrangement is chosen."""


def points(title: str, texts: Iterable[str], hang: int = 4) -> Iterator[str]:
    """A list below its heading; nothing where nothing is to be told."""
    bullets = [line for text in texts for line in bullet(text, hang)]
    if bullets:
        yield from heading(title)
        yield from bullets


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
        yield "SET", f"({HOW[change.chosen_by]}) {set_words(change)}"
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
    if stretch.slow:
        yield f"slower than today and at the end: {', '.join(stretch.slow)}"
    if stretch.shared_loss_mb_s:
        lost = gb_s(stretch.shared_loss_mb_s)
        yield f"shared links are {lost} {SHORT}, beyond what is usual"
    for machine in stretch.done:
        yield f"{machine} is no longer needed and may stay off"


def as_text(answer: SequenceAnswer | PullFirstAnswer) -> str:
    """The whole answer; every line ends where the words end."""
    found = lines(answer) if isinstance(answer, SequenceAnswer) else pull_first_lines(answer)
    return joined(found)


def lines(answer: SequenceAnswer) -> Iterator[str]:
    """The answer, the picture in letters, window by window, what to know."""
    plan, more = answer.plan, answer.more
    yield from fill(answer.title + (" (invented)" if answer.invented else ""))
    yield from fill(answer.verdict.headline + ".")
    if more.no_way:
        yield from no_way(more.no_way)
    yield from grid(answer)
    if plan.windows:
        yield from heading("Today")
        yield from state(plan.stretches[0], is_last=False)
    for window in plan.windows:
        yield from window_lines(answer, window)
    yield from rests_on(answer)
    figures = (f"{n}. {figure.in_words}" for n, figure in enumerate(more.figures, 1))
    yield from points("Minimized, in this order", figures, hang=7)
    yield from points("Taken for granted", answer.watch.taken_for_granted)
    cautions = (f"({n}) {caution.text}" for n, caution in enumerate(answer.do.cautions, 1))
    yield from points("In every window, as far as its numbers say", cautions, hang=8)


def grid(answer: SequenceAnswer) -> Iterator[str]:
    """Receptacles as rows, stretches as columns; what moves is marked where it arrives."""
    places, count = answer.plan.places, len(answer.plan.stretches)
    if not places:
        return
    label = min(max(len(place.heading) for place in places), 16)
    wide = max(min((WIDTH.get() - 4 - label) // count - 2, 18), 7)
    yield from heading("Where everything is ('>' has just come)")
    head = ["today", *(f"after {number}" for number in range(1, count))]
    yield "  " + " " * label + "".join(f"  {text.ljust(wide)}" for text in head)
    for machine in dict.fromkeys(place.machine for place in places):
        if len(answer.machines) > 1 or not machine:
            yield f"  {machine or 'beside the machines'}"
        for place in places:
            if place.machine == machine:
                cells = (f"  {cell.ljust(wide)}" for cell in cells_of(place, wide))
                yield "  " + cut(place.heading, label).ljust(label) + "".join(cells)


def cells_of(place: PlaceRow, wide: int) -> Iterator[str]:
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


def window_title(answer: SequenceAnswer, window: PowerDown) -> str:
    """Which machines to switch off."""
    off = listed(window.off, answer.machines)
    if off:
        return f"switch off {off}"
    works = any(work.window == window.number for work in answer.do.work)
    return "nothing is switched off" if works else "nothing to do; wait"


def window_lines(answer: SequenceAnswer, window: PowerDown) -> Iterator[str]:
    """One window and the stretch after it."""
    number, do = window.number, answer.do
    yield from heading(f"Window {number}: {window_title(answer, window)}")
    for text in before_work(window, answer.machines):
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
    if mind := [str(n) for n, one in enumerate(do.cautions, 1) if number in one.windows]:
        yield from bullet(f"mind: {', '.join(mind)} of the list below")
    yield f"  After window {number}:"
    yield from state(answer.plan.stretches[number], is_last=number == len(answer.plan.windows))


def state(stretch: StretchState, *, is_last: bool) -> Iterator[str]:
    """How things are, and what to do before the next window."""
    for check in stretch.checks:
        yield from bullet(f"[ ] {check}", hang=8)
    for text in state_words(stretch, is_last=is_last):
        yield from bullet(text)
    yield from bullet(stretch.stop)


def rests_on(answer: SequenceAnswer) -> Iterator[str]:
    """Unproven facts, and how to prove them."""
    if not answer.watch.facts:
        return
    yield from heading("Not proven: find out before the first window")
    for number, fact in enumerate(answer.watch.facts, 1):
        stretches = [one.number for one in answer.plan.stretches if fact.fact in one.facts]
        when = ", ".join("today" if not one else f"after {one}" for one in stretches)
        yield from bullet(f"({number}) {fact.statement} [{when}]", hang=6)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def no_way(why: NoWay) -> Iterator[str]:
    """The clash, and what would help."""
    if why.ruled_out is None:
        yield "However many windows there are."
    elif why.ruled_out >= 0:
        yield f"Not in up to {why.ruled_out} windows."
    by_itself = ("the way from today's layout to the goal by itself",)
    yield from points("What cannot all be kept", why.demands or by_itself)
    if not why.minimal:
        yield "  (time ran out: perhaps not all of these are to blame)"
    for apart in why.apart:
        beside = f" beside {', '.join(apart.beside)}" if apart.beside else ""
        title = f"Why both ends of the copy {apart.copy} never run in {apart.machine}{beside}"
        yield from points(title, (f"{text} [{rule}]" for text, rule in apart.reasons))
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


def pull_first_lines(answer: PullFirstAnswer) -> Iterator[str]:
    """What to pull: the best first, then what does not help."""
    do = answer.do
    yield answer.title
    yield from fill(answer.verdict.headline + ".")
    yield from costs_now(answer)
    if answer.along:
        yield from fill(f"With it go in: {in_short(answer.along)}.")
    moves = (f"{part} from {before} to {after}" for part, before, after in do.moves)
    yield from points("Or pull nothing for good, and move", moves)
    yield from ranking(answer)
    if not answer.more.complete:
        yield from heading("Time ran out: not everything was tried")
    yield from points("Before you open the case", do.cautions)


def costs_now(answer: PullFirstAnswer) -> Iterator[str]:
    """What has to be known of the place where it goes at once."""
    watch = answer.watch
    if watch.short_mb_s:
        lost = gb_s(watch.short_mb_s)
        yield from fill(f"But there its link is {lost} {SHORT}.")
    if watch.facts:
        yield from heading("Not proven: find out first")
    for fact in watch.facts:
        yield from bullet(fact.statement)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def ranking(answer: PullFirstAnswer) -> Iterator[str]:
    """What makes room, best first, and what does not."""
    useful = [pull for pull in answer.plan.pulls if pull.goes]
    if useful:
        better = f"{answer.part} fares better if one of these comes out, the best first"
        yield from heading(better if answer.plan.goes_now else "What to pull, the best first")
        for number, pull in enumerate(useful, 1):
            yield from pull_lines(number, pull)
    others = [" and ".join(pull.items) for pull in answer.plan.pulls if not pull.goes]
    if others:
        yield from heading("These by themselves make no room")
        yield from fill(", ".join(others), "  ")


def pull_lines(number: int, pull: Pull) -> Iterator[str]:
    """One set of parts."""
    riders = f" (with {in_short(pull.riders)} on it)" if pull.riders else ""
    yield from fill(f"{number}. {' and '.join(pull.items)}{riders}", "  ")
    for text in pull_words(pull):
        yield from (f"   {line}" for line in bullet(text))


def pull_words(pull: Pull) -> Iterator[str]:
    """What comes of pulling them."""
    yield f"frees {'; '.join(pull.frees)}"
    if pull.goes:
        link = f", {pull.goes.trains_at}" if pull.goes.trains_at else ""
        yield f"{pull.goes.part} goes into {pull.goes.place}{link}"
    yield from (f"rests on: {fact.statement}" for fact in pull.facts)
    yield from (f"SET {one.machine}: {set_words(one)}" for one in pull.changes)
    yield f"stops meanwhile: {', '.join(pull.stops) or 'nothing'}"
    yield from (f"AT RISK: {risk}" for risk in pull.risks)
    if pull.leaves:
        yield f"to leave anyway: {in_short(pull.leaves)}"
    if pull.elsewhere:
        rooms = "; ".join(
            f"{one.part} in {one.place}" + (f", {one.trains_at}" if one.trains_at else "")
            for one in pull.elsewhere
        )
        then = f"; {', '.join(pull.stops_then)} stays down even so" if pull.stops_then else ""
        yield f"could live elsewhere: {rooms}{then}"
    elif len(pull.leaves) < len(pull.items):
        yield "could live elsewhere: no, not with all else where it is"
