"""What to pull first, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.names import SHORT, gb_s
from slotfit.answers.place.cautions import safety
from slotfit.answers.sequence.answer import Pull, PullFirstAnswer
from slotfit.answers.sequence.text import set_words
from slotfit.answers.text_layout import bullet, bulleted, fill, heading, joined, verdict
from slotfit.listing import in_short


def as_text(answer: PullFirstAnswer, *, every: bool = False) -> str:
    """The answer, or with `every` all of it; every line ends where the words end."""
    return joined(lines(answer, every=every))


BEST = 3
"""So many ways are told; all with `--all`."""

MORE = "More: --all every way, and every caution."


def lines(answer: PullFirstAnswer, *, every: bool) -> Iterator[str]:
    """What to pull: the best first, then what does not help."""
    do = answer.do
    yield from fill(answer.title)
    yield from verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    if answer.along:
        yield from fill(f"With it go in: {in_short(answer.along)}.")
    if not answer.more.complete:
        yield from fill("Time ran out: not everything was tried.")
    moves = (f"{part} from {before} to {after}" for part, before, after in do.moves)
    yield from bulleted("Or pull nothing for good, and move", moves)
    yield from ranking(answer, every=every)
    if do.cautions_in_short:
        yield ""
        yield from fill(safety(do.cautions_in_short))
    yield from bulleted("Watch", to_watch(answer))
    if every:
        yield from bulleted("Cautions", do.cautions)
    elif do.cautions:
        yield from fill(MORE)


def to_watch(answer: PullFirstAnswer) -> Iterator[str]:
    """What has to be known of the place where it goes at once."""
    if answer.watch.short_mb_s:
        yield f"without pulling anything its link is {gb_s(answer.watch.short_mb_s)} {SHORT}"
    for fact in answer.watch.facts:
        yield f"not proven: {fact.statement}. Find out: {fact.find_out}."


def ranking(answer: PullFirstAnswer, *, every: bool) -> Iterator[str]:
    """What makes room, best first, and what does not."""
    useful = [pull for pull in answer.plan.pulls if pull.goes]
    if useful:
        better = f"{answer.part} fares better if one of these comes out, the best first"
        yield from heading(better if answer.plan.goes_now else "What to pull, the best first")
        for number, pull in enumerate(useful if every else useful[:BEST], 1):
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
