"""A part in a receptacle: what the receptacle offers there, and what trains."""

from collections import defaultdict
from collections.abc import Iterable, Mapping
from dataclasses import dataclass
from functools import cached_property

from slotfit.model.dark import Dark
from slotfit.model.keys import GroupKey, HubKey, Node
from slotfit.model.reason import Doubt, No


@dataclass(frozen=True, slots=True, order=True)
class Segment:
    """A run of a receptacle's lanes that trains as one link."""

    start: int
    lanes: int
    bus: str = "pcie"

    @property
    def end(self) -> int:
        """First lane after it."""
        return self.start + self.lanes


@dataclass(frozen=True, slots=True)
class Upstream:
    """What is upstream of a receptacle, under one arrangement and with its owner in one place."""

    machine: str
    segments: tuple[Segment, ...] = ()
    """In the receptacle's own lane order; none if it gets no lanes here."""
    generation: int | None = None
    """Generation of the port that makes the lanes; None if nobody has said."""
    passes: int | None = None
    """What the slowest of the passive pieces on the way is good for; None if none is rated."""
    pieces: tuple[str, ...] = ()
    """Passive pieces in a row that the lanes come through, the nearest first; a retimer, a switch
    and a controller begin anew."""
    unrated: tuple[str, ...] = ()
    """Passive parts on the way of which nobody has said what the wires in use carry."""
    processor: str | None = None
    """Processor the lanes hang on; None if nobody has said."""
    group: GroupKey | None = None
    hops: tuple[Node, ...] = ()
    """Shared links from here up, nearest first: those of parts, then those of hubs."""
    isolation: str | None = None
    """Guest-isolation group; None if not said."""
    alone: bool = False
    """No other receptacle of the board falls into that group."""
    keeps_apart: bool | None = None
    """The ports that the board's receptacle is divided into do; None: nobody has said."""
    isolators: tuple[str, ...] = ()
    """Receptacles and parts that must keep what hangs on them apart for that group to hold, and of
    which nobody has said that they do."""
    carriers: tuple[str, ...] = ()
    """Parts it is nested in, innermost first."""
    fed_through: tuple[str, ...] = ()
    """Receptacles of a stated power that whatever sits here draws through, this one included."""
    root: str = ""
    """The board receptacle below it all."""
    dark: Dark | None = None
    """Why there are no lanes."""
    absent: str | None = None
    """The processor whose absence leaves it without lanes."""
    on_cable: bool = False
    live: bool | None = None
    """The receptacle takes a part while the machine runs, and so do those above it as far as they
    only pass lanes on; None: not known."""

    @property
    def arrives(self) -> int | None:
        """The generation that the port and the way let through; None if the port's is not known."""
        known = self.generation, self.passes
        return None if known[0] is None else min(one for one in known if one is not None)

    @property
    def hub(self) -> HubKey | None:
        """The nearest hub that the lanes come over; None if there is none, or nobody has said."""
        return next((hop for hop in self.hops if isinstance(hop, HubKey)), None)

    @property
    def depth(self) -> int:
        """0 on a board, 1 in a part on a board, and so on."""
        return len(self.carriers)


@dataclass(frozen=True, slots=True)
class Trained:
    """One link of a part after negotiation; `lanes` 0 means that it is not detected."""

    at: int
    lanes: int
    generation: int | None
    able_lanes: int
    able_generation: int | None
    bus: str = "pcie"
    to: tuple[str, ...] = ()
    dark: Dark | None = None
    certain: bool = True
    """False where the standard leaves the width open (x4 in x2 wiring may train at x1)."""


@dataclass(frozen=True, slots=True)
class Seat:
    """One part in one receptacle, under any of the named arrangements of its lane group."""

    key: str
    part: str
    receptacle: str
    upstream: Upstream
    arrangements: tuple[str, ...] = ()
    """Ids within `upstream.group`; empty: whatever the group does."""
    parents: tuple[str, ...] = ()
    """Keys of the owner's seats that make this offer; empty on a board."""
    links: tuple[Trained, ...] = ()
    facts: tuple[Doubt, ...] = ()
    closes: bool = True
    """It closes the contacts by which a board sees that something is plugged in."""

    @property
    def alive(self) -> int:
        """Links that train."""
        return sum(link.lanes > 0 for link in self.links)

    @property
    def dark(self) -> int:
        """Links that stay dark."""
        return len(self.links) - self.alive


def settles(seat: Seat, part: str, fact: Doubt) -> bool:
    """Whether a seat makes hold what a part rests on."""
    if seat.part in fact.settled_by and seat.upstream.carriers[:1] == (part,):
        return True
    return seat.closes and seat.receptacle == fact.settled_in


def rests_on(seats: Iterable[Seat], beside: Iterable[Seat] = ()) -> dict[tuple[str, ...], Doubt]:
    """
    What seats of one plan rest on together, by id; what others of the plan settle is out.

    `beside`: further seats of the plan, of which only this is asked.
    """
    asked = tuple(seats)
    every = (*asked, *beside)
    sits_on = {(seat.upstream.carriers[0], seat.part) for seat in every if seat.upstream.carriers}
    filled = {seat.receptacle for seat in every if seat.closes}
    return {
        fact.id: fact
        for seat in asked
        for fact in seat.facts
        if fact.settled_in not in filled
        and not any((seat.part, other) in sits_on for other in fact.settled_by)
    }


@dataclass(frozen=True, slots=True)
class Refusal:
    """A seat that cannot be, with every reason."""

    seat: Seat
    objections: tuple[No, ...]


@dataclass(frozen=True, slots=True)
class Alike:
    """Parts that may swap, and every receptacle that they can have, both in order."""

    parts: tuple[str, ...]
    receptacles: tuple[str, ...]

    def window(self, number: int, required: bool) -> slice:
        """The receptacles left to one of them when all sit in order."""
        after = len(self.parts) - 1 - number if required else 0
        return slice(number, max(len(self.receptacles) - after, number))


@dataclass(frozen=True)
class Seating:
    """Every seat that can be, and every one that cannot."""

    seats: tuple[Seat, ...]
    refusals: tuple[Refusal, ...]
    in_order: tuple[Alike, ...] = ()
    """
    Parts alike of which only the first has all its seats, because there would be too many: of the
    others there are those that they have in a plan with the parts in the order of their names.
    """

    @cached_property
    def first(self) -> Mapping[str, str]:
        """Part of `in_order` -> the first of those that are alike, which has every seat."""
        return {name: kind.parts[0] for kind in self.in_order for name in kind.parts}

    def every(self, part: str) -> list[Seat]:
        """All seats of a part, or of the one that stands for it."""
        return self.by_part.get(self.first.get(part, part), [])

    @cached_property
    def by_part(self) -> Mapping[str, list[Seat]]:
        """Part id -> its seats."""
        found: defaultdict[str, list[Seat]] = defaultdict(list)
        for seat in self.seats:
            found[seat.part].append(seat)
        return found

    @cached_property
    def by_place(self) -> Mapping[tuple[str, str], list[Seat]]:
        """Part and receptacle -> the seats of the one in the other."""
        found: defaultdict[tuple[str, str], list[Seat]] = defaultdict(list)
        for seat in self.seats:
            found[seat.part, seat.receptacle].append(seat)
        return found

    @cached_property
    def by_receptacle(self) -> Mapping[str, list[Seat]]:
        """Receptacle id -> the seats in it."""
        found: defaultdict[str, list[Seat]] = defaultdict(list)
        for seat in self.seats:
            found[seat.receptacle].append(seat)
        return found

    @cached_property
    def by_key(self) -> Mapping[str, Seat]:
        """Key -> seat."""
        return {seat.key: seat for seat in self.seats}
