"""Drives that answer on other ports of a divided slot than their sockets' places in the plan."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.verify_view import FindingView
from slotfit.verify.causes import causes_of
from slotfit.verify.findings import NOTE, OPEN
from slotfit.verify.match import Pair
from slotfit.verify.planned import PlannedSeat
from slotfit.verify.scene import Scene


def order(scene: Scene) -> Iterator[FindingView]:
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
        items = tuple(
            pair.unit.item
            for pair, other in zip(pairs, by_port, strict=True)
            if pair.unit.seat.recognise != other.unit.seat.recognise
        )
        weight = NOTE if planned == seen[::-1] else OPEN
        ports = ", ".join(
            f"{pair.unit.item} at {pair.end.part.top.address} (planned in {pair.unit.seat.label})"
            for pair in by_port
            if pair.unit.item in items
        )
        text = f"the drives of {holder.item} answer in another order than planned: {ports}"
        causes = causes_of("other-order", scene.shown(pairs[0].unit, pairs[0].end))
        yield FindingView("other-order", weight, items, pairs[0].unit.root, text, causes)


def _by_lane(scene: Scene, holder: PlannedSeat) -> list[Pair]:
    """What sits on a part's own links and was found, by the lane its link starts at."""
    starts = {name: link.at for link in holder.links for name in link.to}
    if len(set(starts.values())) < 2 or len(set(starts.values())) != len(starts):
        return []
    found: list[tuple[int, Pair]] = []
    for seat in scene.planned.children(holder.item):
        start = starts.get(seat.site.rpartition("/")[2])
        for link in seat.own:
            pair = scene.pair_of.get((seat.item, link.at))
            if pair and pair.sure and pair.in_place and start is not None:
                found.append((start, pair))
    return [pair for _, pair in sorted(found, key=lambda one: one[0])]
