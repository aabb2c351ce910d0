"""What could still be added, for a terminal and for programs."""

from __future__ import annotations

import dataclasses
import json
from collections.abc import Iterator, Sequence

from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.render.stage_words import HEADLINES
from slotfit.render.text_layout import bullet, fill, heading
from slotfit.render.view import SCHEMA_VERSION


@dataclasses.dataclass(frozen=True, slots=True)
class RoomView:
    """What became of one addition."""

    name: str
    asked: int
    """So many were tried at most."""
    fits: int
    """How many of it fit at once."""
    seats: tuple[tuple[str, str, str], ...]
    """Item, receptacle, link of each that was added."""
    moves: tuple[tuple[str, str, str], ...]
    """Parts that have to go elsewhere for it: item, from, to."""
    settings: tuple[str, ...]
    """Lane groups that have to be arranged otherwise."""
    proven: bool
    """The number hangs on no search that ran out of time."""
    facts: tuple[str, ...]
    """Unproven facts it rests on beyond those of the plan."""


def as_text(problem: Problem, rooms: Sequence[RoomView]) -> str:
    """What fits, then what does not."""
    return "\n".join(line.rstrip() for line in lines(problem, rooms)) + "\n"


def lines(problem: Problem, rooms: Sequence[RoomView]) -> Iterator[str]:
    """Top down."""
    yield f"{problem.name or problem.id}: what could still be added"
    yield from fill(
        "Each line is tried on its own beside the plan; no part that is there gets fewer lanes, "
        "a lower generation or fewer endpoints for it."
    )
    fitting = [room for room in rooms if room.fits]
    if fitting:
        yield from heading("Fits")
    for room in fitting:
        yield from room_lines(room)
    rest = [room for room in rooms if not room.fits]
    if rest:
        yield from heading("Does not fit")
    for room in rest:
        yield from bullet(room.name + ("" if room.proven else " (not proven: time ran out)"))


def room_lines(room: RoomView) -> Iterator[str]:
    """One addition that fits: how many, where, and at what price."""
    yield from bullet(f"{room.name}: {how_many(room)}")
    for item, site, link in room.seats[:8]:
        yield from fill(f"{item} into {site}, {link}", "      ")
    if len(room.seats) > 8:
        yield f"      and {len(room.seats) - 8} more"
    if room.moves:
        moved = "; ".join(f"{item} from {there} to {here}" for item, there, here in room.moves)
        yield from fill(f"Would have to move: {moved}.", "      ")
    if room.settings:
        yield from fill(f"Would have to be set anew: {', '.join(room.settings)}.", "      ")
    for fact in room.facts:
        yield from fill(f"Rests on: {fact}.", "      ")


def how_many(room: RoomView) -> str:
    """`fits`, `3 of 4 fit`, `at least 8 fit`."""
    if not room.proven:
        return f"at least {room.fits} (time ran out before more were ruled out)"
    if room.fits == room.asked:
        return "fits" if room.asked == 1 else f"{room.fits} fit (more were not tried)"
    return f"{room.fits} fit, not one more"


def as_json(problem: Problem, rooms: Sequence[RoomView]) -> str:
    """One object."""
    data = {
        "schema_version": SCHEMA_VERSION,
        "build": problem.id,
        "rooms": [dataclasses.asdict(room) for room in rooms],
    }
    return json.dumps(data, indent=2, ensure_ascii=False) + "\n"


def no_plan(status: Status) -> str:
    """Without a plan there is nothing to add to."""
    return f"{HEADLINES[status]}: run `slotfit place` first."
