"""
Chooses, fact by fact, which of several claims about a receptacle is better founded.

The order is ours, drawn from what real tables get wrong: a link that trained proves at least its
width; the designation is what the board's maker prints beside the slot; fields come after it; a
port's capability is the division of now, not the wiring.
"""

from __future__ import annotations

from collections.abc import Iterable
from typing import TypeVar

from slotfit.read.merge.designation import Hints
from slotfit.read.merge.machine import Claim, Fact
from slotfit.read.seen import FunctionSeen, SlotSeen, Where

T = TypeVar("T")
DESIGNATION = "designation"
_WHY_DESIGNATION = "the designation is what stands beside the slot"


def _claims(entries: Iterable[tuple[T | None, str, Where]]) -> list[Claim[T]]:
    return [Claim(value, basis, where) for value, basis, where in entries if value is not None]


def _first_wins(claims: list[Claim[T]], why: str) -> Fact[T]:
    disagree = any(claim.value != claims[0].value for claim in claims)
    return Fact(tuple(claims), why if disagree else "")


def wired_lanes(record: SlotSeen, hints: Hints, ports: list[FunctionSeen]) -> Fact[int]:
    """How many lanes arrive in the receptacle."""
    claims = _claims(
        (
            (hints.lanes, DESIGNATION, record.where),
            (record.lanes, "slot data bus width", record.where),
        )
    )
    able = _sum_of_ports(ports)
    if able is not None:
        claims.append(Claim(able, "link capability of the port now", ports[0].where))
    if not claims:
        lanes = record.type_lanes
        return Fact(tuple(_claims(((lanes, "slot type", record.where),))))
    trained = _trained(ports)
    if trained is not None and trained.value > claims[0].value:
        return _first_wins([trained, *claims], "a link of this width is up")
    if len(claims) == 3 and claims[1].value == claims[2].value != claims[0].value:
        reordered = [claims[1], claims[2], claims[0]]
        return _first_wins(reordered, "the field and the port agree")
    why = _WHY_DESIGNATION if claims[0].basis == DESIGNATION else "the port may be divided now"
    return _first_wins(claims, why)


def _sum_of_ports(ports: list[FunctionSeen]) -> int | None:
    widths = [port.link.lanes_max for port in ports if port.link and port.link.lanes_max]
    return sum(widths) if widths and len(widths) == len(ports) else None


def _trained(ports: list[FunctionSeen]) -> Claim[int] | None:
    widths = [port.link.lanes_now or 0 for port in ports if port.link]
    if len(widths) != len(ports) or not ports or not sum(widths):
        return None
    return Claim(sum(widths), "link that is up", ports[0].where)


# Lanes that a form has room for (standards/forms.py has the sources); more of them contradict it.
ROOM_FOR = {"u2": 4, "m2-m": 4, "m2-b": 2, "m2-a": 2, "m2-e": 2, "edsff-e1": 8, "edsff-e3": 16}
_VAGUE = (None, "other", "unknown", "proprietary")


def form(record: SlotSeen, hints: Hints, wired: int | None) -> Fact[str]:
    """
    What the receptacle is: what its designation names, then its type, unless that has no room.

    Many tables type an M.2 socket or a cable connector as a slot, or a slot as a drive bay.
    """
    typed = None if record.form in _VAGUE else record.form
    bay = hints.bay and not hints.form and typed in (None, "cem") and (wired or 1) <= ROOM_FOR["u2"]
    claims = _claims(
        (
            (hints.form or ("bay" if bay else None), DESIGNATION, record.where),
            ("cem" if typed and hints.slot_word else None, DESIGNATION, record.where),
            (typed, "slot type", record.where),
        )
    )
    if not claims:
        return Fact(tuple(_claims(((record.form, "slot type", record.where),))))
    if wired and wired > ROOM_FOR.get(claims[0].value, wired):
        roomy = "m2-m" if claims[0].value.startswith("m2") and wired <= 4 else "cem"
        claims.insert(0, Claim(roomy, "wired lanes", record.where))
        return Fact(tuple(claims), f"{claims[1].value} has no room for {wired} lanes")
    return _first_wins(claims, _WHY_DESIGNATION)


def shape_lanes(record: SlotSeen, hints: Hints, wired: int | None) -> Fact[int]:
    """
    The connector's size.

    A physical width equal to the wired one is often a copy of it, so that the slot type's width
    comes first where it is larger. Nothing smaller than the wired width is believed.
    """
    if record.form not in (*_VAGUE, "cem"):
        return Fact()
    typed, physical = record.type_lanes, record.physical_lanes
    order: list[tuple[int | None, str, Where]] = [(hints.shape_lanes, DESIGNATION, record.where)]
    fields: list[tuple[int | None, str, Where]] = [
        (physical, "slot physical width", record.where),
        (typed, "slot type", record.where),
    ]
    if typed and physical and typed > physical:
        fields.reverse()
    claims = _claims(order + fields)
    if claims and wired and claims[0].value < wired:
        claims.insert(0, Claim(wired, "wired lanes", record.where))
        return Fact(tuple(claims), "a connector is at least as wide as its wiring")
    if not claims:
        return Fact()
    why = _WHY_DESIGNATION if hints.shape_lanes else "a physical width is often a copied wired one"
    return _first_wins(claims, why)


def generation(record: SlotSeen, hints: Hints, ports: list[FunctionSeen]) -> Fact[int]:
    """The highest generation the receptacle's port can do."""
    able = [
        (port.link.generation_max, "link capability of the port", port.where)
        for port in ports
        if port.link
    ]
    # Some firmware writes 1 here for generation 2: a 1 says nothing.
    information = record.information if record.information and record.information > 1 else None
    claims = _claims(
        (
            *able[:1],
            (information, "slot information", record.where),
            (hints.generation, DESIGNATION, record.where),
            (record.generation, "slot type", record.where),
        )
    )
    if not claims:
        return Fact()
    return _first_wins(claims, f"{claims[0].basis} is nearer to the hardware")


def occupied(record: SlotSeen | None, ports: list[FunctionSeen], filled: bool) -> Fact[bool]:
    """Whether a part is in it: the tree first, then the slot's presence bit, then the usage."""
    claims: list[Claim[bool]] = []
    if ports:
        present = [port.card_present for port in ports]
        if filled:
            claims.append(Claim(value=True, basis="devices below the port", where=ports[0].where))
        elif any(present):
            claims.append(Claim(value=True, basis="presence of a card", where=ports[0].where))
        else:
            claims.append(Claim(value=False, basis="nothing below the port", where=ports[0].where))
    usage = {"in use": True, "available": False}.get(record.usage or "") if record else None
    if usage is not None and record:
        claims.append(Claim(usage, "current usage", record.where))
    return _first_wins(claims, "the bus shows it") if claims else Fact()
