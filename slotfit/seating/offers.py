"""What each receptacle offers: on a board under each arrangement, on a part where it sits."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass, replace

from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.part import Link, Part, PartReceptacle
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.seat import Offer, Seat, Segment
from slotfit.standards.forms import FORMS
from slotfit.training import lowest, passed_on


@dataclass(frozen=True, slots=True)
class Opening:
    """One way to sit in a receptacle: the offer, and what must be so for it to hold."""

    offer: Offer
    arrangements: tuple[str, ...] = ()
    parents: tuple[str, ...] = ()


def board_openings(problem: Problem, site: Site) -> tuple[Opening, ...]:
    """Every distinct offer of a board receptacle, each with the arrangements that make it."""
    rig = problem.rig[site.owner]
    group = rig.group_of.get(site.receptacle.id)
    if group is None:
        return (Opening(bare(rig, site)),)
    merged: dict[tuple[object, ...], Opening] = {}
    for way in group.arrangements:
        offer = board_offer(rig, site, group, way)
        # Only arrangements that are alike in what they offer and in how well they are proven are
        # one seat; a doubtful one stands alone, because its doubt names it.
        doubtful = way.proof in (None, "menu-only", "refuted") or way.order == "unknown"
        key = (offer, way.id if doubtful else None)
        known = merged.get(key)
        ids = (*known.arrangements, str(way.id)) if known else (str(way.id),)
        merged[key] = Opening(offer, ids)
    return tuple(merged.values())


def bare(rig: Rig, site: Site) -> Offer:
    """A receptacle that no lane group reaches: power and room only."""
    receptacle = site.receptacle
    from_ = receptacle.from_ if isinstance(receptacle, BoardReceptacle) else None
    processor = rig.processor_of(from_) if from_ else None
    return Offer(
        rig.id,
        processor=processor,
        isolation=isolation(rig, receptacle),
        root=site.id,
        dark=f"{site.id} has no lanes",
        absent=processor if processor and processor not in rig.fitted else None,
    )


def board_offer(rig: Rig, site: Site, group: LaneGroup, way: Arrangement) -> Offer:
    """A board receptacle under one arrangement."""
    processor = rig.processor_of(group.from_)
    absent = processor if processor not in rig.fitted else None
    segments = () if absent else tuple(lay_out(group, way, site.receptacle.id))
    chosen = f"{way.setting!r} chosen" if way.setting else f"{group.id} arranged as {way.id}"
    return Offer(
        rig.id,
        segments,
        generation=group.generation,
        processor=processor,
        group=f"{rig.id}/{group.id}",
        hops=tuple(f"{rig.id}/{hub}" for hub in rig.hops(group.from_)),
        isolation=isolation(rig, site.receptacle),
        root=site.id,
        dark=f"{absent} is not fitted" if absent else f"with {chosen} {site.id} gets no lanes",
        absent=absent,
        on_cable=site.receptacle.form in ("sata", "sas"),
    )


def lay_out(group: LaneGroup, way: Arrangement, receptacle: str) -> Iterator[Segment]:
    """The segments from the receptacle's lane 0 up."""
    start = 0
    for width in way.gives.get(receptacle, ()):
        bus = width if isinstance(width, str) else group.bus
        lanes = width if isinstance(width, int) else 1
        yield Segment(start, lanes, bus)
        start += lanes


def isolation(rig: Rig, receptacle: object) -> str | None:
    """The guest-isolation group, unique across machines."""
    word = receptacle.isolation if isinstance(receptacle, BoardReceptacle) else None
    return f"{rig.id}/{word}" if word else None


def nested_openings(owner: Item, site: Site, seats: list[Seat]) -> tuple[Opening, ...]:
    """Every distinct offer of a receptacle on a part, each with the owner's seats that make it."""
    merged: dict[Offer, list[str]] = {}
    for seat in seats:
        offer = nested_offer(owner, site.receptacle, seat)
        merged.setdefault(offer, []).append(seat.key)
    return tuple(Opening(offer, (), tuple(keys)) for offer, keys in merged.items())


def nested_offer(owner: Item, receptacle: object, seat: Seat) -> Offer:
    """A part's receptacle while the part is in that seat."""
    assert isinstance(receptacle, PartReceptacle)  # noqa: S101 - sites on parts hold no other kind
    part, below = owner.part, seat.offer
    shared = replace(
        below,
        carriers=(owner.id, *below.carriers),
        on_cable=below.on_cable or part.part_class == "cable",
    )
    if receptacle.form in ("cooling-mount", "opening"):
        return replace(shared, segments=(), dark="it has no lanes")
    if part.wiring == "passive":
        return wired_through(part, receptacle, shared)
    return behind_controller(owner, receptacle, shared, seat)


def wired_through(part: Part, receptacle: PartReceptacle, shared: Offer) -> Offer:
    """Lanes that pass straight through a passive part."""
    wires = [link for link in part.links if receptacle.id in link.to]
    segments = tuple(join(wires, shared))
    generation = (
        lowest(shared.generation, part.generation, *(wire.generation for wire in wires))
        if shared.generation is not None
        else None
    )
    dark = "" if segments else no_wire(wires, shared)
    return replace(shared, segments=segments, generation=generation, dark=dark)


def join(wires: list[Link], below: Offer) -> Iterator[Segment]:
    """The wires' segments side by side, from the receptacle's lane 0 up."""
    base = 0
    for wire in wires:
        for segment in passed_on(wire, below):
            yield Segment(base + segment.start, segment.lanes, segment.bus)
        base += wire.lanes


def no_wire(wires: list[Link], below: Offer) -> str:
    """Why nothing comes through."""
    if not below.segments:
        return below.dark
    if not wires:
        return "no lanes are wired to it"
    lane = wires[0].at
    for segment in below.segments:
        if segment.start < lane < segment.end:
            return (
                f"its lanes start at lane {lane}, inside the x{segment.lanes} segment that starts "
                f"at lane {segment.start}: the slot is not split there"
            )
    return f"its lanes start at lane {lane} and only {max(s.end for s in below.segments)} arrive"


def behind_controller(owner: Item, receptacle: PartReceptacle, shared: Offer, seat: Seat) -> Offer:
    """Lanes that a switch or a controller on the part makes; they share its link upwards."""
    if not seat.alive:
        return replace(shared, segments=(), dark=f"{owner.id} itself has no link")
    lanes = receptacle.lanes or FORMS[receptacle.form].max_lanes or 1
    same_bus = receptacle.bus == "pcie"
    return replace(
        shared,
        segments=(Segment(0, lanes, receptacle.bus),),
        generation=receptacle.generation or (owner.part.generation if same_bus else None),
        hops=(owner.id, *shared.hops),
        dark="",
    )
