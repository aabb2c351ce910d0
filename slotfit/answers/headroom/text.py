"""What could still be added, for a terminal."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator, Sequence

from slotfit.answers.headroom.answer import AdditionRoom, HeadroomAnswer, NewSeat
from slotfit.answers.place.additions import FuturesTaken
from slotfit.answers.text_layout import bullet, bulleted, fill, heading, joined, verdict
from slotfit.listing import in_short

NUMBERED = re.compile(r"^\d+ x ")
"""What an addition of several is called begins so."""

INDENT = " " * 6


MORE = "More: --all everything that gets worse with an addition."


def as_text(answer: HeadroomAnswer, *, every: bool = False) -> str:
    """What fits, then what does not; `every`: all that gets worse with it."""
    return joined(lines(answer, every=every))


def lines(answer: HeadroomAnswer, *, every: bool) -> Iterator[str]:
    """Top down."""
    rooms, untried = answer.plan.rooms, answer.do.try_again
    yield from fill(f"{answer.title}: what could still be added")
    yield from verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    if not (rooms or untried):
        yield "There is no plan to add to."
        return
    yield from most_drives(rooms)
    if answer.more.futures:
        yield from futures_lines(answer.more.futures)
    yield from rooms_lines(rooms, every=every)
    yield from bulleted("Not tried: stopped before", ["; ".join(untried)] if untried else [])
    yield from bulleted("Watch", answer.watch.notes)
    if not every and any(len(room.worse) > FEW for room in rooms):
        yield from fill(MORE)


def rooms_lines(rooms: Sequence[AdditionRoom], *, every: bool) -> Iterator[str]:
    """What fits, and what does not."""
    for title, fits in (("Fits", True), ("Does not fit", False)):
        some = [room for room in rooms if bool(room.fits) is fits]
        if some:
            yield from heading(title)
        for room in some:
            if fits:
                yield from room_lines(room, every=every)
            else:
                why = room.why_no_more or "not known, time ran out"
                yield from bullet(f"{room.name}: {why}")


FEW = 2
"""So many things that get worse are told of an addition; all with `--all`."""


def room_lines(room: AdditionRoom, *, every: bool) -> Iterator[str]:
    """One addition that fits: how many, where, and at what price."""
    yield from bullet(f"{room.name}: {how_many(room)}")
    for text in places(room.seats):
        yield from fill(text, INDENT)
    if room.moves:
        moved = "; ".join(f"{part} from {old} to {new}" for part, old, new in room.moves)
        fewest = "" if room.fewest_moves else " (fewer may do: time ran out)"
        yield from fill(f"Has to move: {moved}{fewest}.", INDENT)
    if room.settings:
        yield from fill(f"Set: {'; '.join(room.settings)}.", INDENT)
    if room.worse:
        told = room.worse if every else room.worse[:FEW]
        rest = [f"and {len(room.worse) - len(told)} more"] * (len(told) < len(room.worse))
        yield from fill(f"Worse with it: {'; '.join([*told, *rest])}.", INDENT)
    for fact in room.facts:
        yield from fill(f"Rests on: {fact}.", INDENT)


def places(seats: Iterable[NewSeat]) -> Iterator[str]:
    """Where the added parts go, those alike together: `nic into SLOT 1, SLOT 2: gen 3 x8, cpu0`."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    inside: Counter[tuple[str, str]] = Counter()
    for seat in seats:
        if seat.inside:
            inside[seat.part, seat.link] += 1
        else:
            alike.setdefault((seat.part, seat.link, seat.hangs_on), []).append(called(seat))
    for (part, link, hangs_on), receptacles in alike.items():
        on = f", {hangs_on}" if hangs_on else ""
        yield f"{part} into {in_short(receptacles)}: {link}{on}"
    for (part, link), count in inside.items():
        yield f"{count} x {part} inside: {link}"


def called(seat: NewSeat) -> str:
    """The printed label, with what it is on where that is not the only board."""
    on = seat.site.rpartition("/")[0]
    return f"{seat.label} of {on}" if on else seat.label


def how_many(room: AdditionRoom) -> str:
    """`fits`, `3 fit, not one more: slot5 is taken`, `at least 8 fit`."""
    if not room.counted:
        return f"at least {room.fits} (time ran out before more were ruled out)"
    if room.fits == room.asked:
        return "fits" if room.asked == 1 else f"{room.fits} fit; more were not tried"
    verb = "fits" if room.fits == 1 else "fit"
    return f"{room.fits} {verb}, not one more: {room.why_no_more}"


def most_drives(rooms: Iterable[AdditionRoom]) -> Iterator[str]:
    """Which one addition brings the most NVMe drives."""
    best = max(rooms, key=lambda room: room.drives, default=None)
    if best and best.drives > 1:
        name = NUMBERED.sub("", best.name)
        yield from fill(
            f"Most NVMe drives by one kind of addition: {best.drives}, by {best.fits} x "
            f"{name}. Mixtures were not tried: name them with --expect."
        )


def futures_lines(futures: FuturesTaken) -> Iterator[str]:
    """How many of the likely futures fit."""
    count = len(futures.fits) + len(futures.fails) + len(futures.open)
    yield from fill(
        f"Of {count} likely futures {len(futures.fits)} fit, {futures.share:.0%} by weight."
        + (f" Open, because time ran out: {', '.join(futures.open)}." if futures.open else "")
    )
