"""What could still be added, for a terminal."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Iterable, Iterator

from slotfit.answers.compare.answer import OutlookView
from slotfit.answers.headroom.answer import HeadroomView, NewSeatView, RoomView
from slotfit.answers.text_layout import bullet, fill, heading

NUMBERED = re.compile(r"^\d+ x ")
"""What an addition of several is called begins so."""

INDENT = " " * 6


def as_text(view: HeadroomView) -> str:
    """What fits, then what does not."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: HeadroomView) -> Iterator[str]:
    """Top down."""
    yield from fill(f"{view.title}: what could still be added")
    yield from fill(f"{view.headline}.")
    if not (view.rooms or view.untried):
        yield "There is no plan to add to."
        return
    yield from fill(
        "Each addition is tried on its own beside the plan. No part that is there gets fewer "
        "lanes, a lower generation or fewer endpoints for it; it may have to move."
    )
    fitting = [room for room in view.rooms if room.fits]
    if fitting:
        yield from heading("Fits")
    for room in fitting:
        yield from room_lines(room)
    rest = [room for room in view.rooms if not room.fits]
    if rest:
        yield from heading("Does not fit")
    for room in rest:
        yield from bullet(f"{room.name}: {room.why_no_more or 'not known, time ran out'}")
    yield from drives(view)
    if view.outlook:
        yield from futures(view.outlook)
    if view.untried:
        yield from heading("Not tried: stopped before")
        yield from bullet("; ".join(view.untried))


def room_lines(room: RoomView) -> Iterator[str]:
    """One addition that fits: how many, where, and at what price."""
    yield from bullet(f"{room.name}: {how_many(room)}")
    for text in where(room.seats):
        yield from fill(text, INDENT)
    if room.moves:
        moved = "; ".join(f"{one.item} from {one.from_} to {one.to}" for one in room.moves)
        fewest = "" if room.fewest_moves else " (fewer may do: time ran out)"
        yield from fill(f"Has to move: {moved}{fewest}.", INDENT)
    if room.settings:
        yield from fill(f"To be set anew: {'; '.join(room.settings)}.", INDENT)
    if room.worse:
        yield from fill(f"Worse with it: {'; '.join(room.worse)}.", INDENT)
    for fact in room.facts:
        yield from fill(f"Rests on: {fact}.", INDENT)


def where(seats: Iterable[NewSeatView]) -> Iterator[str]:
    """Where the added parts go, those alike together: `nic into slot1, slot2: 8 GT/s x8, cpu0`."""
    alike: dict[tuple[str, str, str], list[str]] = {}
    inside: Counter[tuple[str, str]] = Counter()
    for seat in seats:
        if seat.inside:
            inside[seat.part, seat.link] += 1
        else:
            alike.setdefault((seat.part, seat.link, seat.hangs_on), []).append(seat.site)
    for (part, link, hangs_on), sites in alike.items():
        on = f", {hangs_on}" if hangs_on else ""
        yield f"{part} into {', '.join(sites)}: {link}{on}"
    for (part, link), count in inside.items():
        yield f"{count} x {part} inside: {link}"


def how_many(room: RoomView) -> str:
    """`fits`, `3 fit, not one more: slot5 is taken`, `at least 8 fit`."""
    if not room.counted:
        return f"at least {room.fits} (time ran out before more were ruled out)"
    if room.fits == room.asked:
        return "fits" if room.asked == 1 else f"{room.fits} fit; more were not tried"
    verb = "fits" if room.fits == 1 else "fit"
    return f"{room.fits} {verb}, not one more: {room.why_no_more}"


def drives(view: HeadroomView) -> Iterator[str]:
    """Which one addition brings the most NVMe drives."""
    best = max(view.rooms, key=lambda room: room.drives, default=None)
    if best and best.drives > 1:
        name = NUMBERED.sub("", best.name)
        yield ""
        yield from fill(
            f"Most NVMe drives by one kind of addition: {best.drives}, by {best.fits} x "
            f"{name}. Mixtures were not tried: name them with --expect."
        )


def futures(outlook: OutlookView) -> Iterator[str]:
    """How many of the likely futures fit."""
    count = len(outlook.fits) + len(outlook.fails) + len(outlook.open)
    yield ""
    yield from fill(
        f"Of {count} likely futures {len(outlook.fits)} fit, {outlook.share:.0%} by weight."
        + (f" Open, because time ran out: {', '.join(outlook.open)}." if outlook.open else "")
    )
