"""
What failing parts have in common and healthy ones have not, and how to find the one to blame.

A part hangs on a way: itself, the receptacle that it sits in, what holds that, down to the board's
slot. What lies on the way of every failing part, and of no healthy one, is suspected.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.answers.place.answer import PlannedReceptacle, PlannedSeat
from slotfit.answers.verify.answer import LikelyCause, Suspects, Swap, SwapResult
from slotfit.answers.verify.causes import (
    DRIVE_POWER_SAVING,
    LINK_POWER_SAVING,
    OLD_FIRMWARE,
)
from slotfit.answers.verify.planned import MachinePlan
from slotfit.answers.verify.swaps import Branch, SwapChoice, plan_swaps
from slotfit.errors import InputError, Mistake
from slotfit.listing import listed
from slotfit.standards.storage import DISK_BUSES

Ways = Mapping[str, Sequence[str]]
"""Part -> what it hangs on, itself first; the words are ids of parts and of receptacles."""


@dataclass(frozen=True, slots=True)
class Blame:
    """Failing parts that one cause explains, and who is suspected."""

    parts: tuple[str, ...]
    suspects: tuple[str, ...]
    """On every failing part's way and on no healthy one's, nearest to the parts first."""
    works_for_others: tuple[str, ...]
    """On every failing part's way, and a healthy part hangs on it too: not cleared, less likely."""


def blames(ways: Ways, failing: Collection[str], healthy: Collection[str]) -> list[Blame]:
    """The fewest causes that explain all failing parts, each with its suspects."""
    sound = {thing for part in healthy if part not in failing for thing in ways[part]}
    left = [part for part in ways if part in failing]
    shared = [thing for thing in ways[left[0]] if all(thing in ways[part] for part in left)]
    weak = tuple(thing for thing in shared if thing in sound)
    found: list[Blame] = []
    while left:
        group = max(
            ([part for part in left if thing in ways[part]]
             for part in left for thing in ways[part] if thing not in sound),
            key=len, default=left[:1],
        )  # fmt: skip
        common = [thing for thing in ways[group[0]]
                  if thing not in sound and all(thing in ways[part] for part in group)]  # fmt: skip
        found.append(Blame(tuple(group), tuple(common), weak))
        left = [part for part in left if part not in group]
    return found


@dataclass(frozen=True, slots=True)
class Wiring:
    """Ways of all parts of a plan, and what each thing on them is."""

    planned: MachinePlan
    ways: Ways
    places: Mapping[str, PlannedReceptacle]

    def name(self, thing: str) -> str:
        """`cable fan-1`, `port0 of hba-a`, `SLOT4`."""
        if seat := self.planned.seat.get(thing):
            return f"{seat.part_class} {thing}" if seat.part_class in NAMED else thing
        place = self.places.get(thing)
        if place is None:
            return thing
        return place.label if place.on_board else f"{place.label} of {place.owner}"

    def form(self, seat: PlannedSeat) -> str | None:
        """The form of the receptacle that a part sits in."""
        place = self.places.get(seat.site)
        return place.form if place else None


NAMED = ("cable", "adapter", "riser", "carrier", "backplane", "expander", "drive")
"""Classes of parts whose word is said beside their name."""


def wiring_of(planned: MachinePlan) -> Wiring:
    """The one end of a cable is the cable; each of several ends has wires of its own."""
    places = {one.site: one for one in planned.answer.plan.receptacles}
    ends = Counter(one.owner for one in places.values())
    ways = {}
    for seat in planned.seats:
        way: list[str] = []
        for one in (seat, *planned.holders(seat)):
            way.append(one.item)
            holder = planned.seat.get(one.owner)
            if holder is None or holder.part_class != "cable" or ends[one.owner] > 1:
                way.append(one.site)
        ways[seat.item] = way
    return Wiring(planned, ways, places)


def known_parts(planned: MachinePlan, failing: Collection[str]) -> None:
    """Raises InputError for each name that is no part of the plan."""
    known = [seat.item for seat in planned.seats]
    wrong = [name for name in failing if name not in known]
    if wrong:
        hint = f"not in the plan of {planned.id}; its parts: {listed(known)}"
        raise InputError(Mistake("--fault", name, hint) for name in wrong)


def suspects_of(
    planned: MachinePlan, failing: Collection[str], healthy: Collection[str]
) -> tuple[Suspects, ...]:
    """
    Who is to blame for parts that fail, and how to find out.

    A part that holds others and answers itself is not cleared by that: only what hangs on it is.
    """
    wiring = wiring_of(planned)
    ends = {one for one in healthy if one not in failing and not planned.children(one)}
    return tuple(_said(wiring, one, ends) for one in blames(wiring.ways, failing, ends))


def _said(wiring: Wiring, blame: Blame, healthy: Collection[str]) -> Suspects:
    tree = plan_swaps(frozenset(blame.suspects), changes_of(wiring, blame, healthy))
    return Suspects(
        parts=blame.parts,
        suspects=tuple(map(wiring.name, blame.suspects)),
        not_cleared=tuple(map(wiring.name, blame.works_for_others)),
        first=tuple(_outside(wiring.planned.seat[blame.parts[0]])),
        swaps=tuple(_swaps(wiring, tree, blame.suspects)),
    )


def _outside(seat: PlannedSeat) -> Iterator[LikelyCause]:
    """Known causes that cost nothing: settings and versions."""
    on_disk_bus = any(link.bus in DISK_BUSES for link in seat.links)
    for cause in (DRIVE_POWER_SAVING if on_disk_bus else LINK_POWER_SAVING, OLD_FIRMWARE):
        yield LikelyCause(cause.word, cause.text, cause.next)


PLUG, DRIVE, CABLE, CARD, LONE_CARD, SPARE = 1, 2, 2, 3, 4, 6
"""What a change takes of work and risk (common practice, no source)."""


def changes_of(wiring: Wiring, blame: Blame, healthy: Collection[str]) -> list[SwapChoice[str]]:
    """Every change that splits the suspects and needs nothing, or as little as can be, bought."""
    found: list[SwapChoice[str]] = []
    for number, thing in enumerate(blame.suspects):
        seat = wiring.planned.seat.get(thing)
        if seat is None:
            continue
        below = frozenset(blame.suspects[: number + 1])
        twin = _like(wiring, seat, healthy, twin=True)
        other = twin or _like(wiring, seat, healthy, twin=False)
        if spare_port := _other_port(wiring, seat, blame.suspects):
            found.append(spare_port)
        if other:
            found.append(_exchanged(wiring, seat, other, below))
        elif free := _free(wiring, seat, blame.suspects):
            found.append(_moved(wiring, seat, free, below))
        found.append(_replaced(wiring, seat, twin))
    return found


def _like(
    wiring: Wiring, seat: PlannedSeat, healthy: Collection[str], *, twin: bool
) -> PlannedSeat | None:
    """
    A part that hangs elsewhere, healthy itself or with a healthy part on it.

    A twin is the same model; another part of its class only sits in a receptacle of the same form.
    """
    own = wiring.ways[seat.item]
    form = wiring.form(seat)
    for part in wiring.ways:
        if part not in healthy:
            continue
        for thing in wiring.ways[part]:
            other = wiring.planned.seat.get(thing)
            if other is None or thing in own or other.part_class != seat.part_class:
                continue
            if other.part == seat.part if twin else wiring.form(other) == form:
                return other
    return None


def _free(wiring: Wiring, seat: PlannedSeat, suspects: Collection[str]) -> PlannedReceptacle | None:
    """A free receptacle of the same form that hangs on nothing suspected."""
    place = wiring.places.get(seat.site)
    for other in wiring.places.values():
        if place and other.item is None and other.form == place.form and other.state == "free":
            above = wiring.ways.get(other.owner, ())
            if other.site not in suspects and not set(above) & set(suspects):
                return other
    return None


def _work(seat: PlannedSeat) -> int:
    if seat.part_class == "cable":
        return PLUG
    return DRIVE if seat.part_class == "drive" else CARD


def _exchanged(
    wiring: Wiring, seat: PlannedSeat, other: PlannedSeat, below: frozenset[str]
) -> SwapChoice[str]:
    here, there = wiring.name(seat.site), wiring.name(other.site)
    with_all = "" if seat.part_class == "drive" else ", each with all that is attached to it"
    do = f"put {seat.item} into {there} and {other.item} into {here}{with_all}"
    goes = f"the fault is now at {there}"
    return SwapChoice(do, below, _work(seat), goes)


def _moved(
    wiring: Wiring, seat: PlannedSeat, free: PlannedReceptacle, below: frozenset[str]
) -> SwapChoice[str]:
    there = wiring.name(free.site)
    do = f"move {seat.item} to {there}, with all that is attached to it"
    return SwapChoice(do, below, _work(seat), "the fault is still there")


def _other_port(
    wiring: Wiring, seat: PlannedSeat, suspects: Sequence[str]
) -> SwapChoice[str] | None:
    """Into a free receptacle of the same holder: only the one it sits in is left out."""
    place = wiring.places.get(seat.site)
    if place is None or seat.site not in suspects or place.on_board:
        return None
    for other in wiring.places.values():
        if other.owner == place.owner and other.item is None and other.form == place.form:
            do = f"move {seat.item} to {wiring.name(other.site)}, with all that is attached to it"
            takes = frozenset(suspects) - {seat.site}
            return SwapChoice(do, takes, _work(seat), "the fault is still there")
    return None


def _replaced(wiring: Wiring, seat: PlannedSeat, other: PlannedSeat | None) -> SwapChoice[str]:
    """It alone, what hangs on it stays."""
    name = wiring.name(seat.item)
    alone = frozenset((seat.item,))
    if other is None:
        data = " (back up first: what is on it stays on it)" if seat.part_class == "drive" else ""
        do = f"put a spare {seat.part_class} of the same kind in the place of {name}{data}"
        return SwapChoice(do, alone, SPARE, "the fault is gone")
    do = f"exchange {name} and {other.item} alone; what is attached to them stays where it is"
    cost = CABLE if seat.part_class == "cable" else LONE_CARD
    return SwapChoice(do, alone, cost, f"the fault is now with {other.item}")


def _swaps(wiring: Wiring, tree: Branch[str], order: Sequence[str]) -> Iterator[Swap]:
    steps = list(tree.walk())
    numbers = {id(step): number for number, step in enumerate(steps, 1)}

    def result(branch: Branch[str]) -> SwapResult:
        names = tuple(wiring.name(one) for one in order if one in branch.suspects)
        return SwapResult(names, numbers.get(id(branch)))

    for number, step in enumerate(steps, 1):
        if step.change and step.goes and step.stays:
            yield Swap(number, step.change.do, step.change.goes, result(step.goes),
                       result(step.stays))  # fmt: skip


def suspects_lines(found: Sequence[Suspects]) -> Iterator[tuple[str, int]]:
    """Lines with how deep each stands."""
    for text in dict.fromkeys(f"{one.text}. Try: {one.next}" for of in found for one in of.first):
        yield f"First, for it costs nothing: {text}.", 0
    for one in found:
        yield f"{listed(one.parts)}: suspected: {', '.join(one.suspects)}.", 0
        if one.not_cleared:
            yield f"Less likely, for others on it work: {', '.join(one.not_cleared)}.", 1
        for swap in one.swaps:
            yield f"{swap.number}. Power off, unplug; {swap.do}. Start, and look.", 1
            yield f"If {swap.sign}: {_then(swap.goes)}. If not: {_then(swap.stays)}.", 2
        if one.swaps:
            yield "One change at a time; put it back before the next.", 1
    yield "Which leads of the power supply they share is in no plan: look.", 0


def _then(result: SwapResult) -> str:
    if result.next:
        return f"go on with {result.next}"
    if len(result.suspects) == 1:
        return f"it is {result.suspects[0]}"
    return f"it is one of {', '.join(result.suspects)}, which no change here tells apart"
