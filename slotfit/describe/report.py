"""What there is to say beside the files: doubts, gaps, and what to do next."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from pathlib import Path

from slotfit.describe.description import Description
from slotfit.describe.kinds import class_words
from slotfit.describe.slots import Slot
from slotfit.describe.told import Places
from slotfit.describe.words import clean
from slotfit.read.merge.machine import Claim, Disagreement, MachineSeen
from slotfit.read.seen import Note
from slotfit.render.read_view import SCHEMA_VERSION, PartRow, ReadView, SlotRow

LONGEST = 600
MOST_NAMED = 6
"""Receptacles named in one line."""


def read_view(made: Description, written: Sequence[Path], places: Places) -> ReadView:
    """The report on a description that was written to these files."""
    seen = made.seen
    shown = [slot for slot in made.slots if not slot.aside]
    return ReadView(
        SCHEMA_VERSION,
        made.name,
        made.title,
        tuple((kind, clean(places.short(file))) for kind, file in seen.sources),
        tuple((one.id, one.label or one.id, one.fitted) for one in made.sockets),
        tuple(_slot(slot, made) for slot in shown),
        tuple(
            PartRow(one.id, one.title, one.site, one.file, made.assumed[one.file])
            for one in made.items
        ),
        tuple((one.label, one.why) for one in made.omitted),
        tuple(dict.fromkeys(_soldered(seen))),
        tuple(_disagreements(seen.disagreements, places)),
        _notes(seen.notes, ("not-read",), places),
        (*made.odd, *_notes(seen.notes, ("odd", "damaged", "cut"), places)),
        tuple(_gaps(shown)),
        tuple(str(path) for path in written),
        _next(written),
    )


def _slot(slot: Slot, made: Description) -> SlotRow:
    held = [one.id for one in made.items if one.site == slot.id]
    unknown = "something" if slot.seen.occupied.value and not held else ""
    return SlotRow(
        slot.id,
        slot.label,
        slot.form.value + ("?" if slot.form.assumed else ""),
        slot.lanes.value if slot.lanes else None,
        slot.generation.value if slot.generation else None,
        made.origins.get(slot.id),
        ", ".join(held) or unknown,
        bool(slot.seen.records),
    )


def _soldered(seen: MachineSeen) -> Iterator[str]:
    """Devices of the board: what the table or the system names, and those below slotless ports."""
    for one in seen.onboard_named:
        if one.enabled is not False:
            yield clean(one.designation or one.device_type or "a device without a name", 60)
    named = {one.address for one in seen.onboard_named}
    for part in seen.onboard:
        if part.port and not any(function.address in named for function in part.functions):
            label = next((function.label for function in part.functions if function.label), None)
            why = f"the firmware calls it {label}" if label else "its port says that it has no slot"
            yield clean(f"{class_words(part.main.class_code)} at {part.main.address}: {why}", 100)


def _disagreements(found: Sequence[Disagreement], places: Places) -> Iterator[str]:
    """One alone with its places; many of one kind in one line."""
    alike: dict[object, list[Disagreement]] = {}
    for one in found:
        said = tuple((claim.value, claim.basis) for claim in (one.chosen, *one.others))
        alike.setdefault((one.fact, said, one.why), []).append(one)
    for group in alike.values():
        first = group[0]
        if len(group) == 1:
            yield clean(places.short(str(first)), LONGEST)
            continue
        names = ", ".join(clean(one.about, 40) for one in group[:MOST_NAMED])
        more = f" and {len(group) - MOST_NAMED} more" if len(group) > MOST_NAMED else ""
        others = " or ".join(f"{_value(claim)} ({claim.basis})" for claim in first.others)
        chosen = f"{_value(first.chosen)} ({first.chosen.basis})"
        yield clean(f"{first.fact}: {chosen}, not {others}: {first.why}: {names}{more}", LONGEST)


def _value(claim: Claim[object]) -> str:
    words = {"True": "yes", "False": "no"}
    return words.get(str(claim.value), str(claim.value))


def _notes(notes: Sequence[Note], kinds: Sequence[str], places: Places) -> tuple[str, ...]:
    """Each once, with where it is; what holds in many places with the first of them."""
    at: dict[str, list[str]] = {}
    for one in notes:
        if one.kind in kinds:
            at.setdefault(one.text, []).append(str(one.where))
    shown = []
    for text, found in at.items():
        wheres = list(dict.fromkeys(found))
        more = f" and {len(wheres) - 1} more places" if len(wheres) > 2 else ""
        where = wheres[0] + more if more else ", ".join(wheres)
        shown.append(clean(places.short(f"{text} ({where})"), LONGEST))
    return tuple(shown)


def _gaps(slots: Sequence[Slot]) -> Iterator[tuple[str, tuple[str, ...], str]]:
    """Facts that place rests on, of which nothing was said."""
    edges = [slot for slot in slots if slot.form.value == "cem"]
    wide = tuple(slot.id for slot in edges if not slot.split and (slot.lanes is None or
                 slot.lanes.value >= 8))  # fmt: skip
    found = (
        ("splits", wide, "the firmware's settings, and the manual for which slot each one means"),
        ("row, position", tuple(slot.id for slot in edges), "count slot pitches on the board"),
        (
            "lanes",
            tuple(slot.id for slot in slots if slot.lanes is None),
            "the manual's slot table",
        ),
        (
            "generation",
            tuple(slot.id for slot in slots if slot.generation is None),
            "the manual, or `lspci -vv` as root: LnkCap of the port",
        ),
        (
            "power_w",
            tuple(slot.id for slot in edges if slot.power_w is None),
            "the manual's slot table",
        ),
    )
    yield from (gap for gap in found if gap[1])
    yield "chassis, power supply", (), "add `chassis`, `power_supply` and `base_w` to build.yaml"


def _next(written: Sequence[Path]) -> tuple[str, ...]:
    build = next((path for path in written if path.name == "build.yaml"), None)
    return (f"slotfit place {build}",) if build else ()
