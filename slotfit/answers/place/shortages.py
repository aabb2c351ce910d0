"""What counting found too little of, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.names import amount
from slotfit.answers.place.answer import CountedShortage
from slotfit.answers.place.left_out import refused_part
from slotfit.listing import by_name, have, in_short, listed, natural
from slotfit.model.plan import Placed, Shortage
from slotfit.standards.forms import plug_fits

UNCOUNTED = ("", "parts", "cards")
"""Units of limits that say who may not be beside whom: their figures would tell nothing."""

FEW = 4
"""So many receptacles are named."""


def shortages_told(placed: Placed) -> Iterator[CountedShortage]:
    """
    Each shortage, those of receptacles first; parts with plugs of their own count as one.

    That what would sit on a part has no receptacle, because that part has none, is not told.
    """
    seatless = [one.parts[0] for one in placed.shortages if one.there == 0 and not one.reasons]
    bearers = [name for name in seatless if placed.problem.part[name].spec.receptacles]
    for short in sorted(placed.shortages, key=in_order):
        riding = [
            name
            for name in sorted(bearers, key=natural)
            if not short.reasons and would_ride(placed, short, name)
        ]
        if riding and not short.there:
            continue
        scale = 1000 if short.unit == "mW" else 1
        spans = dict.fromkeys(str(span) for no in short.reasons for span in no.spans)
        yield CountedShortage(
            items=bodies(placed, short),
            unit={"mW": "W", "": "receptacles"}.get(short.unit, short.unit),
            needed=short.needed / scale,
            there=short.there / scale,
            says=limit_words(short) if short.reasons else crowd_words(placed, short, riding),
            rules=tuple(dict.fromkeys(no.rule for no in short.reasons)),
            where=tuple(spans),
        )


def in_order(short: Shortage) -> tuple[object, ...]:
    """Receptacles first; the order of the build file does not show."""
    return (
        bool(short.reasons),
        [by_name(one) for one in sorted(short.parts, key=by_name)],
        short.unit,
    )


def bodies(placed: Placed, short: Shortage) -> tuple[str, ...]:
    """The parts, each once with all its plugs, in the order of their names."""
    named = {placed.problem.part[name].body for name in short.parts}
    return tuple(sorted(named, key=by_name))


def would_ride(placed: Placed, short: Shortage, bearer: str) -> bool:
    """Whether any of the crowd has a plug for a receptacle of that part."""
    forms = {one.form for one in placed.problem.part[bearer].spec.receptacles}
    return any(
        plug_fits(placed.problem.part[name].spec.plug.form, form)
        for name in short.parts
        for form in forms
    )


def limit_words(short: Shortage) -> str:
    """`4 pcie-8 plugs needed, 3 there: ...`, or what the limit says that counts nothing."""
    claims = sorted({no.text for no in short.reasons}, key=natural)
    text = claims[0] + (f"; likewise {len(claims) - 1} more" if claims[1:] else "")
    if short.unit in UNCOUNTED:
        return text
    there = amount(short.unit, short.there) if short.unit == "mW" else str(short.there)
    return f"{amount(short.unit, short.needed)} needed, {there} there: {text}"


def crowd_words(placed: Placed, short: Shortage, riding: Sequence[str]) -> str:
    """`3 parts have 2 receptacles between them, slot1 and slot2`, or why a part has none."""
    if not short.receptacles:
        nearest = refused_part(placed.problem, placed.seating, short.parts[0])
        where = f"it fits nowhere; nearest is {nearest.nearest}: " if nearest.nearest else ""
        return where + nearest.obstacle
    rooms = sorted(short.receptacles, key=natural)
    named = f", {listed(rooms)}" if len(rooms) <= FEW else f" ({in_short(rooms)})"
    there = f"{len(rooms)} receptacles" if len(rooms) > 1 else "1 receptacle"
    text = f"{len(short.parts)} parts have {there} between them{named}"
    return text + (f", while {listed(riding)} {have(riding)} none" if riding else "")
