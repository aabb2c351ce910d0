"""What answers, and not where the plan has it: moved, swapped, in another order, in no plan."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.answers.read.slots import why_omitted
from slotfit.answers.verify.answer import Finding
from slotfit.answers.verify.causes import CauseEvidence, causes_of
from slotfit.answers.verify.lineup import Lineup
from slotfit.answers.verify.match import End, Pair
from slotfit.answers.verify.scene import Scene
from slotfit.answers.verify.told import FAULT, NOTE, OPEN, Explained


@dataclass(frozen=True, slots=True)
class MovedStack:
    """Parts of one stack that answer in one other receptacle."""

    root: str
    """The part in the board's receptacle."""
    pairs: tuple[Pair, ...]
    whole: bool
    """Nothing of the stack answers where it should."""
    parts: tuple[str, ...]
    """What it speaks of: with a whole stack also what does not answer."""

    @property
    def name(self) -> str:
        """How to call what moved."""
        return self.root if self.whole else ", ".join(pair.unit.part for pair in self.pairs)


def elsewhere(scene: Scene, told: Explained) -> Iterator[Finding]:
    """Parts that answer in another receptacle than planned, with what is on them."""
    moves = [] if told.all else list(_moves(scene))
    known = [one for one in moves if _is_place_known(scene, one.pairs[0])]
    around = _circles(scene, known)
    for circle in around:
        yield _changed_places(scene, circle)
    inside = [id(one) for circle in around for one in circle]
    for move in moves:
        if id(move) not in inside:
            yield _elsewhere(scene, move, known=any(move is one for one in known))


def _moves(scene: Scene) -> Iterator[MovedStack]:
    groups: dict[tuple[str, int], list[Pair]] = defaultdict(list)
    for pair in scene.matched.pairs:
        if not pair.in_place:
            groups[scene.root_seat(pair.unit).item, id(pair.end.receptacle)].append(pair)
    for (root, _), pairs in groups.items():
        stack = scene.stack(root)
        moved = {(pair.unit.part, pair.unit.link.at) for pair in pairs}
        answer = [one for one in stack if (one.part, one.link.at) in scene.pair_of]
        whole = all((one.part, one.link.at) in moved for one in answer)
        parts = (root, *(one.part for one in stack)) if whole else (p.unit.part for p in pairs)
        yield MovedStack(root, tuple(pairs), whole, tuple(dict.fromkeys(parts)))


def _is_place_known(scene: Scene, pair: Pair) -> bool:
    place = pair.end.receptacle
    return place is not None and (
        id(place) in scene.receptacle_of or bool(scene.places.get(pair.unit.root))
    )


def _circles(scene: Scene, moves: Sequence[MovedStack]) -> list[list[MovedStack]]:
    """Parts of which each answers where the next one should be."""
    starts: dict[str, list[MovedStack]] = defaultdict(list)
    for move in moves:
        starts[move.pairs[0].unit.root].append(move)
    goes = {site: there[0] for site, there in starts.items() if len(there) == 1}
    found: list[list[MovedStack]] = []
    for site in goes:
        circle = _circle_from(scene, site, goes)
        if circle and not any(move in one for one in found for move in circle):
            found.append(circle)
    return found


def _circle_from(scene: Scene, site: str, goes: Mapping[str, MovedStack]) -> list[MovedStack]:
    """The moves from a receptacle on until one leads back to it; none if none does."""
    circle: list[MovedStack] = []
    here = site
    while here in goes and goes[here] not in circle:
        circle.append(goes[here])
        here = scene.receptacle_of.get(id(goes[here].pairs[0].end.receptacle), "")
    return circle if here == site and len(circle) > 1 else []


def _changed_places(scene: Scene, circle: Sequence[MovedStack]) -> Finding:
    where = "; ".join(
        f"{one.name} answers in {scene.where(one.pairs[0].end)}, not in "
        f"{scene.label(one.pairs[0].unit.root)}"
        for one in circle
    )
    parts = tuple(dict.fromkeys(part for one in circle for part in (one.name, *one.parts)))
    first = circle[0].pairs[0]
    causes = causes_of("changed-places", CauseEvidence())
    text = f"{' and '.join(one.name for one in circle)} have changed places: {where}"
    return Finding("changed-places", FAULT, parts, first.unit.root, text, causes)


def _elsewhere(scene: Scene, move: MovedStack, *, known: bool) -> Finding:
    first = move.pairs[0]
    perhaps = "" if all(pair.sure for pair in move.pairs) else ", or a part like it,"
    planned, at = scene.label(first.unit.root), first.end.part.top.address
    if not known:
        text = (
            f"{move.name}{perhaps} answers at {at}; whether that is {planned} cannot be told: "
            f"what was read puts it in {scene.where(first.end)}"
        )
        parts = tuple(pair.unit.part for pair in move.pairs)
        return Finding("not-known", OPEN, parts, first.unit.root, text, ())
    silent = [one for one in move.parts if not any(one == key[0] for key in scene.pair_of)]
    silent = [one for one in silent if one != move.root]
    rest = f"; {', '.join(silent)} on it do not answer there" if silent else ""
    text = (
        f"{move.name}{perhaps} answers in {scene.where(first.end)} ({at}), not in {planned}{rest}"
    )
    causes = causes_of("elsewhere", scene.shown(first.unit, first.end))
    return Finding("elsewhere", FAULT, move.parts, first.unit.root, text, causes)


def order(scene: Scene, told: Explained) -> Iterator[Finding]:
    """
    Parts on one carrier, whose sockets follow one another as the ports do.

    Alike parts cannot be told apart. Where all answer in the opposite order the board may count its
    lanes from the other end, so that cannot be told; any other order is a mistake of hands.
    """
    for lineup in scene.all_lineups:
        pairs = _by_socket(scene, lineup)
        planned = [pair.unit.seat.recognise for pair in pairs]
        by_port = sorted(pairs, key=lambda pair: pair.end.part.port or pair.end.part.top.address)
        seen = [pair.unit.seat.recognise for pair in by_port]
        parts = tuple(
            pair.unit.part
            for pair, other in zip(pairs, by_port, strict=True)
            if pair.unit.seat.recognise != other.unit.seat.recognise
        )
        if not parts or told.covers(parts):
            continue
        ports = ", ".join(
            f"{pair.unit.part} at {pair.end.part.top.address} (planned in {pair.unit.seat.label})"
            for pair in by_port
            if pair.unit.part in parts
        )
        backwards = planned == seen[::-1]
        text = f"the drives of {lineup.holder} answer in another order than planned: {ports}"
        causes = causes_of("other-order", scene.shown(pairs[0].unit, pairs[0].end))
        weight = OPEN if backwards or not lineup.whole else FAULT
        yield Finding("other-order", weight, parts, pairs[0].unit.root, text, causes)


def _by_socket(scene: Scene, lineup: Lineup) -> list[Pair]:
    """What sits in a part's sockets and was found in place, in the order of the sockets."""
    found = [
        pair
        for pair in scene.matched.pairs
        if pair.unit.seat.site in lineup.sockets and pair.sure and pair.in_place
    ]
    return sorted(found, key=lambda pair: lineup.sockets.index(pair.unit.seat.site))


def extras(scene: Scene, told: Explained) -> Iterator[Finding]:
    """What answers and is in no plan; where it may be soldered on, only a note."""
    if told.all:
        return
    table = any(one.records for one in scene.seen.receptacles)
    free = scene.matched.extra
    inner = {id(one) for end in free for one in end.inside}
    used = {id(pair.end) for pair in scene.matched.pairs}
    for end in free:
        if told.has(end) or id(end) in inner or any(id(one) in used for one in end.inside):
            continue
        yield _extra(scene, end, doubtful=_may_be_soldered(scene, end, table=table))


def _may_be_soldered(scene: Scene, end: End, *, table: bool) -> bool:
    """Whether nothing says that this sits in a slot for cards."""
    place = end.receptacle
    if place is None or (table and not place.records):
        return True
    says_slot = any(port.slot_implemented or port.physical_slot for port in place.ports)
    if not place.records and not says_slot and place.label == str(place.ports[0].address):
        return True
    return why_omitted(place, scene.seen.receptacles, scene.topology) is not None


def _extra(scene: Scene, end: End, *, doubtful: bool) -> Finding:
    where = scene.where(end)
    text = f"{end.name} answers in {where} and is in no plan"
    if doubtful:
        text += "; it may be soldered on"
    receptacle = scene.receptacle_of.get(id(end.receptacle)) if end.receptacle else None
    causes = () if doubtful else causes_of("extra", CauseEvidence())
    return Finding("extra", NOTE if doubtful else FAULT, (), receptacle, text, causes)
