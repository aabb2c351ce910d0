"""What parts need of firmware and network, and what whoever fits them has to know."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slotfit.answers.place.answer import FirmwareToSee, Mind, NetworkEnd
from slotfit.listing import listed
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem
from slotfit.standards.firmware import AT_ODDS, FIRMWARE, FirmwareRow


def firmware_needs(part: Part) -> tuple[str, ...]:
    """What a part needs, by its description and by the build."""
    return tuple(dict.fromkeys((*part.spec.needs_firmware, *part.wish.needs_firmware)))


def firmware_to_see(problem: Problem, plan: Plan) -> Iterator[FirmwareToSee]:
    """Machine by machine, each setting once."""
    for machine in problem.machines:
        here = [problem.part[s.part] for s in plan.seats if s.upstream.machine == machine.id]
        for need, row in FIRMWARE.items():
            items = tuple(part.id for part in here if need in firmware_needs(part))
            if items:
                yield FirmwareToSee(machine.id, need, row.menu, row.value, row.why, items)


def at_odds(found: Iterable[FirmwareToSee]) -> Iterator[str]:
    """Machines whose parts want what firmware seldom does at once."""
    by_machine: dict[str, dict[str, FirmwareToSee]] = {}
    for one in found:
        by_machine.setdefault(one.machine, {})[one.need] = one
    for machine, needs in by_machine.items():
        if all(need in needs for need in AT_ODDS):
            off, on = (needs[need] for need in AT_ODDS)
            yield (
                f"{machine}: {listed(on.items)} wants the legacy module (CSM) on, and "
                f"{listed(off.items)} wants it off: see whether the firmware offers both"
            )


def minds(parts: Iterable[Part]) -> Iterator[Mind]:
    """Each sentence once, with the parts that it is about."""
    found: dict[str, list[str]] = {}
    for part in parts:
        for text in part.spec.mind:
            found.setdefault(text, []).append(part.id)
    yield from (Mind(text, tuple(items)) for text, items in found.items())


def network_ends(parts: Iterable[Part]) -> Iterator[NetworkEnd]:
    """What goes into network ports of the parts."""
    for part in parts:
        for port, end in part.wish.ends.items():
            by = end.by.id if end.by is not None else None
            yield NetworkEnd(part.id, port, end.to, by, end.run_m)


def look_for(row: FirmwareRow) -> str:
    """`“CSM”: on`, with what goes wrong without it."""
    return f"“{row.menu}”: {row.value} ({row.why})"


def said_of(part: Part) -> Iterator[str]:
    """All of that for one part, a sentence each."""
    for need in firmware_needs(part):
        yield f"{part.id}: look for {look_for(FIRMWARE[need])}."
    yield from (f"{part.id}: {text}" for text in part.spec.mind)
