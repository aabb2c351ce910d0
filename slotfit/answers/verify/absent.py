"""What does not answer: a processor with all its slots, parts, drives, on-board devices."""

from __future__ import annotations

from collections import Counter, defaultdict
from collections.abc import Collection, Iterator, Sequence
from dataclasses import replace

from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.read.devices import OF_BASE_CLASS, device_kind
from slotfit.answers.verify.answer import Finding, LikelyCause
from slotfit.answers.verify.causes import CauseEvidence, causes_of
from slotfit.answers.verify.match import End, Unit
from slotfit.answers.verify.planned import own_links
from slotfit.answers.verify.scene import Scene
from slotfit.answers.verify.told import FAULT, OPEN, Explained
from slotfit.listing import counted, listed
from slotfit.standards.storage import DISK_BUSES


def processors_gone(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Processors that are not there: one cause for everything on their slots."""
    fitted = {
        name: label for name, label, is_fitted in scene.planned.machine.processors if is_fitted
    }
    if told.all or len(fitted) < 2:
        return
    alive = [name for name in fitted if _answers(scene, name)]
    counts = processors_seen(scene, alive)
    count = min(counts, default=None)
    fewer = count is not None and count < len(fitted)
    gone = [name for name in fitted if _is_gone(scene, name, sure=fewer)]
    evidence = CauseEvidence(fewer_processors=None if count is None else fewer)
    causes = causes_of("processor-missing", evidence)
    for name in gone[: len(fitted) - count if fewer and count is not None else None]:
        parts = tuple(dict.fromkeys(unit.part for unit in _of(scene, name)))
        slots = dict.fromkeys(scene.label(unit.root) for unit in _of(scene, name))
        text = (
            f"{fitted[name]} {SILENT[evidence.fewer_processors]} "
            f"({', '.join(slots)}) with {listed(parts)}"
        )
        yield Finding("processor-missing", FAULT, parts, None, text, causes)
    if not gone and fewer and max(counts) < len(fitted):
        text = f"{count} of {counted(len(fitted), 'processor')} answer"
        yield Finding("processor-missing", FAULT, (), None, text, causes)


SILENT = {
    True: "does not answer, nor do its slots",
    False: "is there, and none of its slots answers",
    None: "may be missing: none of its slots answers",
}
"""Whether fewer processors run than were planned -> what is said of one."""


def _of(scene: Scene, processor: str) -> list[Unit]:
    return [unit for unit in scene.units if scene.root_seat(unit).processor == processor]


def _is_gone(scene: Scene, processor: str, *, sure: bool) -> bool:
    """Whether nothing of it answers; where its absence is not sure, only of two parts or more."""
    units = _of(scene, processor)
    roots = {unit.root for unit in units}
    slots = [one.site for one in scene.planned.on_board if one.processor == processor]
    return (
        len(roots) >= (1 if sure else 2)
        and not any((unit.part, unit.link.at) in scene.pair_of for unit in units)
        and not any(scene.ports_at(site) for site in slots)
    )


def _answers(scene: Scene, processor: str) -> bool:
    """Whether anything of it answers."""
    return any((unit.part, unit.link.at) in scene.pair_of for unit in _of(scene, processor))


def processors_seen(scene: Scene, alive: Sequence[str]) -> list[int]:
    """
    How many run, by each witness: the nodes' packages, the sockets that the table calls filled.

    What answers is there, whatever they say; a table that calls every socket empty says nothing.
    """
    found = []
    packages = {package for node in scene.seen.nodes for package in node.packages or ()}
    if packages:
        found.append(max(len(packages), len(alive)))
    sockets, order = scene.seen.processors, scene.planned.processors
    if len(sockets) == len(order) and any(one.populated for one in sockets):
        found.append(
            sum(
                one.populated is not False or name in alive
                for one, name in zip(sockets, order, strict=True)
            )
        )
    return found


def missing(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Parts that do not answer: alone, or counted by the part that holds them."""
    gone = {unit.part for unit in scene.matched.missing}
    groups: dict[str, list[Unit]] = defaultdict(list)
    for unit in scene.matched.missing:
        holders = [seat.item for seat in scene.planned.holders(unit.seat)]
        if any(holder in gone for holder in holders):
            continue  # said of the holder
        counted_there = unit.seat.part_class == "drive" and holders
        groups[holders[0] if counted_there else unit.part].append(unit)
    for name, units in groups.items():
        if told.covers(unit.part for unit in units):
            continue
        if name == units[0].part:
            yield _missing_part(scene, units[0], told)
        else:
            yield _fewer(scene, name, units)


def _missing_part(scene: Scene, unit: Unit, told: Explained) -> Finding:
    held = [one.part for one in scene.units if unit.seat in scene.planned.holders(one.seat)]
    behind = f", nor anything on it ({', '.join(held)})" if held else ""
    other = _instead(scene, unit)
    slot = scene.label(unit.root)
    parts = (unit.part, *held)
    if other is None:
        text = f"{unit.part} does not answer in {slot}{behind}"
        causes = causes_of("missing", scene.shown(unit))
        return Finding("missing", FAULT, parts, unit.root, text, causes)
    name, end = other
    told.ends.append(end)
    text = f"{unit.part} does not answer{behind}; {slot} holds {name} instead"
    causes = causes_of("another-part", scene.shown(unit))
    return Finding("another-part", FAULT, parts, unit.root, text, causes)


def _instead(scene: Scene, unit: Unit) -> tuple[str, End] | None:
    """What else answers in the part's own receptacle, if the part alone was to be there."""
    places = scene.places.get(unit.root, ())
    for pair in scene.matched.pairs:
        if any(pair.end.receptacle is one for one in places) and not pair.in_place:
            return pair.unit.part, pair.end
    for end in scene.matched.extra:
        if any(end.receptacle is one for one in places):
            return end.name, end
    return None


def _fewer(scene: Scene, holder: str, units: Sequence[Unit]) -> Finding:
    """Drives of one carrier of which not all answer."""
    drives = [
        one
        for one in scene.units
        if one.seat.part_class == "drive"
        and holder in (seat.item for seat in scene.planned.holders(one.seat))
    ]
    lost = list(dict.fromkeys(unit.part for unit in units))
    text = (
        f"{holder} in {scene.label(units[0].root)}: {len(drives) - len(lost)} of {len(drives)} "
        f"drives answer; missing: {_which(scene, units, drives)}"
    )
    shown = scene.shown(units[0])
    if any(pair.unit.part == holder for pair in scene.matched.pairs):
        shown = replace(shown, holder_answers=True)
    causes = causes_of("fewer-drives", shown)
    return Finding("fewer-drives", FAULT, (holder, *lost), units[0].root, text, causes)


def _which(scene: Scene, units: Sequence[Unit], drives: Sequence[Unit]) -> str:
    """The drives with their sockets; a guess where alike ones are told by the order of ports."""
    lost = {unit.part: unit.seat.label for unit in units}
    names = listed([f"{part} in {label}" for part, label in lost.items()])
    alike = {
        other.part
        for unit in units
        for other in drives
        if other.part not in lost and other.seat.recognise == unit.seat.recognise
    }
    if not alike:
        return names
    by_port = all(unit.seat.site in scene.all_sockets for unit in units)
    how = (
        "by the order of the ports: a board may count them from the other end"
        if by_port
        else "the drives are alike, and nothing tells the sockets apart"
    )
    return f"{names} (a guess, {how})"


def _disks(scene: Scene) -> dict[str | None, list[PlannedSeat]]:
    """Part with a PCI Express link -> drives that hang on it; None: on the board's own ports."""
    groups: dict[str | None, list[PlannedSeat]] = defaultdict(list)
    for seat in scene.planned.seats:
        if seat.part_class == "drive" and any(link.bus in DISK_BUSES for link in seat.links):
            holders = scene.planned.holders(seat)
            groups[next((one.item for one in holders if own_links(one)), None)].append(seat)
    return groups


def healthy_disks(scene: Scene, failing: Collection[str]) -> Iterator[str]:
    """Drives of adapters of which, but for those that fail, all answer."""
    for adapter, seats in _disks(scene).items():
        others = [seat.item for seat in seats if seat.item not in failing]
        if (_count(scene, adapter) or 0) >= len(others):
            yield from others


def missing_disks(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Adapters with fewer drives than planned."""
    listed_there = any(kind == "sysfs" for kind, _ in scene.seen.sources)
    for adapter, seats in _disks(scene).items():
        parts = tuple(seat.item for seat in seats)
        if told.all or (adapter and told.covers([adapter])):
            continue
        name = adapter or "the board's own ports"
        if not listed_there:
            text = f"{len(parts)} drives on {name} cannot be counted"
            yield Finding("not-known", OPEN, parts, None, text, (NOT_LISTED,))
            continue
        found = _count(scene, adapter)
        if found is not None and found < len(parts):
            text = f"{name}: {found} of {len(parts)} drives answer"
            causes = causes_of("fewer-disks", CauseEvidence())
            yield Finding("fewer-drives", FAULT, parts, None, text, causes)


def missing_devices(scene: Scene, told: Explained) -> Iterator[Finding]:
    """
    Kinds of on-board devices of which fewer answer than the board's file lists.

    Everything of the kind that is no part of the plan counts, for without root nothing tells
    which devices are soldered.
    """
    if told.all or not scene.seen.functions:
        return
    parts = {one.address for pair in scene.matched.pairs for one in pair.end.functions}
    there = Counter[str | None](
        device_kind(one.class_code)
        for one in scene.topology.functions.values()
        if not one.is_bridge and not one.is_virtual and one.address not in parts
    )
    for kind, count in Counter(kind for _, kind in scene.planned.machine.devices).items():
        if there[kind] < count and kind in KINDS:
            text = f"on-board {kind}: {there[kind]} of {counted(count, 'device')} answer"
            causes = causes_of("device-missing", CauseEvidence())
            yield Finding("device-missing", FAULT, (), None, text, causes)


KINDS = (*OF_BASE_CLASS.values(), "usb")
"""Kinds of devices that a class code tells."""

NOT_LISTED = LikelyCause(
    "drives-not-listed", "what was read does not list drives",
    "read the tar of `slotfit collect`, or a /sys folder",
)  # fmt: skip


def _count(scene: Scene, adapter: str | None) -> int | None:
    """Drives that hang on it; None if the adapter itself does not answer, which is said already."""
    if adapter is None:
        drives = [drive for part in scene.seen.onboard for drive in part.drives]
    else:
        pairs = [pair for pair in scene.matched.pairs if pair.unit.part == adapter]
        if not pairs:
            return None
        drives = [drive for pair in pairs for drive in pair.end.drives]
    return sum(drive.transport in DISK_BUSES for drive in drives)
