"""The processors of a machine: what to call them, which are there, and how that is known."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.describe.told import Places, Told, assumed
from slotfit.describe.words import clean
from slotfit.read.merge.machine import MachineSeen

MOST = 64
"""More sockets than any board has; virtual machines may show one a core."""


@dataclass(frozen=True, slots=True)
class Processor:
    """One socket; `fitted` None: nobody says."""

    id: str
    label: str | None
    fitted: bool | None
    basis: str


def processors_of(seen: MachineSeen, places: Places) -> Told[tuple[Processor, ...]]:
    """Every processor socket, in the order in which receptacles count them; at least one."""
    if seen.processors:
        sockets = tuple(
            Processor(
                f"cpu{index}",
                clean(one.designation, 40) if one.designation else None,
                one.populated,
                f"processor socket, {places.at(one.where)}",
            )
            for index, one in enumerate(seen.processors[:MOST])
        )
        return Told(sockets, "")
    packages = {number for node in seen.nodes for number in node.packages or ()}
    named = {one.processor.value or 0 for one in seen.receptacles}
    if not packages and named <= {0}:
        why = "nothing that was read counts the processor sockets"
        return assumed((Processor("cpu0", None, None, ""),), why)
    count = min(max(packages | named) + 1, MOST)
    at = places.at(seen.nodes[0].where) if seen.nodes else "designations of slots"
    sockets = tuple(
        Processor(f"cpu{index}", None, index in packages or None, f"processors seen, {at}")
        for index in range(count)
    )
    return Told(sockets, f"{count} seen; an empty socket would not show")


def fitted_of(
    sockets: tuple[Processor, ...], alive: frozenset[str]
) -> tuple[tuple[str, ...] | None, tuple[str, ...]]:
    """
    The processors that are fitted, None for all; and those that count because a part on them works.

    `alive` are the processors with a part on them that answers.
    """
    empty = [one.id for one in sockets if one.fitted is False]
    proven = tuple(name for name in empty if name in alive)
    fitted = tuple(one.id for one in sockets if one.id not in empty or one.id in proven)
    if not fitted or len(fitted) == len(sockets):
        return None, proven
    return fitted, proven
