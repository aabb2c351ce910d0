"""What each receptacle offers: on a board under each arrangement, on a part where it sits."""

from collections import Counter
from collections.abc import Iterator
from dataclasses import dataclass, replace

from slotfit.hardware.live import live_on
from slotfit.hardware.training import lowest, may_be_empty, passed_on, unheard
from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.dark import Dark, dark
from slotfit.model.fitted import holds_for_any
from slotfit.model.keys import GroupKey, HubKey
from slotfit.model.part import Link, PartReceptacle, PartSpec, ReceptacleSpec
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.model.seat import Seat, Segment, Upstream
from slotfit.rule import gets
from slotfit.standards.forms import FORMS, WITHOUT_LANES


@dataclass(frozen=True, slots=True)
class Opening:
    """One way to sit in a receptacle: the offer, and what must be so for it to hold."""

    upstream: Upstream
    arrangements: tuple[str, ...] = ()
    parents: tuple[str, ...] = ()


def board_openings(problem: Problem, receptacle: Receptacle) -> tuple[Opening, ...]:
    """Every distinct offer of a board receptacle, each with the arrangements that make it."""
    machine = problem.machine[receptacle.owner]
    group = machine.group_of.get(receptacle.spec.id)
    if group is None:
        return (Opening(bare(machine, receptacle)),)
    merged: dict[tuple[object, ...], Opening] = {}
    withheld = machine.as_fitted[group.id].withheld
    for way in (*group.arrangements, *withheld):
        upstream = board_upstream(machine, receptacle, group, way)
        # Only arrangements that are alike in what they offer and in how well they are proven are
        # one seat; a doubtful one stands alone, because its doubt names it.
        doubtful = way.proof in (None, "menu-only", "refuted") or way.order == "unknown"
        doubtful = doubtful or way.needs is not None or bool(may_be_empty(group, way))
        key = (upstream, way.id if doubtful else None)
        known = merged.get(key)
        ids = (*known.arrangements, str(way.id)) if known else (str(way.id),)
        merged[key] = Opening(upstream, ids)
    return tuple(merged.values())


def bare(machine: Machine, receptacle: Receptacle) -> Upstream:
    """A receptacle that no lane group reaches: power and room only."""
    spec = receptacle.spec
    from_ = spec.from_ if isinstance(spec, BoardReceptacle) else None
    processor = machine.processor_of(from_)
    return Upstream(
        machine.id,
        processor=processor,
        isolation=isolation(machine, spec),
        fed_through=limited(receptacle.id, spec),
        root=receptacle.id,
        live=spec.live_swap,
        dark=dark("no lanes", receptacle=receptacle.id),
        absent=processor if processor and processor not in machine.fitted else None,
    )


def board_upstream(
    machine: Machine, receptacle: Receptacle, group: LaneGroup, way: Arrangement
) -> Upstream:
    """A board receptacle under one arrangement."""
    processor = machine.processor_of(group.from_)
    absent = processor if processor and processor not in machine.fitted else None
    segments = () if absent else tuple(lay_out(group, way, receptacle.spec))
    own_bus = not segments or any(segment.bus == group.bus for segment in segments)
    return Upstream(
        machine.id,
        segments,
        generation=(way.generation or group.generation) if own_bus else None,
        processor=processor,
        group=GroupKey(machine.id, group.id),
        hops=tuple(HubKey(machine.id, hub) for hub in machine.hops(group.from_)),
        isolation=isolation(machine, receptacle.spec),
        alone=stands_alone(machine, receptacle.spec),
        keeps_apart=isolates_guests(receptacle.spec),
        fed_through=limited(receptacle.id, receptacle.spec),
        root=receptacle.id,
        dark=None if segments else no_lanes(receptacle, way, absent),
        absent=absent,
        on_cable=receptacle.spec.form in ("sata", "sas"),
        live=receptacle.spec.live_swap,
    )


def limited(receptacle_id: str, receptacle: ReceptacleSpec) -> tuple[str, ...]:
    """The receptacle itself, if anyone has said what it supplies."""
    return (receptacle_id,) if receptacle.power_w is not None else ()


def no_lanes(receptacle: Receptacle, way: Arrangement, absent: str | None) -> Dark:
    """Why a receptacle has none under this arrangement."""
    if absent:
        return dark("absent", processor=absent)
    if holds_for_any(str(way.id)):
        return dark("some class", receptacle=receptacle.id)
    if way.setting:
        return dark("set", setting=way.setting, receptacle=receptacle.id)
    return dark("divided", gets=gets(way), receptacle=receptacle.id)


def lay_out(group: LaneGroup, way: Arrangement, receptacle: ReceptacleSpec) -> Iterator[Segment]:
    """The segments from the receptacle's lane 0 up."""
    start: Counter[str] = Counter()
    for width in way.gives.get(receptacle.id, ()):
        bus = width if isinstance(width, str) else group.bus
        lanes = width if isinstance(width, int) else 1
        row = contacts(receptacle, bus)
        yield Segment(start[row], lanes, bus)
        start[row] += lanes


def isolation(machine: Machine, receptacle: object) -> str | None:
    """The guest-isolation group, unique across machines."""
    word = receptacle.isolation if isinstance(receptacle, BoardReceptacle) else None
    return f"{machine.id}/{word}" if word else None


def isolates_guests(receptacle: object) -> bool | None:
    """Whether the ports that a board's receptacle is divided into keep guests apart."""
    return receptacle.isolates_guests if isinstance(receptacle, BoardReceptacle) else None


def stands_alone(machine: Machine, receptacle: object) -> bool:
    """Whether nothing else of the board is in the isolation group."""
    words = [one.isolation for one in machine.board.receptacles]
    words += [one.isolation for one in machine.board.devices or ()]
    word = receptacle.isolation if isinstance(receptacle, BoardReceptacle) else None
    return word is not None and words.count(word) == 1


def nested_openings(owner: Part, receptacle: Receptacle, seats: list[Seat]) -> tuple[Opening, ...]:
    """Every distinct offer of a receptacle on a part, each with the owner's seats that make it."""
    merged: dict[Upstream, list[str]] = {}
    for seat in seats:
        upstream = nested_upstream(owner, receptacle.spec, seat)
        merged.setdefault(upstream, []).append(seat.key)
    return tuple(Opening(upstream, (), tuple(keys)) for upstream, keys in merged.items())


def nested_upstream(owner: Part, receptacle: object, seat: Seat) -> Upstream:
    """A part's receptacle while the part is in that seat."""
    assert isinstance(receptacle, PartReceptacle)  # noqa: S101 - sites on parts hold no other kind
    spec, below = owner.spec, seat.upstream
    on_cable = below.on_cable or spec.part_class == "cable"
    has_plugs = spec.power is not None and bool(spec.power.aux)
    name = f"{owner.body}/{receptacle.id}"
    shared = replace(
        below,
        carriers=(owner.id, *below.carriers),
        on_cable=on_cable,
        live=live_on(spec, receptacle, below.live),
        # What hangs on a cable, or on a part with plugs of its own, is not fed from below.
        fed_through=(
            *limited(name, receptacle),
            *(() if on_cable or has_plugs else below.fed_through),
        ),
    )
    if receptacle.form in WITHOUT_LANES:
        return replace(shared, segments=(), dark=dark("mount"))
    if spec.wiring == "passive":
        return wired_through(spec, receptacle, shared)
    return behind_controller(owner, receptacle, shared, seat)


def wired_through(spec: PartSpec, receptacle: PartReceptacle, shared: Upstream) -> Upstream:
    """Lanes that pass straight through a passive part."""
    wires = [link for link in spec.links if receptacle.id in link.to]
    segments = tuple(join(wires, receptacle, shared))
    rated = [rating(spec, receptacle, wire) for wire in wires]
    owner = shared.carriers[0]
    made = replace(
        shared,
        segments=segments,
        passes=lowest(shared.passes, *rated),
        pieces=(owner,) if spec.retimer else (owner, *shared.pieces),
        unrated=(owner, *shared.unrated) if None in rated else shared.unrated,
        dark=None if segments else no_wire(wires, shared),
    )
    return on_its_own_port(made, wires, shared)


def rating(spec: PartSpec, receptacle: PartReceptacle, wire: Link) -> int | None:
    """What a wire from plug to receptacle is good for; None if nobody has said."""
    return lowest(wire.generation or spec.generation, receptacle.generation)


def on_its_own_port(made: Upstream, wires: list[Link], below: Upstream) -> Upstream:
    """Each segment of a divided receptacle hangs on another port, which may keep guests apart."""
    if not below.alone or len(below.segments) < 2 or not wires:
        return made
    if below.keeps_apart is False:
        return replace(made, alone=False)
    return replace(
        made,
        isolation=f"{below.isolation} lane {wires[0].at}",
        isolators=below.isolators if below.keeps_apart else (*below.isolators, below.root),
    )


def join(wires: list[Link], receptacle: ReceptacleSpec, below: Upstream) -> Iterator[Segment]:
    """The wires' segments side by side, from the receptacle's lane 0 up."""
    base: Counter[str] = Counter()
    for wire in wires:
        row = contacts(receptacle, wire.bus)
        for segment in passed_on(wire, below):
            yield Segment(base[row] + segment.start, segment.lanes, segment.bus)
        base[row] += wire.lanes


def contacts(receptacle: ReceptacleSpec, bus: str) -> str:
    """
    The row of contacts that a bus has; most receptacles have one for all.

    A U.2 bay has contacts of their own for SATA and SAS (SFF-8639, as quoted).
    """
    return ("pcie" if bus == "pcie" else "sas") if receptacle.form == "u2" else ""


def no_wire(wires: list[Link], below: Upstream) -> Dark | None:
    """Why nothing comes through."""
    if not below.segments:
        return below.dark
    if not wires:
        return dark("unwired")
    return unheard(wires[0], below, "wire")


def behind_controller(
    owner: Part, receptacle: PartReceptacle, shared: Upstream, seat: Seat
) -> Upstream:
    """Lanes that a switch or a controller on the part makes; they share its uplink."""
    if not seat.alive:
        return replace(shared, segments=(), dark=dark("carrier dark", carrier=owner.id))
    lanes = receptacle.lanes or FORMS[receptacle.form].max_lanes or 1
    same_bus = receptacle.bus == "pcie"
    made = replace(
        shared,
        segments=(Segment(0, lanes, receptacle.bus),),
        generation=receptacle.generation or (owner.spec.generation if same_bus else None),
        passes=None,
        pieces=(),
        unrated=(),
        hops=(owner.id, *shared.hops),
        dark=None,
    )
    return below_a_switch(made, owner, receptacle)


def below_a_switch(made: Upstream, owner: Part, receptacle: PartReceptacle) -> Upstream:
    """A switch's port is an isolation group of its own, unless it is said not to isolate."""
    spec = owner.spec
    if not made.alone or spec.wiring != "switch":
        return made
    if spec.isolates_guests is False:
        return replace(made, alone=False)
    return replace(
        made,
        isolation=f"{made.isolation} {owner.id}/{receptacle.id}",
        isolators=made.isolators if spec.isolates_guests else (*made.isolators, owner.id),
    )
