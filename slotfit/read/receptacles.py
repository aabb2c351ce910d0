"""
Chooses, fact by fact, which of several claims about a receptacle is better founded.

The order is ours, drawn from what real tables get wrong: a link that trained proves at least its
width; the designation is what the board's maker prints beside the slot; fields come after it; a
port's capability is the division of now, not the wiring.
"""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from typing import TypeVar

from slotfit.read.machine import Claim, Fact
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import (
    FunctionSeen,
    LinkSeen,
    NodeSeen,
    ProcessorSeen,
    SlotSeen,
    Where,
    whole_number,
)

_IN = re.compile(r"\(?\bIN ?X(\d+)|\(IN ?X(\d+)")
_X = re.compile(r"(?<![A-Z0-9/._])X(\d{1,2})(?![\d/])")
# One word, as in PCIEX16_2 or PCIE16_1: a name made from the connector, whatever is wired to it.
_NAMED_AFTER_SHAPE = re.compile(r"PCI-?E[_-]?X(\d{1,2})(?!\d)|^PCI-?E(1|4|8|16)_\d")
# "PCIE3" alone is a slot's number; with ".0", "GEN" or a width after it, a generation.
_PCIE_GENERATION = re.compile(
    r"PCI[ -]?E(?:XPRESS)?[ ._-]?(?:GEN ?)?([1-7])\.0|PCI[ -]?E(?:XPRESS)?[ _-]?([1-7])[ _]X\d"
    r"|\bGEN ?([1-7])\b|\(G([1-7])\)"
)
_PROCESSOR = re.compile(r"(?<![A-Z])(?:CPU|PROC|SOCKET) ?[_-]?(\d)(?!\d)|^P(\d)[_ ]")
_SLOT = re.compile(
    r"(?<![A-Z])SLOT[ _#-]{0,2}(\d{1,3})(?![.\d])"
    r"|^PCI-?E(?:XPRESS)?[ _#-]?(\d{1,2})(?:_[A-D])?(?![_.\d X])"
)
_NOT_A_SLOT = re.compile(
    r"ON-?BOARD|THUNDERBOLT|WIFI|WI-FI|WLAN|\bLOM\b|BACKPLANE|DC-SCM|\bINTEGRATED\b|\bETHERNET\b"
)
# A mezzanine, of which only "OCP 3.0" says the kind; "OCP1" is the first one.
_MEZZANINE = re.compile(r"\W*(?:IO )?(?:OCP(?! ?3\.?0)|MEZZ)")
# What only a slot for cards is called, and what only a drive's place is.
_A_CARD_SLOT = re.compile(r"RISER|PCI-?EX?16|PCIEX\d|\bSLOT ?_?[A-Z]\b")
_ANY_SLOT = re.compile(r"SLOT|PCI|RISER|PEG")
_A_BAY = re.compile(r"\bBAY|SSD|NVME|\bU\.2|\bE[13]\.?[SL]")
_LANES = (1, 2, 4, 8, 12, 16, 32)


@dataclass(frozen=True, slots=True)
class Hints:
    """What was found in a designation; None where it says nothing, or nothing that can be."""

    number: int | None = None
    processor: int | None = None
    generation: int | None = None
    lanes: int | None = None
    shape_lanes: int | None = None
    form: str | None = None
    chipset: bool = False
    not_a_slot: bool = False
    mezzanine: bool = False
    bay: bool = False
    slot_word: bool = False


_FORMS = tuple(
    (re.compile(words), form)
    for words, form in (
        (r"(?<![A-Z0-9])M\.?2(?![0-9.])|\bNGFF", "m2-m"),
        (r"\bOCP ?3\.?0|\bOCP 3\b", "ocp3-sff"),
        (r"MCIO", "mcio"),
        (r"(?<![A-Z0-9])U\.?2(?![0-9.])", "u2"),
        (r"OCU-?LINK", "oculink"),
        (r"SLIM ?SAS|SLSAS|SLIM-?LIN", "slimsas"),
    )
)
"""Words that leave no doubt about the form; the first that is there counts."""


def hints_of(designation: str | None) -> Hints:
    """
    The hints in a designation.

    >>> hints = hints_of("CPU1 SLOT2 PCI-E 3.0 X4 (IN X8 SLOT)")
    >>> hints.number, hints.processor, hints.generation, hints.lanes, hints.shape_lanes
    (2, 1, 3, 4, 8)
    """
    if not designation:
        return Hints()
    text = designation.upper()
    named = _lanes(_NAMED_AFTER_SHAPE.search(text))
    shape = _lanes(_IN.search(text)) or named
    lanes = _lanes(_X.search(_IN.sub("", text)))
    if shape is not None and lanes is not None and lanes > shape:
        lanes = shape = None
    return Hints(
        number=_number(_SLOT.search(text)),
        processor=_number(_PROCESSOR.search(text)),
        generation=_number(_PCIE_GENERATION.search(text)),
        lanes=lanes,
        shape_lanes=shape,
        form=None if _NOT_A_SLOT.search(text) else _form(text),
        chipset=bool(re.search(r"\bPCH\b|CHIPSET", text)),
        not_a_slot=bool(_NOT_A_SLOT.search(text)),
        bay=bool(_A_BAY.search(text) and not _ANY_SLOT.search(text)),
        mezzanine=bool(_MEZZANINE.match(text)),
        slot_word=bool(_A_CARD_SLOT.search(text) and not _A_BAY.search(text)),
    )


def _number(found: re.Match[str] | None) -> int | None:
    groups = found.groups() if found else ()
    return next((whole_number(group) for group in groups if group), None)


def _lanes(found: re.Match[str] | None) -> int | None:
    number = _number(found)
    return number if number in _LANES else None


def _form(text: str) -> str | None:
    """The form the words name; only where they leave no doubt."""
    return next((form for words, form in _FORMS if words.search(text)), None)


T = TypeVar("T")
DESIGNATION = "designation"
_WHY_DESIGNATION = "the designation is what stands beside the slot"


def _claims(entries: Iterable[tuple[T | None, str, Where]]) -> list[Claim[T]]:
    return [Claim(value, basis, where) for value, basis, where in entries if value is not None]


def _first_wins(claims: list[Claim[T]], why: str) -> Fact[T]:
    """The first claim; `why` is said where another says something else."""
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
    return _first_wins(claims, f"{claims[0].basis} is nearer to the hardware" if claims else "")


MOST_FILLED = 2
"""Of more slots than these a table that calls each in use is taken to say it of all alike."""


def says_it_of_all(records: Sequence[SlotSeen]) -> bool:
    """Whether a table calls every slot in use: a fifth of all desktop tables do, filled or not."""
    return len(records) > MOST_FILLED and all(one.usage == "in use" for one in records)


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
        of_port.append(Claim(value=False, basis="in use is said of every slot", where=record.where))
    if usage and of_port and of_port[0].basis == NO_ANSWER:
        return _first_wins([*usage, *of_port], "a part need not answer to be there")
    return _first_wins([*of_port, *usage], "it is nearer to the slot")


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


_NUMBER = re.compile(r"(\d+)\s*$|(?:CPU|PROC|SOCKET|P)\s*[_-]?\s*(\d+)", re.IGNORECASE)


def in_order(processors: Sequence[ProcessorSeen]) -> tuple[ProcessorSeen, ...]:
    """By the numbers in their names, if each has one of its own; else as the table lists them."""
    numbers = [_socket_number(seen.designation) for seen in processors]
    known = [number for number in numbers if number is not None]
    if len(set(known)) < len(numbers):
        return tuple(processors)
    pairs = sorted(zip(known, processors, strict=True), key=lambda pair: pair[0])
    return tuple(seen for _, seen in pairs)


class Sockets:
    """The processors of a machine and how its texts count them."""

    def __init__(
        self,
        processors: Sequence[ProcessorSeen],
        records: Sequence[SlotSeen],
        nodes: Sequence[NodeSeen],
    ) -> None:
        self.processors = processors
        self.nodes = {node.node: node for node in nodes}
        sockets = _said(_socket_number(seen.designation) for seen in processors)
        slots = _said(hints_of(record.designation).processor for record in records)
        self._sockets_from = 0 if 0 in sockets | slots else 1
        # Sockets may be called CPU0 and CPU1 and their slots CPU1 and CPU2.
        beyond = bool(processors) and max(slots, default=0) >= len(processors)
        self._slots_from = 0 if 0 in slots or (0 in sockets and not beyond) else 1

    def of(
        self, hints: Hints, record: SlotSeen, ports: list[FunctionSeen], topology: Topology
    ) -> tuple[Fact[int], int | None]:
        """The processor's index and the node, from the node first, then from the designation."""
        node = next((found for port in ports if (found := _node(port, topology)) is not None), None)
        claims: list[Claim[int]] = []
        packages = self.nodes[node].packages if node in self.nodes else None
        if packages and len(packages) == 1:
            claims.append(Claim(packages[0], f"node {node} of the port", ports[0].where))
        if hints.processor is not None:
            index = hints.processor - self._slots_from
            if 0 <= index < (len(self.processors) or index + 1):
                claims.append(Claim(index, "designation", record.where))
        return _first_wins(claims, "the system's node is measured"), node

    def is_absent(self, index: int | None) -> ProcessorSeen | None:
        """The empty socket with this index; None if it is filled or nobody says."""
        if index is None or index >= len(self.processors):
            return None
        seen = self._by_index(index)
        return seen if seen is not None and seen.populated is False else None

    def _by_index(self, index: int) -> ProcessorSeen | None:
        named = {
            number - self._sockets_from: seen
            for seen in self.processors
            if (number := _socket_number(seen.designation)) is not None
        }
        if len(named) == len(self.processors):
            return named.get(index)
        return self.processors[index]


def _said(numbers: Iterable[int | None]) -> set[int]:
    return {number for number in numbers if number is not None}


def _socket_number(designation: str | None) -> int | None:
    """The number in `CPU 1`, `SOCKET 0`, `P0`; None if there is none, or it is a socket's type."""
    found = _NUMBER.search(designation or "")
    number = _number(found)
    return number if number is not None and number < 16 else None


def _node(port: FunctionSeen, topology: Topology) -> int | None:
    """The node of the port, of a bridge above it, or of a device below it."""
    for seen in (port, *topology.chain(port.address), *topology.below(port)):
        if seen.numa_node is not None:
            return seen.numa_node
    return None
