"""
The further ports of a slot that the plan divides.

Firmware names one port of a slot; the ports that carry its other segments follow on the same bus.
"""

from __future__ import annotations

from collections.abc import Mapping, Sequence

from slotfit.read.merge.machine import ReceptacleSeen
from slotfit.verify.planned import Planned

Places = Mapping[str, tuple[ReceptacleSeen, ...]]


def with_siblings(
    places: Mapping[str, ReceptacleSeen], planned: Planned, everyone: Sequence[ReceptacleSeen]
) -> Places:
    """Site -> its receptacle, and the ports after it that nobody else has, one a planned link."""
    claimed = {id(one) for one in places.values()}
    links = {seat.site: sum(1 for link in seat.links if link.lanes) for seat in planned.seats}
    found: dict[str, tuple[ReceptacleSeen, ...]] = {}
    for site, one in places.items():
        wanted = links.get(site, 1) - len(one.ports)
        more = _following(one, everyone, claimed)[: max(wanted, 0)] if one.ports else []
        claimed |= {id(other) for other in more}
        found[site] = (one, *more)
    return found


def _following(
    one: ReceptacleSeen, everyone: Sequence[ReceptacleSeen], claimed: set[int]
) -> list[ReceptacleSeen]:
    """Receptacles that only their port shows, right after this one's ports on the same bus."""
    last = max(port.address for port in one.ports)
    beside = sorted(
        (other for other in everyone if len(other.ports) == 1 and other is not one),
        key=lambda other: other.ports[0].address,
    )
    found: list[ReceptacleSeen] = []
    for other in beside:
        address = other.ports[0].address
        if (address.domain, address.bus) != (last.domain, last.bus) or address <= last:
            continue
        if other.records or id(other) in claimed or address.device > last.device + len(found) + 1:
            break
        found.append(other)
    return found
