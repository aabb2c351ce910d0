"""SATA and SAS drives: counted by the adapter they hang on, for the bus does not show them."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator

from slotfit.render.verify_view import CauseView, FindingView
from slotfit.verify.causes import Shown, causes_of
from slotfit.verify.findings import FAULT, OPEN
from slotfit.verify.planned import PlannedSeat
from slotfit.verify.scene import Scene

BUSES = ("sata", "sas")
NOT_LISTED = CauseView(
    "what was read does not list drives", "read the tar of `slotfit collect`, or a /sys folder"
)


def disks(scene: Scene) -> Iterator[FindingView]:
    """Adapters with fewer drives than planned."""
    groups: dict[str | None, list[PlannedSeat]] = defaultdict(list)
    for seat in scene.planned.seats:
        if seat.part_class == "drive" and any(link.bus in BUSES for link in seat.links):
            groups[_adapter(scene, seat)].append(seat)
    listed = any(kind == "sysfs" for kind, _ in scene.seen.sources)
    for adapter, seats in groups.items():
        items = tuple(seat.item for seat in seats)
        name = adapter or "the board's own ports"
        if not listed:
            text = f"{len(items)} drives on {name} cannot be counted"
            yield FindingView("not-known", OPEN, items, None, text, (NOT_LISTED,))
            continue
        found = _count(scene, adapter)
        if found is not None and found < len(items):
            text = f"{name}: {found} of {len(items)} drives answer"
            causes = causes_of("fewer-disks", Shown())
            yield FindingView("fewer-drives", FAULT, items, None, text, causes)


def _adapter(scene: Scene, seat: PlannedSeat) -> str | None:
    """The part with a PCI Express link that the drive hangs on; None for the board's own ports."""
    return next((holder.item for holder in scene.chain(seat) if holder.own), None)


def _count(scene: Scene, adapter: str | None) -> int | None:
    """Drives that hang on it; None if the adapter itself does not answer, which is said already."""
    if adapter is None:
        drives = [drive for part in scene.seen.onboard for drive in part.drives]
    else:
        pairs = [pair for pair in scene.matched.pairs if pair.unit.item == adapter]
        if not pairs:
            return None
        drives = [drive for pair in pairs for drive in pair.end.drives]
    return sum(drive.transport in BUSES for drive in drives)
