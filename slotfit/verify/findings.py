"""Every difference between plan and machine, with its likely causes."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Sequence
from dataclasses import replace

from slotfit.describe.slots import why_omitted
from slotfit.render.verify_view import FindingView
from slotfit.verify.causes import Shown, causes_of
from slotfit.verify.ends import End
from slotfit.verify.match import Pair
from slotfit.verify.scene import Scene
from slotfit.verify.units import Unit

FAULT, OPEN, NOTE = "fault", "open", "note"


def missing(scene: Scene) -> Iterator[FindingView]:
    """Parts that do not answer: alone, or counted by the part that holds them."""
    gone = {unit.item for unit in scene.matched.missing}
    groups: dict[str, list[Unit]] = defaultdict(list)
    for unit in scene.matched.missing:
        holders = [seat.item for seat in scene.chain(unit.seat)]
        if any(holder in gone for holder in holders):
            continue  # said of the holder
        counted = unit.seat.part_class == "drive" and holders
        groups[holders[0] if counted else unit.item].append(unit)
    for name, units in groups.items():
        if name == units[0].item:
            yield _missing_part(scene, units[0])
        else:
            yield _fewer(scene, name, units)


def _missing_part(scene: Scene, unit: Unit) -> FindingView:
    held = [one.item for one in scene.units if unit.item in _holders(scene, one)]
    behind = f", nor anything on it ({', '.join(held)})" if held else ""
    other = _instead(scene, unit)
    place = f"in {scene.label(unit.root)}" if other is None else f"; {scene.label(unit.root)} holds"
    text = (
        f"{unit.item} does not answer {place}{behind}"
        if other is None
        else f"{unit.item} does not answer{behind}{place} {other} instead"
    )
    kind = "missing" if other is None else "another-part"
    causes = causes_of(kind, scene.shown(unit))
    return FindingView(kind, FAULT, (unit.item, *held), unit.root, text, causes)


def _holders(scene: Scene, unit: Unit) -> set[str]:
    return {seat.item for seat in scene.chain(unit.seat)}


def _instead(scene: Scene, unit: Unit) -> str | None:
    """What else answers in the part's own receptacle, if the part alone was to be there."""
    places = scene.places.get(unit.root, ())
    for pair in scene.matched.pairs:
        if any(pair.end.receptacle is one for one in places) and not pair.in_place:
            return pair.unit.item
    for end in scene.matched.extra:
        if any(end.receptacle is one for one in places):
            return end.name
    return None


def _fewer(scene: Scene, holder: str, units: Sequence[Unit]) -> FindingView:
    """Drives of one carrier of which not all answer."""
    every = [one for one in scene.units if holder in _holders(scene, one)]
    drives = [one for one in every if one.seat.part_class == "drive"]
    lost = {unit.item for unit in units}
    text = (
        f"{holder} in {scene.label(units[0].root)}: {len(drives) - len(lost)} of {len(drives)} "
        f"drives answer; missing, as far as drives can be told apart: {', '.join(sorted(lost))}"
    )
    shown = scene.shown(units[0])
    if any(pair.unit.item == holder for pair in scene.matched.pairs):
        shown = replace(shown, holder_answers=True)
    causes = causes_of("fewer-drives", shown)
    items = (holder, *(unit.item for unit in units))
    return FindingView("fewer-drives", FAULT, items, units[0].root, text, causes)


def elsewhere(scene: Scene) -> Iterator[FindingView]:
    """Parts that answer in another receptacle than planned, with what is on them."""
    groups: dict[tuple[str, int], list[Pair]] = defaultdict(list)
    for pair in scene.matched.pairs:
        if not pair.in_place:
            root = scene.root_seat(pair.unit).item
            groups[root, id(pair.end.receptacle)].append(pair)
    for (root, _), pairs in groups.items():
        yield _elsewhere(scene, root, pairs)


def _elsewhere(scene: Scene, root: str, pairs: Sequence[Pair]) -> FindingView:
    first = pairs[0]
    items = tuple(pair.unit.item for pair in pairs)
    whole = all(
        (unit.item, unit.link.at) in {(p.unit.item, p.unit.link.at) for p in pairs}
        for unit in scene.units
        if scene.root_seat(unit).item == root
    )
    name = root if whole else ", ".join(items)
    perhaps = "" if all(pair.sure for pair in pairs) else ", or a part like it,"
    planned = scene.label(first.unit.root)
    place = first.end.receptacle
    known = place is not None and (
        id(place) in scene.site_of or bool(scene.places.get(first.unit.root))
    )
    at = first.end.part.top.address
    if not known:
        text = (
            f"{name}{perhaps} answers at {at}; whether that is {planned} cannot be told: "
            f"what was read puts it in {scene.where(first.end)}"
        )
        return FindingView("not-known", OPEN, items, first.unit.root, text, ())
    text = f"{name}{perhaps} answers in {scene.where(first.end)} ({at}), not in {planned}"
    causes = causes_of("elsewhere", scene.shown(first.unit, first.end))
    return FindingView("elsewhere", FAULT, tuple(dict.fromkeys((name, *items))) if whole else items,
                       first.unit.root, text, causes)  # fmt: skip


def extras(scene: Scene) -> Iterator[FindingView]:
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


def _extra(scene: Scene, end: End, *, doubtful: bool) -> FindingView:
    where = scene.where(end)
    text = f"{end.name} answers in {where} and is in no plan"
    if doubtful:
        text += "; it may be soldered on"
    site = scene.site_of.get(id(end.receptacle)) if end.receptacle else None
    causes = () if doubtful else causes_of("extra", Shown())
    return FindingView("extra", NOTE if doubtful else FAULT, (), site, text, causes)
