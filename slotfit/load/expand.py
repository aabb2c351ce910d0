"""
Short forms spelled out: a board's as lane groups with arrangements, a part's in its links.

What is made here is made of facts that were checked when they were read: it is not checked again,
and its names, put together here, may be longer than a file may write one.
"""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from itertools import permutations
from typing import TypeVar

from slotfit.hardware.order import telling_lane
from slotfit.model.board import (
    Arrangement,
    Board,
    BoardReceptacle,
    LabelOrder,
    LaneGroup,
    Order,
    Split,
    Width,
)
from slotfit.model.entity import Entity
from slotfit.model.part import Link, PartReceptacle, PartSpec, ReceptacleSpec, widths
from slotfit.model.words import Bus, Proof
from slotfit.standards.forms import FORMS, LANES_APART, PLUG_FORMS


def connector_lanes(receptacle: ReceptacleSpec) -> int | None:
    """The connector's size in lanes; None if neither file nor form says it."""
    if receptacle.width is not None:
        return receptacle.width
    made = PLUG_FORMS[receptacle.form].lanes
    return made[0] if len(made) == 1 else None


def most_lanes(receptacle: ReceptacleSpec) -> int:
    """No more lanes than these can arrive here."""
    return connector_lanes(receptacle) or PLUG_FORMS[receptacle.form].max_lanes


def bus_of(written: BoardReceptacle | PartReceptacle | Link, form: str) -> Bus:
    """The bus of a receptacle or link; of a form that cannot carry PCIe, unless the file says."""
    buses = PLUG_FORMS[form].buses
    if "bus" in written.model_fields_set or not buses or "pcie" in buses:
        return written.bus
    return buses[0]  # type: ignore[return-value]  # the table's words are those of Bus


Segments = tuple[int, ...]

UNEVEN: Segments = (8, 4, 4)
"""What is left of four even links where a port makes at most three (common practice, no source)."""

EVEN: dict[int, tuple[Segments, ...]] = {
    8: ((4, 4),),
    16: ((8, 8), (4, 4, 4, 4)),
}
"""Wired lanes -> even divisions a root port of this width commonly offers (common practice, no
source); a board may have them or not."""


def label_of(segments: Segments) -> str:
    """
    The label of a division as firmware menus write it.

    >>> label_of((8, 4, 4))
    'x8x4x4'
    """
    return "".join(f"x{lanes}" for lanes in segments)


def named(label: str) -> Segments:
    """The widths a label names, in its order; the model has checked its form."""
    return widths(label) or ()


def lane_orders(
    segments: Segments, order: LabelOrder | None, reversed_: bool | None
) -> tuple[Segments, ...]:
    """
    The segments from the receptacle's lane 0 up: one answer, or both if nobody has said.

    >>> lane_orders((8, 4, 4), "high-first", False), lane_orders((8, 4, 4), "high-first", True)
    (((4, 4, 8),), ((8, 4, 4),))
    >>> lane_orders((8, 4, 4), "low-first", None), lane_orders((4, 4), None, None)
    (((8, 4, 4), (4, 4, 8)), ((4, 4),))
    """
    turned = segments[::-1]
    if turned == segments:
        return (segments,)
    if order is None or reversed_ is None:
        return (segments, turned)
    return (turned,) if (order == "high-first") != reversed_ else (segments,)


Made = TypeVar("Made", bound=Entity)

TURNED = ".turned"
EITHER = ".either"


def expand(board: Board) -> Board:
    """
    The same board with every lane-carrying receptacle in one lane group.

    Every arrangement has an id; one whose lane order is not known stands there in both orders, each
    with `order="unknown"`. What nobody has said (wiring, divisions) becomes an arrangement without
    proof: a plan may rest on it, and will say so. A group whose lanes come from nobody knows where
    has `from_` None.
    """
    taken = {group.id for group in board.lane_groups}
    written = [spelled_out(group, only_origin(board)) for group in board.lane_groups]
    grouped = {name for group in written for one in group.arrangements for name in one.gives}
    made = [
        group
        for receptacle in board.receptacles
        if receptacle.id not in grouped
        and (group := group_for(board, receptacle, taken)) is not None
    ]
    return board.model_copy(update={"lane_groups": (*written, *made)})


def spelled_out(group: LaneGroup, otherwise: str | None) -> LaneGroup:
    """
    A written lane group: ids for its arrangements, both orders where the order is unknown.

    Its lanes come from `otherwise` if it does not say.
    """
    written = {arrangement.id for arrangement in group.arrangements}
    made: list[Arrangement] = []
    for number, arrangement in enumerate(map(as_wired, group.arrangements), start=1):
        name = arrangement.id or f"{group.id}.{number}"
        made.append(arrangement.model_copy(update={"id": name}))
        if arrangement.order == "unknown" and turned_id(name) not in written:
            made += turned(arrangement, name)
    made += [one for one in either_way(made) if one.id not in written]
    return group.model_copy(update={"arrangements": tuple(made), "from_": group.from_ or otherwise})


def as_wired(arrangement: Arrangement) -> Arrangement:
    """Written without a word of proof, an arrangement that divides no receptacle is the wiring."""
    if arrangement.proof is not None or divides(arrangement):
        return arrangement
    return arrangement.model_copy(update={"proof": "documented"})


def divides(arrangement: Arrangement) -> bool:
    """
    Whether a receptacle gets several segments.

    Several SATA or SAS lanes on one connector are no division: each is a port of its own.
    """
    links = [[one for one in given if isinstance(one, int)] for given in arrangement.gives.values()]
    return any(len(given) > 1 for given in links)


def turned_id(name: str) -> str:
    """What the same arrangement in the other lane order is called; its own is its own."""
    return name if name.endswith(TURNED) else name + TURNED


def turned(arrangement: Arrangement, name: str) -> Iterator[Arrangement]:
    """The arrangement in the other lane order, if that makes a difference."""
    gives = {receptacle: given[::-1] for receptacle, given in arrangement.gives.items()}
    if gives != arrangement.gives:
        yield arrangement.model_copy(update={"id": turned_id(name), "gives": gives})


def either_way(ways: Sequence[Arrangement]) -> Iterator[Arrangement]:
    """
    What one of two menu entries gives that mirror one another, in whichever order labels are.

    Nobody knows which of the two does it; but one of them does, and a look tells which.
    """
    open_ = [way for way in ways if way.order == "unknown" and not str(way.id).endswith(TURNED)]
    for one, other in permutations(open_, 2):
        mirrored = {name: given[::-1] for name, given in one.gives.items()} == other.gives
        alike = one.chosen_by == other.chosen_by and one.setting and other.setting
        proofs = [way.proof for way in (one, other)]
        if mirrored and alike and one.gives != other.gives and "refuted" not in proofs:
            weakest = max(proofs, key=PROOFS.index)
            named = {"id": f"{one.id}{EITHER}", "setting": tried(one, other), "proof": weakest}
            yield one.model_copy(update={**named, "order": "known"})


PROOFS: tuple[Proof | None, ...] = ("seen", "documented", "menu-only", None)
"""The surest first."""


def tried(one: Arrangement, other: Arrangement) -> str:
    """Which of two entries to try first, what to see, and the other one."""
    for name, given in one.gives.items():
        lane = telling_lane([width for width in given if isinstance(width, int)])
        if lane is not None:
            return (
                f"{one.setting}, or {other.setting} if what starts at lane {lane} of {name} is "
                "not seen"
            )
    return f"{one.setting}, or {other.setting} if less is seen"


def only_origin(board: Board) -> str | None:
    """The one place that lanes can come from; None if there are several."""
    only = len(board.processors) == 1 and not board.hubs
    return board.processors[0].id if only else None


def carries_lanes(receptacle: BoardReceptacle) -> bool:
    """Whether a lane group is due: a form with lanes that is not said to have none."""
    return receptacle.lanes != 0 and bool(FORMS[receptacle.form].buses)


def group_for(board: Board, receptacle: BoardReceptacle, taken: set[str]) -> LaneGroup | None:
    """The lane group that a receptacle's short form stands for; None if it has no lanes."""
    if not carries_lanes(receptacle):
        return None
    bus = bus_of(receptacle, receptacle.form)
    name = f"{receptacle.id}.lanes" if receptacle.id in taken else receptacle.id
    from_ = receptacle.from_ or only_origin(board)
    most = next((one.most_links for one in board.processors if one.id == from_), None)
    divisions = pcie(receptacle, name, most) if bus == "pcie" else undivided(receptacle, bus, name)
    group = LaneGroup.model_construct(
        id=name,
        from_=from_,
        generation=receptacle.generation,
        bus=bus,
        arrangements=tuple(divisions),
    )
    return written_like(receptacle, group, "lanes")


def undivided(receptacle: BoardReceptacle, bus: str, name: str) -> Iterator[Arrangement]:
    """SATA, SAS and USB: each lane is a link of its own."""
    said = receptacle.lanes
    lanes = said or (most_lanes(receptacle) if receptacle.form != "sas" else 1) or 1
    unit: Width = "sata" if bus == "sata" else "sas" if bus == "sas" else 1
    yield Arrangement.model_construct(
        id=f"{name}.all",
        gives={receptacle.id: (unit,) * lanes},
        proof="documented",
        chosen_by="fixed",
    )


def possible_divisions(lanes: int, most_links: int | None) -> Iterator[Segments]:
    """
    Divisions that may exist where nobody has listed any.

    >>> list(possible_divisions(16, None)), list(possible_divisions(16, 3))
    ([(8, 8), (4, 4, 4, 4)], [(8, 8), (8, 4, 4)])
    """
    for segments in EVEN.get(lanes, ()):
        if most_links is None or len(segments) <= most_links:
            yield segments
        elif len(segments) == len(UNEVEN) + 1 == most_links + 1:
            yield UNEVEN


def pcie(
    receptacle: BoardReceptacle, name: str, most_links: int | None = None
) -> Iterator[Arrangement]:
    """What is listed, in its order; undivided, and what may exist, if nobody has said."""
    wired: Proof | None = "documented" if receptacle.lanes else None
    lanes = receptacle.lanes or most_lanes(receptacle)
    whole: Segments = (lanes,)
    possible = tuple(possible_divisions(lanes, most_links))
    if receptacle.form in LANES_APART:
        whole = (1,) * (receptacle.lanes or 1)
        possible = () if receptacle.lanes else ((1, 1),)
    splits = receptacle.splits
    if splits is None:
        yield arrangement(receptacle, name, plain(whole, wired, alone=not possible), whole)
        for segments in possible:
            split = Split.model_construct(split=label_of(segments), proof=None)
            yield from in_order(receptacle, name, split)
        return
    made: list[Arrangement] = []
    for split in splits or (plain(whole, wired, alone=True),):
        made += in_order(receptacle, name, split)
    yield from (*made, *either_way(made))


def in_order(receptacle: BoardReceptacle, name: str, split: Split) -> Iterator[Arrangement]:
    """A division in the one order of its lanes, or in both if nobody has said which it is."""
    orders = lane_orders(named(split.split), receptacle.label_order, receptacle.reversed)
    order: Order = "known" if len(orders) == 1 else "unknown"
    yield arrangement(receptacle, name, split, orders[0], order)
    for segments in orders[1:]:
        yield arrangement(receptacle, name, split, segments, order, TURNED)


def plain(whole: Segments, proof: Proof | None, *, alone: bool) -> Split:
    """The undivided arrangement where nobody wrote it down."""
    return Split.model_construct(
        split=label_of(whole), proof=proof, chosen_by="fixed" if alone else "setting"
    )


def arrangement(
    receptacle: BoardReceptacle,
    name: str,
    split: Split,
    segments: Segments,
    order: Order = "known",
    ending: str = "",
) -> Arrangement:
    """One division of a receptacle; the ids begin with `name`."""
    made = Arrangement.model_construct(
        id=f"{name}.{split.split}{ending}",
        gives={receptacle.id: segments},
        setting=split.setting or (None if split.chosen_by == "fixed" else split.split),
        proof=split.proof,
        chosen_by=split.chosen_by,
        order=order,
    )
    return written_like(split, written_like(receptacle, made, "splits"), "split")


def written_like(origin_: Entity, made: Made, field: str) -> Made:
    """`made` was not written; point at what it was made from."""
    if span := origin_.span(field):
        made.marks[""] = span
    return made


def complete(part: PartSpec) -> PartSpec:
    """
    The part with buses that follow from a form, and with passive links that lead somewhere.

    Links of a passive part without any `to` go to its receptacles one to one, in order, if there
    are as many of one as of the other.
    """
    receptacles = tuple(
        one.model_copy(update={"bus": bus_of(one, one.form)}) for one in part.receptacles
    )
    fed = {name for plug in part.extra_plugs for name in plug.feeds}

    def links(form: str, written: Sequence[Link], own: list[PartReceptacle]) -> tuple[Link, ...]:
        found = [one.model_copy(update={"bus": bus_of(one, form)}) for one in written]
        served = served_by(found, own)
        says = part.wiring != "passive" or any(link.to for link in found)
        if says or len(found) != len(served):
            return tuple(found)
        pairs = zip(found, served, strict=True)
        return tuple(link.model_copy(update={"to": (one.id,)}) for link, one in pairs)

    extra_plugs = []
    for plug in part.extra_plugs:
        own = [one for one in receptacles if one.id in plug.feeds]
        made = links(plug.plug.form, plug.links, own)
        extra_plugs.append(plug.model_copy(update={"links": made}))
    own = [one for one in receptacles if one.id not in fed]
    return part.model_copy(
        update={
            "receptacles": receptacles,
            "links": links(part.plug.form, part.links, own),
            "extra_plugs": tuple(extra_plugs),
        }
    )


def served_by(links: Sequence[Link], own: Sequence[PartReceptacle]) -> list[PartReceptacle]:
    """Receptacles that passive links could lead to: those of the same bus."""
    buses = {link.bus for link in links}
    return [one for one in own if one.bus in buses and PLUG_FORMS[one.form].buses]
