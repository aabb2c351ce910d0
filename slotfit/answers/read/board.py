"""The board as a file, each field with where it comes from, and the gaps with how to fill them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field

from slotfit.answers.read.devices import devices_block, devices_of
from slotfit.answers.read.slots import MOST_GENERATIONS, BoardSlot, Omitted
from slotfit.answers.read.yaml_text import (
    Flow,
    Places,
    Sourced,
    YamlBlock,
    YamlComment,
    YamlField,
    YamlList,
    assumed,
    clean,
    said,
    slug,
)
from slotfit.listing import listed
from slotfit.load.expand import EVEN, label_of
from slotfit.read.machine import MachineSeen
from slotfit.read.pci_tree import Topology
from slotfit.read.seen import BoardSeen, FunctionSeen, PciAddress
from slotfit.standards import pci_regs as regs

MOST = 64
"""More sockets than any board has; virtual machines may show one a core."""


@dataclass(frozen=True, slots=True)
class ProcessorSocket:
    """One socket; `fitted` None: nobody says."""

    id: str
    label: str | None
    fitted: bool | None
    basis: str


def processors_of(seen: MachineSeen, places: Places) -> Sourced[tuple[ProcessorSocket, ...]]:
    """
    Every processor socket, in the order in which receptacles count them; at least one.

    `assumed` where nothing counts them, so that one is not known to be the only one.
    """
    packages = {number for node in seen.nodes for number in node.packages or ()}
    nodes, sockets = nodes_of(seen), tuple(_sockets(seen, places))
    highest = max((0, *packages))
    if highest < len(sockets) and (packages or len(sockets) > 1 or len(nodes) < 2):
        return Sourced(sockets, "")
    named = packages | {one.processor.value or 0 for one in seen.receptacles}
    if packages or max(named, default=0) > 0:
        count = min(max(named) + 1, MOST)
        at = places.at(seen.nodes[0].where) if packages else "designations of slots"
        more = range(len(sockets), count)
        unseen = (_unseen(number, packages, f"processors seen, {at}") for number in more)
        return Sourced((*sockets, *unseen), f"{count} seen; an empty socket would not show")
    if len(nodes) > 1:
        why = f"memory nodes {listed(map(str, nodes))} are seen; a processor may have several"
        unseen = (_unseen(number, set(), "a memory node") for number in range(len(nodes)))
        return assumed(sockets or tuple(unseen)[:MOST], why)
    why = "nothing that was read counts the processor sockets"
    return assumed((ProcessorSocket("cpu0", None, None, ""),), why)


def _sockets(seen: MachineSeen, places: Places) -> Iterator[ProcessorSocket]:
    """As the table lists them; a machine that runs has a processor, whatever a table says."""
    all_empty = all(one.populated is False for one in seen.processors)
    for index, one in enumerate(seen.processors[:MOST]):
        yield ProcessorSocket(
            f"cpu{index}",
            clean(one.designation, 40) if one.designation else None,
            None if all_empty else one.populated,
            f"processor socket, {places.at(one.where)}",
        )


def _unseen(index: int, packages: set[int], basis: str) -> ProcessorSocket:
    """A socket that no table lists."""
    return ProcessorSocket(f"cpu{index}", None, index in packages or None, basis)


def nodes_of(seen: MachineSeen) -> list[int]:
    """Memory nodes that the system or any function names."""
    named = {one.numa_node for one in seen.functions if one.numa_node is not None}
    return sorted(named | {one.node for one in seen.nodes})


def is_only_one(
    seen: MachineSeen, sockets: Sourced[tuple[ProcessorSocket, ...]], topology: Topology
) -> bool:
    """Whether there is one processor and no other: no table, node or root bus says otherwise."""
    if len(sockets.value) != 1 or len(nodes_of(seen)) > 1:
        return False
    return not sockets.assumed or bool(seen.nodes) or len(topology.root_buses) < 2


def fitted_of(
    sockets: tuple[ProcessorSocket, ...], alive: frozenset[str]
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


@dataclass(frozen=True, slots=True)
class HubRead:
    """A switch of the board with its uplink."""

    id: str
    from_: str
    lanes: int
    generation: int
    link_basis: str


@dataclass(slots=True)
class Origins:
    """Hubs as they are met, and the origin of each slot by the slot's id."""

    hubs: dict[PciAddress, HubRead] = field(default_factory=dict)
    of: dict[str, Sourced[str]] = field(default_factory=dict)
    remarks: dict[str, str] = field(default_factory=dict)


def origins_of(
    seen: MachineSeen,
    slots: Sequence[BoardSlot],
    sockets: Sourced[tuple[ProcessorSocket, ...]],
    topology: Topology,
    places: Places,
) -> Origins:
    """Where the lanes of every slot come from, as far as anything says."""
    found = Origins()
    only = is_only_one(seen, sockets, topology)
    for slot in slots:
        processor = _processor(slot, sockets.value, places, only=only)
        if processor is None:
            found.remarks[slot.id] = "from: nothing says which processor its lanes come from"
            continue
        above = _switches_above(slot, topology)
        hub = _hub(above, processor.value, topology, places, found) if above else None
        if hub:
            basis = f"its port lies below the switch at {above[0].address}"
            found.of[slot.id] = Sourced(hub.id, basis)
            continue
        if above:
            found.remarks[slot.id] = (
                f"below a switch at {above[0].address} whose uplink is not known: what "
                "shares it is not counted"
            )
        found.of[slot.id] = processor
    return found


def _processor(
    slot: BoardSlot, sockets: Sequence[ProcessorSocket], places: Places, *, only: bool
) -> Sourced[str] | None:
    """The processor, if it is one of those there are; what answers hangs on one that is fitted."""
    told = places.told(slot.seen.processor)
    if told and told.value < len(sockets):
        return Sourced(sockets[told.value].id, told.basis)
    if only:
        return Sourced(sockets[0].id, "the only processor")
    fitted = [one.id for one in sockets if one.fitted is not False]
    if slot.parts and len(fitted) == 1 < len(sockets):
        return Sourced(fitted[0], "a part answers in it, and no other processor is fitted")
    return None


def _switches_above(slot: BoardSlot, topology: Topology) -> list[FunctionSeen]:
    """Upstream ports between the slot's port and the processor, nearest first."""
    port = slot.seen.ports[0] if slot.seen.ports else None
    if port is None:
        return []
    return [
        step
        for step in topology.chain(port.address)
        if step.port_type == regs.UPSTREAM_PORT
        or (step.port_type is None and not topology.leads_down(step))
    ]


def _hub(
    above: list[FunctionSeen],
    processor: str,
    topology: Topology,
    places: Places,
    found: Origins,
) -> HubRead | None:
    """The hub of the nearest switch, with those above it; None if an uplink is not known."""
    nearest = above[0]
    known = found.hubs.get(nearest.address)
    if known:
        return known
    upper = _hub(above[1:], processor, topology, places, found) if above[1:] else None
    link = _uplink(nearest, topology)
    if link is None or (above[1:] and upper is None):
        return None
    lanes, generation = link
    basis = f"link of the switch's upstream port {nearest.address}, {places.at(nearest.where)}"
    origin = upper.id if upper else processor
    hub = HubRead(f"hub{len(found.hubs) + 1}", origin, lanes, generation, basis)
    found.hubs[nearest.address] = hub
    return hub


def _uplink(switch: FunctionSeen, topology: Topology) -> tuple[int, int] | None:
    """Lanes and generation that both ends of a switch's uplink can do; None if not known."""
    port = topology.above(switch.address)
    links = [seen.link for seen in (switch, port) if seen and seen.link]
    lanes = [link.lanes_max for link in links if link.lanes_max]
    generations = [link.generation_max for link in links if link.generation_max]
    if not lanes or not generations or min(lanes) not in regs.LEGAL_LANES:
        return None
    return min(lanes), min(*generations, MOST_GENERATIONS)


GAPS = (
    "What is left out is not known: `slotfit catalog lint` on this file says what depends on it, "
    "and how to find it out."
)


def board_id(seen: MachineSeen) -> tuple[str, str]:
    """Id and name of the board: what the board calls itself, else the whole machine's name."""
    named = [title for role in ("board", "system") for title in _titles(seen.boards, role)]
    title = named[0] if named else "Board of unknown make"
    return slug(title, "board"), title


def _titles(boards: Sequence[BoardSeen], role: str) -> Iterator[str]:
    for one in boards:
        product = said(one.product)
        if one.role == role and product:
            yield " ".join(filter(None, (said(one.manufacturer), product, said(one.version))))


def board_block(
    seen: MachineSeen,
    sockets: Sourced[tuple[ProcessorSocket, ...]],
    slots: Sequence[BoardSlot],
    omitted: Sequence[Omitted],
    origins: Origins,
    places: Places,
) -> YamlBlock:
    """The board's file."""
    name, title = board_id(seen)
    basis = places.at(seen.boards[0].where) if seen.boards else "no source names the board"
    entries: list[YamlField | YamlComment] = [
        YamlComment("Read from a running machine, and only as good as what its firmware says."),
        YamlComment(GAPS),
        YamlComment(),
        YamlField("kind", "board"),
        YamlField("id", name),
        YamlField("name", title, basis),
        YamlField("processors", _processors(sockets.value), sockets.basis),
    ]
    if origins.hubs:
        entries.append(YamlField("hubs", _hubs(list(origins.hubs.values()))))
    if devices := devices_of(seen):
        entries.append(YamlField("devices", devices_block(devices, places)))
    entries.append(YamlField("receptacles", YamlList(tuple(_receptacles(slots, origins)))))
    if omitted:
        entries.append(YamlComment("Not described:"))
    entries += [YamlComment(f"- {one.label}: {one.why}") for one in omitted]
    if any(not slot.aside for slot in slots):
        entries.append(YamlField("sources", _sources(slots, places)))
    return YamlBlock(tuple(entries))


def _processors(sockets: Sequence[ProcessorSocket]) -> YamlList:
    return YamlList(
        tuple(
            YamlBlock(
                (YamlField("id", one.id, "" if one.label else one.basis),)
                + ((YamlField("label", one.label, one.basis),) if one.label else ())
            )
            for one in sockets
        )
    )


def _hubs(hubs: Sequence[HubRead]) -> YamlList:
    return YamlList(
        tuple(
            YamlBlock(
                (
                    YamlField(
                        "id", hub.id, "a switch of the board: what is below it shares its link"
                    ),
                    YamlField("from", hub.from_),
                    YamlField("generation", hub.generation, hub.link_basis),
                    YamlField("lanes", hub.lanes),
                )
            )
            for hub in hubs
        )
    )


def _receptacles(slots: Sequence[BoardSlot], origins: Origins) -> Iterator[YamlBlock | YamlComment]:
    yield from (_receptacle(slot, origins) for slot in slots if not slot.aside)
    aside = [slot for slot in slots if slot.aside]
    if aside:
        yield YamlComment(
            "Ports with a slot that no record names and nothing sits in: take in what there is."
        )
        yield from (_receptacle(slot, origins) for slot in aside)


def _receptacle(slot: BoardSlot, origins: Origins) -> YamlBlock:
    origin = origins.of.get(slot.id)
    told: tuple[tuple[str, Sourced[int] | Sourced[str] | Sourced[float] | None], ...] = (
        ("width", slot.width),
        ("from", origin),
        ("generation", slot.generation),
        ("lanes", slot.lanes),
        ("power_w", slot.power_w),
        ("isolation", slot.isolation),
    )
    fields = [
        YamlField("id", slot.id),
        YamlField("label", slot.label),
        YamlField(
            "form",
            slot.form.value,
            slot.form.basis or next((one.basis for one in slot.seen.forms.claims), ""),
        ),
        *(YamlField(key, one.value, one.basis) for key, one in told if one is not None),
    ]
    if slot.split and slot.lanes:
        fields.append(YamlField("splits", _splits(slot.split, slot.lanes.value), _SPLIT_BASIS))
    remarks = [*slot.remarks, *filter(None, (origins.remarks.get(slot.id),)), *_gaps(slot)]
    return YamlBlock((*fields, *map(YamlComment, remarks)), aside=slot.aside)


_SPLIT_BASIS = (
    "seen at work as the machine is now; whether it can be undone or changed is not known"
)


def _splits(seen: tuple[int, ...], lanes: int) -> Flow:
    """The division that was seen, and those that nobody has said anything about."""
    others = (ways for ways in ((lanes,), *EVEN.get(lanes, ())) if ways != seen)
    return [
        {"split": label_of(seen), "proof": "seen"},
        *({"split": label_of(ways), "proof": None} for ways in others),
    ]


def division_of(slot: BoardSlot) -> str:
    """
    The id of the arrangement in force, where its ports show it; else empty.

    Of unlike widths nobody sees which lanes are the wide ones.
    """
    even = not slot.aside and slot.lanes and len(set(slot.split)) == 1
    return f"{slot.id}.{label_of(slot.split)}" if even else ""


def _gaps(slot: BoardSlot) -> Iterator[str]:
    """The keys that are missing here and would say something."""
    told = (
        ("width", slot.width if slot.form.value == "cem" else True),
        ("lanes", slot.lanes or any(text.startswith("lanes:") for text in slot.remarks)),
        ("generation", slot.generation),
        ("power_w", slot.power_w),
        ("splits", slot.split or slot.form.value.startswith("m2")),
    )
    missing = [key for key, value in told if not value]
    if missing:
        yield f"not known: {', '.join(missing)}"


def _sources(slots: Sequence[BoardSlot], places: Places) -> YamlBlock:
    """Receptacle -> the places that speak of it."""
    return YamlBlock(
        tuple(
            YamlField(slot.id, "; ".join(_spoken_of(slot, places)))
            for slot in slots
            if not slot.aside
        )
    )


def _spoken_of(slot: BoardSlot, places: Places) -> Iterator[str]:
    yield from (places.at(record.where) for record in slot.seen.records)
    for port in slot.seen.ports:
        joined = f" (joined by {slot.seen.joined_by})" if slot.seen.joined_by else ""
        yield f"port {port.address}{joined}, {places.at(port.where)}"
