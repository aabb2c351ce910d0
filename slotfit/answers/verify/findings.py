"""Every difference between plan and machine, with its likely causes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.answers.names import link_text
from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.read.slots import why_omitted
from slotfit.answers.verify.answer import Finding, LikelyCause
from slotfit.answers.verify.match import End, Pair, Unit
from slotfit.answers.verify.planned import own_links
from slotfit.answers.verify.scene import CauseEvidence, Scene, causes_of
from slotfit.read.seen import FunctionSeen, PciAddress

FAULT, OPEN, NOTE = "fault", "open", "note"


def missing(scene: Scene) -> Iterator[Finding]:
    """Parts that do not answer: alone, or counted by the part that holds them."""
    gone = {unit.part for unit in scene.matched.missing}
    groups: dict[str, list[Unit]] = defaultdict(list)
    for unit in scene.matched.missing:
        holders = [seat.item for seat in scene.planned.holders(unit.seat)]
        if any(holder in gone for holder in holders):
            continue  # said of the holder
        counted = unit.seat.part_class == "drive" and holders
        groups[holders[0] if counted else unit.part].append(unit)
    for name, units in groups.items():
        if name == units[0].part:
            yield _missing_part(scene, units[0])
        else:
            yield _fewer(scene, name, units)


def _missing_part(scene: Scene, unit: Unit) -> Finding:
    held = [one.part for one in scene.units if unit.seat in scene.planned.holders(one.seat)]
    behind = f", nor anything on it ({', '.join(held)})" if held else ""
    other = _instead(scene, unit)
    place = f"in {scene.label(unit.root)}" if other is None else f"; {scene.label(unit.root)} holds"
    text = (
        f"{unit.part} does not answer {place}{behind}"
        if other is None
        else f"{unit.part} does not answer{behind}{place} {other} instead"
    )
    kind = "missing" if other is None else "another-part"
    causes = causes_of(kind, scene.shown(unit))
    return Finding(kind, FAULT, (unit.part, *held), unit.root, text, causes)


def _instead(scene: Scene, unit: Unit) -> str | None:
    """What else answers in the part's own receptacle, if the part alone was to be there."""
    places = scene.places.get(unit.root, ())
    for pair in scene.matched.pairs:
        if any(pair.end.receptacle is one for one in places) and not pair.in_place:
            return pair.unit.part
    for end in scene.matched.extra:
        if any(end.receptacle is one for one in places):
            return end.name
    return None


def _fewer(scene: Scene, holder: str, units: Sequence[Unit]) -> Finding:
    """Drives of one carrier of which not all answer."""
    drives = [
        one
        for one in scene.units
        if one.seat.part_class == "drive"
        and holder in (seat.item for seat in scene.planned.holders(one.seat))
    ]
    lost = {unit.part for unit in units}
    text = (
        f"{holder} in {scene.label(units[0].root)}: {len(drives) - len(lost)} of {len(drives)} "
        f"drives answer; missing, as far as drives can be told apart: {', '.join(sorted(lost))}"
    )
    shown = scene.shown(units[0])
    if any(pair.unit.part == holder for pair in scene.matched.pairs):
        shown = replace(shown, holder_answers=True)
    causes = causes_of("fewer-drives", shown)
    parts = (holder, *(unit.part for unit in units))
    return Finding("fewer-drives", FAULT, parts, units[0].root, text, causes)


def elsewhere(scene: Scene) -> Iterator[Finding]:
    """Parts that answer in another receptacle than planned, with what is on them."""
    groups: dict[tuple[str, int], list[Pair]] = defaultdict(list)
    for pair in scene.matched.pairs:
        if not pair.in_place:
            root = scene.root_seat(pair.unit).item
            groups[root, id(pair.end.receptacle)].append(pair)
    for (root, _), pairs in groups.items():
        yield _elsewhere(scene, root, pairs)


def _elsewhere(scene: Scene, root: str, pairs: Sequence[Pair]) -> Finding:
    first = pairs[0]
    parts = tuple(pair.unit.part for pair in pairs)
    whole = all(
        (unit.part, unit.link.at) in {(p.unit.part, p.unit.link.at) for p in pairs}
        for unit in scene.units
        if scene.root_seat(unit).item == root
    )
    name = root if whole else ", ".join(parts)
    perhaps = "" if all(pair.sure for pair in pairs) else ", or a part like it,"
    planned = scene.label(first.unit.root)
    place = first.end.receptacle
    known = place is not None and (
        id(place) in scene.receptacle_of or bool(scene.places.get(first.unit.root))
    )
    at = first.end.part.top.address
    if not known:
        text = (
            f"{name}{perhaps} answers at {at}; whether that is {planned} cannot be told: "
            f"what was read puts it in {scene.where(first.end)}"
        )
        return Finding("not-known", OPEN, parts, first.unit.root, text, ())
    text = f"{name}{perhaps} answers in {scene.where(first.end)} ({at}), not in {planned}"
    causes = causes_of("elsewhere", scene.shown(first.unit, first.end))
    return Finding("elsewhere", FAULT, tuple(dict.fromkeys((name, *parts))) if whole else parts,
                       first.unit.root, text, causes)  # fmt: skip


def extras(scene: Scene) -> Iterator[Finding]:
    """What answers and is in no plan; where it may be soldered on, only a note."""
    table = any(one.records for one in scene.seen.receptacles)
    free = scene.matched.extra
    inner = {id(one) for end in free for one in end.inside}
    used = {id(pair.end) for pair in scene.matched.pairs}
    for end in free:
        if id(end) in inner or any(id(one) in used for one in end.inside):
            continue
        yield _extra(scene, end, doubtful=_may_be_soldered(scene, end, table=table))


def _may_be_soldered(scene: Scene, end: End, *, table: bool) -> bool:
    """Whether nothing says that this sits in a slot for cards."""
    place = end.receptacle
    if place is None or (table and not place.records):
        return True
    says_slot = any(port.slot_implemented or port.physical_slot for port in place.ports)
    if not place.records and not says_slot and place.label == str(place.ports[0].address):
        return True
    return why_omitted(place, scene.seen.receptacles, scene.topology) is not None


def _extra(scene: Scene, end: End, *, doubtful: bool) -> Finding:
    where = scene.where(end)
    text = f"{end.name} answers in {where} and is in no plan"
    if doubtful:
        text += "; it may be soldered on"
    receptacle = scene.receptacle_of.get(id(end.receptacle)) if end.receptacle else None
    causes = () if doubtful else causes_of("extra", CauseEvidence())
    return Finding("extra", NOTE if doubtful else FAULT, (), receptacle, text, causes)


def order(scene: Scene) -> Iterator[Finding]:
    """
    Parts on one passive carrier, whose links follow one another as the slot's ports do.

    Alike parts cannot be told apart. Where all answer in the opposite order the board may count its
    lanes from the other end, so that is said and not held against it.
    """
    for holder in scene.planned.seats:
        pairs = _by_lane(scene, holder)
        planned = [pair.unit.seat.recognise for pair in pairs]
        by_port = sorted(pairs, key=lambda pair: pair.end.part.port or pair.end.part.top.address)
        seen = [pair.unit.seat.recognise for pair in by_port]
        if planned == seen:
            continue
        parts = tuple(
            pair.unit.part
            for pair, other in zip(pairs, by_port, strict=True)
            if pair.unit.seat.recognise != other.unit.seat.recognise
        )
        weight = NOTE if planned == seen[::-1] else OPEN
        ports = ", ".join(
            f"{pair.unit.part} at {pair.end.part.top.address} (planned in {pair.unit.seat.label})"
            for pair in by_port
            if pair.unit.part in parts
        )
        text = f"the drives of {holder.item} answer in another order than planned: {ports}"
        causes = causes_of("other-order", scene.shown(pairs[0].unit, pairs[0].end))
        yield Finding("other-order", weight, parts, pairs[0].unit.root, text, causes)


def _by_lane(scene: Scene, holder: PlannedSeat) -> list[Pair]:
    """What sits on a part's own links and was found, by the lane its link starts at."""
    starts = {name: link.at for link in holder.links for name in link.to}
    if len(set(starts.values())) < 2 or len(set(starts.values())) != len(starts):
        return []
    own_name = {one.site: one.id for one in scene.planned.answer.plan.receptacles}
    found: list[tuple[int, Pair]] = []
    for seat in scene.planned.children(holder.item):
        start = starts.get(own_name.get(seat.site, ""))
        for link in own_links(seat):
            pair = scene.pair_of.get((seat.item, link.at))
            if pair and pair.sure and pair.in_place and start is not None:
                found.append((start, pair))
    return [pair for _, pair in sorted(found, key=lambda one: one[0])]


BUSES = ("sata", "sas")
NOT_LISTED = LikelyCause(
    "what was read does not list drives", "read the tar of `slotfit collect`, or a /sys folder"
)


def disks(scene: Scene) -> Iterator[Finding]:
    """Adapters with fewer drives than planned."""
    groups: dict[str | None, list[PlannedSeat]] = defaultdict(list)
    for seat in scene.planned.seats:
        if seat.part_class == "drive" and any(link.bus in BUSES for link in seat.links):
            # Of the part with a PCI Express link that it hangs on; None: the board's own ports.
            holders = scene.planned.holders(seat)
            groups[next((one.item for one in holders if own_links(one)), None)].append(seat)
    listed = any(kind == "sysfs" for kind, _ in scene.seen.sources)
    for adapter, seats in groups.items():
        parts = tuple(seat.item for seat in seats)
        name = adapter or "the board's own ports"
        if not listed:
            text = f"{len(parts)} drives on {name} cannot be counted"
            yield Finding("not-known", OPEN, parts, None, text, (NOT_LISTED,))
            continue
        found = _count(scene, adapter)
        if found is not None and found < len(parts):
            text = f"{name}: {found} of {len(parts)} drives answer"
            causes = causes_of("fewer-disks", CauseEvidence())
            yield Finding("fewer-drives", FAULT, parts, None, text, causes)


def _count(scene: Scene, adapter: str | None) -> int | None:
    """Drives that hang on it; None if the adapter itself does not answer, which is said already."""
    if adapter is None:
        drives = [drive for part in scene.seen.onboard for drive in part.drives]
    else:
        pairs = [pair for pair in scene.matched.pairs if pair.unit.part == adapter]
        if not pairs:
            return None
        drives = [drive for pair in pairs for drive in pair.end.drives]
    return sum(drive.transport in BUSES for drive in drives)


RESTING_GENERATION = 1
"""Devices and drivers that save power let a link fall to its lowest rate, 2.5 GT/s."""

UNDER_LOAD = LikelyCause(
    "links save power while nothing moves over them",
    "load the part and read once more while it works: read a drive (dd from it to /dev/null), send "
    "over a network card, let an accelerator compute; then `slotfit collect` again",
)
MORE_RIGHTS = LikelyCause(
    "what was read does not show links",
    "read as root: `slotfit collect`, or `lspci -vv`",
)


def links(scene: Scene) -> Iterator[Finding]:
    """One finding a link that is worse than planned; one for all that rest; one for all unknown."""
    resting: list[Pair] = []
    unknown: list[Pair] = []
    for pair in scene.matched.pairs:
        state = state_of(scene, pair)
        if state == "resting":
            resting.append(pair)
        elif state == "not known":
            unknown.append(pair)
        elif state != "as planned":
            yield _worse(scene, pair, state)
    if resting:
        yield _together(resting, "resting", NOTE, UNDER_LOAD, "at 2.5 GT/s for the moment")
    if unknown:
        yield _together(unknown, "not-known", OPEN, MORE_RIGHTS, "the link does not show")


def state_of(scene: Scene, pair: Pair) -> str:
    """One of: as planned, narrower, slower, resting, not known."""
    link, planned = pair.end.part.top.link, pair.unit.link.trains
    if link is None or not link.lanes_now:
        return "not known"
    if link.lanes_now < planned.lanes:
        return "narrower"
    if planned.generation is None or (link.generation_now or 0) >= planned.generation:
        return "as planned"
    if link.generation_now is None:
        return "not known"
    port = scene.port_link(pair.end)
    able = [one.generation_max for one in (link, port) if one and one.generation_max]
    could = bool(able) and min(able) >= planned.generation
    return "resting" if link.generation_now == RESTING_GENERATION and could else "slower"


def seen_text(pair: Pair) -> str:
    """The link as it is now."""
    link = pair.end.part.top.link
    if link is None or not link.lanes_now:
        return "not known"
    return link_text("pcie", link.generation_now, link.lanes_now)


def _worse(scene: Scene, pair: Pair, kind: str) -> Finding:
    unit, link, planned = pair.unit, pair.end.part.top.link, pair.unit.link.trains
    text = (
        f"{unit.part} in {scene.where(pair.end)} runs at {seen_text(pair)}, planned "
        f"{link_text('pcie', planned.generation, planned.lanes)}{_limit(scene, pair)}"
    )
    causes = causes_of(kind, scene.shown(unit, pair.end))
    at_rest = link and link.generation_now == RESTING_GENERATION and link.generation_max != 1
    if kind == "narrower" and at_rest:
        causes = (*causes, UNDER_LOAD)
    return Finding(kind, FAULT, (unit.part,), unit.root, text, causes)


def _limit(scene: Scene, pair: Pair) -> str:
    """Which end cannot do what was planned, if one of them says so."""
    shown = scene.shown(pair.unit, pair.end)
    port, link = scene.port_link(pair.end), pair.end.part.top.link
    if shown.port_able is False and port and port.lanes_max:
        return f"; the port offers {link_text('pcie', port.generation_max, port.lanes_max)}"
    if shown.card_able is False and link and link.lanes_max:
        return f"; the part can do {link_text('pcie', link.generation_max, link.lanes_max)}"
    return ""


def _together(
    pairs: Sequence[Pair], kind: str, weight: str, cause: LikelyCause, text: str
) -> Finding:
    parts = tuple(dict.fromkeys(pair.unit.part for pair in pairs))
    return Finding(kind, weight, parts, None, f"{text}: {', '.join(parts)}", (cause,))


GROUPS_OFF = LikelyCause(
    "the system keeps no isolation groups, or what was read does not show them",
    "switch on the input-output memory management unit in the firmware setup and in the kernel's "
    "command line; then look into /sys/kernel/iommu_groups",
)


def processors(scene: Scene) -> Iterator[Finding]:
    """Receptacles that hang on another processor than the plan has it."""
    told: set[str] = set()
    for pair in scene.matched.pairs:
        root, place = pair.unit.root, pair.end.receptacle
        if root in told or place is None or not pair.in_place:
            continue
        index, planned = place.processor.value, pair.unit.seat.processor
        order = scene.planned.processors
        if index is None or planned not in order or index >= len(order):
            continue
        if order[index] != planned:
            told.add(root)
            basis = place.processor.claims[0].basis
            text = (
                f"{scene.label(root)} with {scene.root_seat(pair.unit).item} is attached to "
                f"{order[index]} ({basis}), planned {planned}"
            )
            causes = causes_of("other-processor", scene.shown(pair.unit, pair.end))
            yield Finding("other-processor", FAULT, (pair.unit.part,), root, text, causes)


def isolation(scene: Scene) -> Iterator[Finding]:
    """Parts for guests that share their isolation group with what is not that guest's."""
    owners = {
        seen.address: pair.unit.part for pair in scene.matched.pairs for seen in pair.end.functions
    }
    members: dict[int, list[FunctionSeen]] = defaultdict(list)
    for seen in scene.topology.functions.values():
        if seen.iommu_group is not None and not seen.is_bridge:
            members[seen.iommu_group].append(seen)
    for pair in scene.matched.pairs:
        if pair.unit.seat.guest:
            yield from _isolation(scene, pair, owners, members)


def _isolation(
    scene: Scene,
    pair: Pair,
    owners: dict[PciAddress, str],
    members: dict[int, list[FunctionSeen]],
) -> Iterator[Finding]:
    unit = pair.unit
    groups = sorted(
        {
            seen.iommu_group
            for seen in pair.end.functions
            if not seen.is_bridge and seen.iommu_group is not None
        }
    )
    if not groups:
        text = f"{unit.part} is for guest {unit.seat.guest}; its isolation group does not show"
        yield Finding("not-known", OPEN, (unit.part,), unit.root, text, (GROUPS_OFF,))
        return
    others = [
        seen
        for group in groups
        for seen in members[group]
        if _is_anothers(scene, owners.get(seen.address), unit.part)
        and seen.parent not in {own.address for own in pair.end.functions}
    ]
    if others:
        named = dict.fromkeys(owners.get(seen.address) or str(seen.address) for seen in others)
        text = (
            f"{unit.part} is for guest {unit.seat.guest} and shares isolation group "
            f"{', '.join(map(str, groups))} with "
            f"{', '.join(named)}"
        )
        causes = causes_of("shared-isolation", scene.shown(unit, pair.end))
        yield Finding("shared-isolation", FAULT, (unit.part,), unit.root, text, causes)


def _is_anothers(scene: Scene, owner: str | None, part: str) -> bool:
    """Whether a function is neither the part's own nor of a part for the same guest."""
    if owner is None:
        return True
    return owner != part and scene.seats[owner].guest != scene.seats[part].guest
