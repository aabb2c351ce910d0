"""The processors of a machine, and how its texts count them."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence

from slotfit.read.designation import Hints, hints_of
from slotfit.read.machine import Claim, Fact
from slotfit.read.pci_tree import Topology
from slotfit.read.receptacles import first_wins
from slotfit.read.seen import FunctionSeen, NodeSeen, ProcessorSeen, SlotSeen, whole_number

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
        return first_wins(claims, "the system's node is measured"), node

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
    number = whole_number(next(filter(None, found.groups()), None)) if found else None
    return number if number is not None and number < 16 else None


def _node(port: FunctionSeen, topology: Topology) -> int | None:
    """The node of the port, of a bridge above it, or of a device below it."""
    for seen in (port, *topology.chain(port.address), *topology.below(port)):
        if seen.numa_node is not None:
            return seen.numa_node
    return None
