"""Adapter leads: which one a socket of a part needs where the supply has no plug for it."""

from __future__ import annotations

from collections import Counter
from collections.abc import Mapping
from typing import Any

from slotfit.model.part import Power
from slotfit.standards.power import ADAPTERS, PLUGS, SENSE_RATINGS_W, Adapter

ADAPTED = tuple(dict.fromkeys(row.socket for row in ADAPTERS))
"""Sockets for which there are adapters."""


def each_w(power: Power, socket: str) -> float | None:
    """What one socket of that kind has to carry once the others carry all they can."""
    if power.aux_w is None:
        return None
    others = sum(PLUGS[plug].power_w for plug in power.aux if plug != socket)
    return max(power.aux_w - others, 0) / sum(plug == socket for plug in power.aux)


def rating_w(power: Power, socket: str) -> int:
    """The smallest rating of a 12v-2x6 plug that carries it; the largest if that is not known."""
    most, need = max(SENSE_RATINGS_W), each_w(power, socket)
    return most if need is None else next((r for r in SENSE_RATINGS_W if r >= need), most)


def adapter_for(power: Power, socket: str) -> Adapter | None:
    """The smallest adapter that feeds one socket of that kind; None if there is none."""
    rows = [row for row in ADAPTERS if row.socket == socket]
    need = each_w(power, socket)
    if need is None:
        return rows[-1] if rows else None
    return next((row for row in rows if row.power_w >= need), None)


def led(powers: Mapping[str, Power], own: Mapping[Any, int] | None) -> list[tuple[str, Adapter]]:
    """
    Parts with the adapters that they need in a supply of these plugs; none if nobody knows them.

    The supply's own plugs go to those that would take the largest adapters.
    """
    found: list[tuple[str, Adapter]] = []
    if own is None:
        return found
    for socket in ADAPTED:
        takers = [
            (name, adapter_for(power, socket))
            for name, power in powers.items()
            for plug in power.aux
            if plug == socket
        ]
        takers.sort(key=lambda taker: taker[1].tails if taker[1] else 99, reverse=True)
        left = takers[own.get(socket, 0) :]
        found += [(name, row) for name, row in left if row is not None]
    return found


def plugs_taken(
    powers: Mapping[str, Power], own: Mapping[Any, int] | None
) -> dict[str, Counter[str]]:
    """What each part takes of a supply's plugs, adapters reckoned by their tails."""
    taken = {name: Counter[str](power.aux) for name, power in powers.items()}
    for name, row in led(powers, own):
        taken[name] = +(taken[name] - Counter([row.socket]))
        taken[name][row.plug] += row.tails
    return taken
