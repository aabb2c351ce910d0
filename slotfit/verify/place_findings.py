"""Processors and isolation groups other than planned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from slotfit.read.seen import FunctionSeen, PciAddress
from slotfit.render.verify_view import CauseView, FindingView
from slotfit.verify.causes import causes_of
from slotfit.verify.findings import FAULT, OPEN
from slotfit.verify.match import Pair
from slotfit.verify.scene import Scene

GROUPS_OFF = CauseView(
    "the system keeps no isolation groups, or what was read does not show them",
    "switch on the input-output memory management unit in the firmware setup and in the kernel's "
    "command line; then look into /sys/kernel/iommu_groups",
)


def processors(scene: Scene) -> Iterator[FindingView]:
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
                f"{scene.label(root)} with {scene.root_seat(pair.unit).item} hangs on "
                f"{order[index]} ({basis}), planned {planned}"
            )
            causes = causes_of("other-processor", scene.shown(pair.unit, pair.end))
            yield FindingView("other-processor", FAULT, (pair.unit.item,), root, text, causes)


def isolation(scene: Scene) -> Iterator[FindingView]:
    """Parts for guests that share their isolation group with what is not that guest's."""
    owners = {
        seen.address: pair.unit.item for pair in scene.matched.pairs for seen in pair.end.functions
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
) -> Iterator[FindingView]:
    unit = pair.unit
    groups = sorted(
        {
            seen.iommu_group
            for seen in pair.end.functions
            if not seen.is_bridge and seen.iommu_group is not None
        }
    )
    if not groups:
        text = f"{unit.item} is for guest {unit.seat.guest}; its isolation group does not show"
        yield FindingView("not-known", OPEN, (unit.item,), unit.root, text, (GROUPS_OFF,))
        return
    others = [
        seen
        for group in groups
        for seen in members[group]
        if _is_anothers(scene, owners.get(seen.address), unit.item)
        and seen.parent not in {own.address for own in pair.end.functions}
    ]
    if others:
        named = dict.fromkeys(owners.get(seen.address) or str(seen.address) for seen in others)
        text = (
            f"{unit.item} is for guest {unit.seat.guest} and shares isolation group "
            f"{', '.join(map(str, groups))} with "
            f"{', '.join(named)}"
        )
        causes = causes_of("shared-isolation", scene.shown(unit, pair.end))
        yield FindingView("shared-isolation", FAULT, (unit.item,), unit.root, text, causes)


def _is_anothers(scene: Scene, owner: str | None, item: str) -> bool:
    """Whether a function is neither the part's own nor of a part for the same guest."""
    if owner is None:
        return True
    return owner != item and scene.seats[owner].guest != scene.seats[item].guest
