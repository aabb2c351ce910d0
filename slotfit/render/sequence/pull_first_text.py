"""What to pull first, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.listing import in_short
from slotfit.render.sequence.pull_first_view import PullFirstView, PullView
from slotfit.render.text_layout import bullet, fill, heading
from slotfit.render.words import gb_s


def as_text(view: PullFirstView) -> str:
    """The whole answer."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: PullFirstView) -> Iterator[str]:
    """The best first, then what does not help."""
    yield view.title
    yield from fill(view.headline + ".")
    yield from now(view)
    if view.along:
        yield from fill(f"With it go in: {in_short(view.along)}.")
    if view.moves:
        yield from heading("Or pull nothing for good, and move")
        for item, before, after in view.moves:
            yield from bullet(f"{item} from {before} to {after}")
    yield from ranking(view)
    if not view.complete:
        yield from heading("Time ran out: not everything was tried")
    if view.cautions:
        yield from heading("Before you open the case")
        for caution in view.cautions:
            yield from bullet(caution)


def now(view: PullFirstView) -> Iterator[str]:
    """What has to be known of the place where it goes at once."""
    if view.short_mb_s:
        lost = gb_s(view.short_mb_s)
        yield from fill(f"But there it gets {lost} GB/s less than it moves, in and out together.")
    if view.rests_on:
        yield from heading("That rests on (nobody has proven it; find out first)")
    for statement, find_out in view.rests_on:
        yield from bullet(f"{statement}")
        yield from fill(f"Find out: {find_out}.", "      ")


def ranking(view: PullFirstView) -> Iterator[str]:
    """What makes room, best first, and what does not."""
    useful = [pull for pull in view.pulls if pull.makes_room]
    if useful:
        better = f"{view.part} fares better if one of these comes out, the best first"
        yield from heading(better if view.fits_now else "What to pull, the best first")
        for number, pull in enumerate(useful, 1):
            yield from pull_lines(number, view.part, pull)
    others = [" and ".join(pull.items) for pull in view.pulls if not pull.makes_room]
    if others:
        yield from heading("These by themselves make no room")
        yield from fill(", ".join(others), "  ")


def pull_lines(number: int, part: str, pull: PullView) -> Iterator[str]:
    """One set of parts."""
    riders = f" (with {in_short(pull.riders)} on it)" if pull.riders else ""
    yield from fill(f"{number}. {' and '.join(pull.items)}{riders}", "  ")
    yield from more(f"frees {'; '.join(pull.frees)}")
    link = f", {pull.link}" if pull.link else ""
    yield from more(f"{part} goes into {pull.goes_to}{link}")
    for statement, _ in pull.rests_on:
        yield from more(f"rests on: {statement}")
    for change in pull.changes:
        yield from more(f"SET {change.after}  (now {change.before})")
    yield from more(f"stops meanwhile: {', '.join(pull.stops) or 'nothing'}")
    for risk in pull.risks:
        yield from more(f"AT RISK: {risk}")
    if pull.elsewhere:
        homes = "; ".join(
            f"{item} in {place}" + (f", {link}" if link else "")
            for item, place, link in pull.elsewhere
        )
        then = f"; {', '.join(pull.stops_then)} stays down even so" if pull.stops_then else ""
        yield from more(f"could live elsewhere: {homes}{then}")
    else:
        yield from more("could live elsewhere: no, not with all else where it is")


def more(text: str) -> list[str]:
    """A point below a number."""
    return [f"   {line}" for line in bullet(text)]
