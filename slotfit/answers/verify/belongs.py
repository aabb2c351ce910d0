"""Parts in their place that belong to another processor, or to more guests, than planned."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping

from slotfit.answers.verify.answer import Finding, LikelyCause
from slotfit.answers.verify.causes import CauseEvidence, causes_of
from slotfit.answers.verify.match import Pair
from slotfit.answers.verify.scene import Scene
from slotfit.answers.verify.told import FAULT, OPEN, Explained
from slotfit.read.seen import FunctionSeen, PciAddress

GROUPS_OFF = LikelyCause(
    "no-isolation-groups",
    "the system keeps no isolation groups, or what was read does not show them",
    "switch on the input-output memory management unit in the firmware setup and in the kernel's "
    "command line; then look into /sys/kernel/iommu_groups",
)


def processors(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Receptacles that hang on another processor than the plan has it; one finding for all."""
    found: dict[str, Pair] = {}
    for pair in scene.matched.pairs:
        if not told.covers([pair.unit.part]) and _other_processor(scene, pair):
            found.setdefault(pair.unit.root, pair)
    if not found:
        return
    said = [
        f"{scene.label(root)} with {scene.root_seat(pair.unit).item} is attached to "
        f"{_other_processor(scene, pair)}, planned {pair.unit.seat.processor}"
        for root, pair in found.items()
    ]
    parts = tuple(pair.unit.part for pair in found.values())
    evidence = CauseEvidence(several=len(found) > 1)
    causes = causes_of("other-processor", evidence)
    yield Finding("other-processor", FAULT, parts, next(iter(found)), "; ".join(said), causes)


def _other_processor(scene: Scene, pair: Pair) -> str | None:
    """The processor that it hangs on, and who says so; None if it is the planned one."""
    place, planned = pair.end.receptacle, pair.unit.seat.processor
    order = scene.planned.processors
    if place is None or not pair.in_place or planned not in order:
        return None
    index = place.processor.value
    if index is None or index >= len(order) or order[index] == planned:
        return None
    return f"{order[index]} ({place.processor.claims[0].basis})"


Members = Mapping[int, list[FunctionSeen]]


def isolation(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Parts for guests that share their isolation group with what is not that guest's."""
    owners = {
        seen.address: pair.unit.part for pair in scene.matched.pairs for seen in pair.end.functions
    }
    members: dict[int, list[FunctionSeen]] = defaultdict(list)
    for seen in scene.topology.functions.values():
        if seen.iommu_group is not None and not seen.is_bridge:
            members[seen.iommu_group].append(seen)
    for pair in scene.matched.pairs:
        if pair.unit.seat.guest and not told.covers([pair.unit.part]):
            yield from _isolation(scene, pair, owners, members)


def _isolation(
    scene: Scene, pair: Pair, owners: Mapping[PciAddress, str], members: Members
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
        # Said once of a group: what shares it with this part is told with it.
        seats = scene.planned.seat
        guests = [name for name in named if name in seats and seats[name].guest]
        yield Finding("shared-isolation", FAULT, (unit.part, *guests), unit.root, text, causes)


def _is_anothers(scene: Scene, owner: str | None, part: str) -> bool:
    """Whether a function is neither the part's own nor of a part for the same guest."""
    if owner is None:
        return True
    return owner != part and scene.planned.seat[owner].guest != scene.planned.seat[part].guest
