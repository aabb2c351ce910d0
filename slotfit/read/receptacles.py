"""
Chooses, fact by fact, which of several claims about a receptacle is better founded.

The order is ours, drawn from what real tables get wrong: a link that trained proves at least its
width; the designation is what the board's maker prints beside the slot; fields come after it; a
port's capability is the division of now, not the wiring.
"""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace
from typing import TypeVar

from slotfit.read.designation import (
    Hints,
    is_of_reference_design,
    names_pci_express,
    names_slot_for_cards,
)
from slotfit.read.machine import Claim, Fact
from slotfit.read.seen import (
    FunctionSeen,
    LinkSeen,
    SlotSeen,
    Where,
)
from slotfit.standards.pcie import GENERATIONS

T = TypeVar("T")
DESIGNATION = "designation"
_WHY_DESIGNATION = "the designation is what stands beside the slot"


def _claims(entries: Iterable[tuple[T | None, str, Where]]) -> list[Claim[T]]:
    return [Claim(value, basis, where) for value, basis, where in entries if value is not None]


def first_wins(claims: list[Claim[T]], why: str) -> Fact[T]:
    """The first claim; `why` is said where another says something else."""
    disagree = any(claim.value != claims[0].value for claim in claims)
    return Fact(tuple(claims), why if disagree else "")


def wired_lanes(record: SlotSeen, hints: Hints, ports: list[FunctionSeen]) -> Fact[int]:
    """
    How many lanes arrive in the receptacle.

    Ports overrule labels: where they disagree, the lower figure holds. A link that is up proves its
    width.
    """
    claims = _claims(
        (
            (hints.lanes, DESIGNATION, record.where),
            (_fewer(record), SWAPPED, record.where),
            (record.lanes, "slot data bus width", record.where),
        )
    )
    able = _sum_of_ports(ports)
    if able is not None:
        claims.append(Claim(able, "link capability of the port now", ports[0].where))
    if not claims:
        lanes = record.type_lanes or (1 if hints.shape_lanes == 1 else None)
        basis = "slot type" if record.type_lanes else DESIGNATION
        return Fact(tuple(_claims(((lanes, basis, record.where),))))
    trained = _trained(ports)
    if trained is not None and trained.value > claims[0].value:
        return first_wins([trained, *claims], "a link of this width is up")
    if able is not None and able < claims[0].value:
        return first_wins([claims[-1], *claims[:-1]], "the port has no more lanes")
    return first_wins(claims, _WHY_DESIGNATION if hints.lanes else _WHY_SWAPPED)


SWAPPED = "slot type"
_WHY_SWAPPED = "no more lanes are wired than the connector has: the two fields are swapped"


def _fewer(record: SlotSeen) -> int | None:
    """The smaller figure where the table wires more lanes than the connector has."""
    swapped = record.form == "cem" and record.lanes and record.type_lanes
    return record.type_lanes if swapped and (record.lanes or 0) > (record.type_lanes or 0) else None


def _sum_of_ports(ports: list[FunctionSeen]) -> int | None:
    widths = [port.link.lanes_max for port in ports if port.link and port.link.lanes_max]
    return sum(widths) if widths and len(widths) == len(ports) else None


def _trained(ports: list[FunctionSeen]) -> Claim[int] | None:
    """The width of links that are up; more lanes than a port has are what a dead link shows."""
    links = [port.link for port in ports if port.link]
    widths = [link.lanes_now or 0 for link in links if link.active is not False]
    strange = any((link.lanes_now or 0) > (link.lanes_max or 32) for link in links)
    if len(widths) != len(ports) or not ports or not sum(widths) or strange:
        return None
    return Claim(sum(widths), "link that is up", ports[0].where)


# Lanes that a form has room for (standards/forms.py has the sources); more of them contradict it.
ROOM_FOR = {"u2": 4, "m2-m": 4, "m2-b": 2, "m2-a": 2, "m2-e": 2, "edsff-e1": 8, "edsff-e3": 16}
_VAGUE = (None, "other", "unknown", "proprietary")
PARALLEL = ("pci", "pci-x", "agp", "isa", "eisa", "mca")


def form(record: SlotSeen, hints: Hints, wired: int | None) -> Fact[str]:
    """
    What the receptacle is: what its designation names, then its type, unless that has no room.

    Many tables type an M.2 socket or a cable connector as a slot, or a slot as a drive bay.
    """
    typed = None if record.form in _VAGUE else record.form
    named = names_pci_express(record.designation) if typed in PARALLEL else hints.slot_word
    for_cards = names_slot_for_cards(record.designation) if typed is None else named
    bay = hints.bay and not hints.form and typed in (None, "cem") and (wired or 1) <= ROOM_FOR["u2"]
    claims = _claims(
        (
            (hints.form or ("bay" if bay else None), DESIGNATION, record.where),
            ("cem" if for_cards else None, DESIGNATION, record.where),
            (typed, "slot type", record.where),
        )
    )
    if not claims:
        return Fact(tuple(_claims(((record.form, "slot type", record.where),))))
    if wired and wired > ROOM_FOR.get(claims[0].value, wired):
        roomy = "m2-m" if claims[0].value.startswith("m2") and wired <= 4 else "cem"
        claims.insert(0, Claim(roomy, "wired lanes", record.where))
        return Fact(tuple(claims), f"{claims[1].value} has no room for {wired} lanes")
    return first_wins(claims, _WHY_DESIGNATION)


def shape_lanes(record: SlotSeen, hints: Hints, wired: int | None) -> Fact[int]:
    """
    The connector's size.

    A physical width equal to the wired one is often a copy of it, so that the slot type's width
    comes first where it is larger. Nothing smaller than the wired width is believed.
    """
    if record.form not in (*_VAGUE, "cem", *PARALLEL):
        return Fact()
    typed, physical = record.type_lanes, record.physical_lanes
    if _fewer(record) and not hints.shape_lanes:
        swapped = (
            (record.lanes, "slot data bus width", record.where),
            (typed, SWAPPED, record.where),
        )
        return first_wins(_claims(swapped), _WHY_SWAPPED)
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
    why = _WHY_DESIGNATION if hints.shape_lanes else "a physical width is often a copied wired one"
    return first_wins(claims, why)


def generation(record: SlotSeen, hints: Hints, ports: list[FunctionSeen]) -> Fact[int]:
    """The highest generation the receptacle's port can do."""
    able = [
        (port.link.generation_max, "link capability of the port", port.where)
        for port in ports
        if port.link
    ]
    # Some firmware writes 1 here for generation 2: a 1 says nothing, nor does what is none.
    information = record.information if record.information in GENERATIONS else None
    information = None if information == 1 else information
    claims = _claims(
        (
            *able[:1],
            (information, "slot information", record.where),
            (hints.generation, DESIGNATION, record.where),
            (record.generation, "slot type", record.where),
        )
    )
    return first_wins(claims, f"{claims[0].basis} is nearer to the hardware" if claims else "")


FEW = 2
"""Of more slots than these a table that calls each in use is taken to say it of all alike."""


def of_template(records: Sequence[SlotSeen]) -> frozenset[Where]:
    """Records with a reference design's names, where a table has little else."""
    found = [one.where for one in records if is_of_reference_design(one.designation)]
    return frozenset(found) if len(found) > FEW and len(found) * 2 > len(records) else frozenset()


def without_figures(record: SlotSeen) -> SlotSeen:
    """A record that says what it is called and whether it is in use, and nothing to be believed."""
    return replace(
        record,
        lanes=None,
        type_lanes=None,
        physical_lanes=None,
        generation=None,
        information=None,
    )


def is_of_an_old_bus(record: SlotSeen) -> bool:
    """Whether its type is of a bus that its name contradicts."""
    return record.form in PARALLEL and names_pci_express(record.designation)


def says_it_of_all(records: Sequence[SlotSeen]) -> bool:
    """Whether a table calls every slot in use: a fifth of all desktop tables do, filled or not."""
    return len(records) > FEW and all(one.usage == "in use" for one in records)


def occupied(
    record: SlotSeen, ports: list[FunctionSeen], *, filled: bool, said_of_all: bool = False
) -> Fact[bool]:
    """
    Whether something is in it: what answers there, then presence bit and link, then the usage.

    `said_of_all`: the table says the same of every slot. That nothing answers is no proof: a card
    may be switched off, or dead.
    """
    usage = _claims(
        (
            (record.usage == "in use", "current usage", record.where)
            if record.usage in ("in use", "available")
            else (None, "", record.where),
        )
    )
    of_port = [*_present(ports, filled=filled)]
    if not of_port and said_of_all:
        nothing = Claim(value=False, basis="in use is said of every slot", where=record.where)
        return first_wins([nothing, *usage], "what is said of every slot says nothing of one")
    if usage and of_port and of_port[0].basis == NO_ANSWER:
        return first_wins([*usage, *of_port], "a part need not answer to be there")
    return first_wins([*of_port, *usage], "the port is nearer to the slot")


NO_ANSWER = "nothing answers below the port"


def _present(ports: list[FunctionSeen], *, filled: bool) -> Iterator[Claim[bool]]:
    """What the ports say of a part: at most one claim."""
    if not ports:
        return
    where = ports[0].where
    links = [port.link for port in ports if port.link]
    if filled:
        yield Claim(value=True, basis="devices below the port", where=where)
    elif any(port.card_present for port in ports):
        yield Claim(value=True, basis="presence bit", where=where)
    elif all(port.card_present is False for port in ports):
        yield Claim(value=False, basis="presence bit", where=where)
    elif len(links) == len(ports) and all(map(is_down, links)):
        yield Claim(value=False, basis="link down", where=where)
    else:
        yield Claim(value=False, basis=NO_ANSWER, where=where)


def is_down(link: LinkSeen) -> bool:
    """Whether no link is up, as far as it is said."""
    return link.active is False or link.lanes_now == 0
