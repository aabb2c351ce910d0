"""Power cables with several plugs: which sockets can hang on a supply's cables at once."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cache
from itertools import product
from math import comb, prod
from typing import NamedTuple

from slotfit.hardware.leads import adapter_for
from slotfit.model.machine import PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem
from slotfit.standards.forms import POWER_SOCKETS
from slotfit.standards.power import MATINGS, PLUGS, plugs_w


class PowerSocket(NamedTuple):
    """What takes one plug of a supply."""

    mw: int
    plugs: tuple[str, ...]
    """Plugs of the supply that may feed it."""
    is_tail: bool = False
    """It is a tail of an adapter."""


Sockets = tuple[PowerSocket, ...]
"""All sockets of one part."""


@dataclass(frozen=True, slots=True, order=True)
class PlugRun:
    """One cable: what it carries, in mW, and its plugs."""

    left_mw: int
    plugs: tuple[str, ...]


def splitters_in(problem: Problem) -> Counter[str]:
    """Splitters among the parts of a build, by the plug that they make two of."""
    return Counter(part.spec.plug.form for part in problem.parts if part.spec.is_splitter)


def chains_of(supply: PowerSupply, splitters: Mapping[str, int]) -> tuple[PlugRun, ...] | None:
    """
    Every cable of a supply; None if nobody has said which plugs share one.

    A plug on none of them has its own. A splitter makes one plug more, wherever it is plugged in.
    """
    if supply.cables is None or supply.plugs is None:
        return None
    alone, found = Counter[str](supply.plugs), list[PlugRun]()
    for cable in supply.cables:
        for _ in range(cable.count):
            alone.subtract(cable.plugs)
            found.append(PlugRun(round(cable.watts * 1000), tuple(Counter(cable.plugs).elements())))
    found += [PlugRun(PLUGS[plug].power_w * 1000, (plug,)) for plug in (+alone).elements()]
    return tuple(
        PlugRun(one.left_mw, (*one.plugs, *(p for p in {*one.plugs} for _ in range(splitters[p]))))
        for one in found
    )


def sockets_of(spec: PartSpec, supply: PowerSupply) -> Sockets:
    """
    A part's sockets as plugs of the supply feed them, its watts shared alike among them.

    One without a plug of the supply's own hangs on the tails of an adapter.
    """
    power = spec.power
    if power is None or not power.aux_w or spec.plug.form in POWER_SOCKETS:
        return ()
    share, have = power.aux_w / plugs_w(power.aux), Counter[str](supply.plugs)
    found: list[PowerSocket] = []
    for socket in power.aux:
        mw = round(PLUGS[socket].power_w * share * 1000)
        own = tuple(one for one in serving(socket) if have[one])
        row = adapter_for(power, socket)
        if own or row is None:
            found.append(PowerSocket(mw, own))
        else:
            found += [PowerSocket(mw // row.tails, (row.plug,), is_tail=True)] * row.tails
    return tuple(sorted(found, reverse=True))


def serving(socket: str) -> tuple[str, ...]:
    """Plugs that go into a socket and carry all that it may draw."""
    return tuple(
        row.plug for row in MATINGS if row.socket == socket and row.power_w >= PLUGS[socket].power_w
    )


def hang(sockets: Sockets, chains: Sequence[PlugRun]) -> bool:
    """Whether the sockets can be shared out so that no cable carries too much."""
    seen: set[tuple[int, tuple[PlugRun, ...]]] = set()

    def rest(number: int, left: tuple[PlugRun, ...]) -> bool:
        if number == len(order):
            return True
        if (number, left) in seen:
            return False
        seen.add((number, left))
        mw, plugs, _ = order[number]
        return any(
            rest(number + 1, tuple(sorted((*left[:at], less, *left[at + 1 :]))))
            for at, one in enumerate(left)
            if one not in left[:at] and one.left_mw >= mw
            for less in without_one(one, mw, plugs)
        )

    order = sorted((one for one in sockets if one.plugs), reverse=True)
    return rest(0, tuple(sorted(chains)))


def without_one(chain: PlugRun, mw: int, plugs: tuple[str, ...]) -> Iterator[PlugRun]:
    """The cable with one of these plugs taken, for each that it has."""
    for plug in dict.fromkeys(one for one in chain.plugs if one in plugs):
        at = chain.plugs.index(plug)
        yield PlugRun(chain.left_mw - mw, (*chain.plugs[:at], *chain.plugs[at + 1 :]))


MOST_LOOKED_AT = 1000
"""So many ways of taking some parts of each kind are looked at; else each kind by itself."""

MOST_NAMED = 500
"""So many sets of parts of several kinds are named one by one."""

Kinds = tuple[tuple[Sockets, int], ...]
"""Sockets of a part, and how many parts have just these."""


class TooMany(NamedTuple):
    """What cannot hang on the cables of a supply together."""

    sets: tuple[Kinds, ...]
    """The fewest parts of each kind, every way there is."""
    is_all: bool
    """These are all of them."""


@cache
def too_many(kinds: Kinds, chains: tuple[PlugRun, ...]) -> TooMany:
    """What is too many of some parts by the watts of cables; not for want of plugs."""
    if hang(every_socket(kinds), chains):
        return TooMany((), is_all=True)
    if len(kinds) > 1 and prod(count + 1 for _, count in kinds) > MOST_LOOKED_AT:
        alone = (too_many((kind,), chains).sets for kind in kinds)
        return TooMany(tuple(one for sets in alone for one in sets), is_all=False)
    found: list[Kinds] = []
    strong = [replace(one, left_mw=ANY_MW) for one in chains]
    for counts in sorted(product(*(range(count + 1) for _, count in kinds)), key=sum):
        some = {kind: n for (kind, _), n in zip(kinds, counts, strict=True) if n}
        if any(all(some.get(kind, 0) >= n for kind, n in less) for less in found):
            continue
        sockets = every_socket(tuple(some.items()))
        if not hang(sockets, chains) and hang(sockets, strong):
            found.append(tuple(some.items()))
    named = tuple(one for one in found if len(one) == 1 or sets_of(one, kinds) <= MOST_NAMED)
    return TooMany(named, len(named) == len(found))


ANY_MW = 10**9


def every_socket(kinds: Kinds) -> Sockets:
    """The sockets of all these parts."""
    return tuple(one for kind, count in kinds for one in kind * count)


def sets_of(some: Kinds, kinds: Kinds) -> int:
    """In how many ways so many parts of each kind can be picked."""
    have = dict(kinds)
    return prod(comb(have[kind], count) for kind, count in some)
