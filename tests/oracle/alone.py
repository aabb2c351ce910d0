"""One part where it sits: what forbids it, and what it rests on that nobody has said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from slotfit.model.board import Arrangement, BoardReceptacle, LaneGroup
from slotfit.model.machine import MountingPlace
from slotfit.model.part import Link, PartReceptacle, PartSpec, Power, ReceptacleSpec
from slotfit.model.problem import Machine, Part
from slotfit.standards.cem import (
    CONNECTORS,
    FULL_HEIGHT_MM,
    LOW_PROFILE_HEIGHT_MM,
    slot_power_limit_w,
)
from slotfit.standards.forms import FORMS, plug_fits
from slotfit.standards.power import MATINGS, PLUGS, SENSE_RATINGS_W, promised_w
from tests.oracle.lanes import is_sure, laid_out, piece_at, shape
from tests.oracle.sockets import socket_by_socket, under_coolers
from tests.oracle.spot import Spot, empty_first, first_socket, fitted

Word = str | tuple[object, ...]
"""A text is a complaint; a tuple is a fact that the seat rests on."""

CABLED = (
    *("sff-8643", "sff-8644", "sff-8087", "sff-8088", "oculink-4"),
    *("slimsas-4", "slimsas-8", "mcio-4", "mcio-8", "mcio-16"),
)
"""Plugs at the end of a cable; what a card or a board has of these forms are sockets."""

WARM_W = 5
"""Above that a passive part is asked how much air it needs (common practice, no source)."""

EXPECTED_C = 35
"""How warm the air before the cards is to be expected (common practice, no source)."""

OPENING_MM = {"full": FULL_HEIGHT_MM, "low": LOW_PROFILE_HEIGHT_MM}


def look(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """Everything that is to be said of one part in one place."""
    if not plug_fits(part.spec.plug.form, spot.form):
        yield "form"
        return
    for aspect in (connector, room, bracket, m2_length, cable, lanes, speeds, guests, power):
        yield from aspect(part, spot)
    yield from (*air(part, spot), *fan(part, spot), *wishes(part, spot))
    yield from (*home(part, spot, parts), *wires(part, spot, parts))
    yield from (*all_over_one(part, spot, parts), *mover(part, spot, parts))
    yield from (*plugs(part, spot, parts), *plug_room(part, spot))
    yield from (*twelve_volts(part, spot, parts), *three_volts(part, spot, parts))
    yield from (*mating(part, spot, parts), *sidebands(part, spot, parts))
    yield from (*off_slot(part, spot), *under_coolers(part, spot), *heat_sink(part, spot))
    yield from (*contact_three(part, spot), *storage_wires(part, spot))
    yield from bay_size(part, spot, parts)
    yield from (*behind_arrays(part, spot, parts), *network(part))


WIDE_MM = {"2.5": 69.85, "3.5": 101.6}
"""A disk or a bay (SFF-8201, SFF-8301, from memory)."""


def bay_size(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A bay is as wide as the disk in it, or wider; ports and cables' ends are no bays."""
    spec, bay = part.spec, spot.receptacle.spec.bay
    on = parts[spot.owners[0]].spec.part_class if spot.owners else "board"
    at_its_back = spot.form in ("u2", "u3", "u2-u3") and on in ("board", "carrier")
    if spec.part_class != "drive" or spec.plug.form not in ("sata", "sas"):
        return
    if not at_its_back and on != "backplane":
        return
    room, need = WIDE_MM.get(bay or "", 0), WIDE_MM.get(spec.bay or "", 0)
    if room and need and need > room:
        yield "bay size"
    elif not need and room < max(WIDE_MM.values()):
        yield ("bay size", spec.id, spot.receptacle.id)
    elif not room and need > min(WIDE_MM.values()):
        yield ("bay size", spot.receptacle.id, spec.bay)


def generation_of(part: Part, link: Link, spot: Spot) -> int | None:
    """The rate both ends and everything between know; None if nobody has said anything."""
    offered: tuple[int | None, ...] = (spot.generation, spot.at_most)
    if link.bus != "pcie":
        offered = tuple(as_storage(link, generation, spot) for generation in offered)
    known = [g for g in (link.generation or part.spec.generation, *offered) if g is not None]
    return min(known, default=None)


def as_storage(link: Link, generation: int | None, spot: Spot) -> int | None:
    """What a port's generation means to a SATA or SAS link."""
    buses = {lane.bus for lane in spot.contacts.values()}
    if "pcie" in buses or generation is None:
        return None  # it counts PCIe generations
    # A SAS-1 port runs SATA at 3 Gb/s, SATA's second generation, and so on up to its third.
    return min(generation + 1, 3) if link.bus == "sata" and buses == {"sas"} else generation


def draw_w(spec: PartSpec) -> float:
    return ((spec.power.slot_w or 0) + (spec.power.aux_w or 0)) if spec.power else 0


def connector(part: Part, spot: Spot) -> Iterator[Word]:
    """A card edge longer than its slot hangs over an open end, or does not go in."""
    plug, slot = part.spec.plug, spot.receptacle.spec
    if (plug.form, slot.form) != ("cem", "cem"):
        return
    if plug.width is None or slot.width is None:
        yield ("connector", spot.receptacle.id, part.spec.id)
        return
    if plug.width <= slot.width:
        return
    if slot.open_end is False:
        yield "closed slot"
        return
    if slot.open_end is None:
        yield ("open end", spot.receptacle.id)
    over = CONNECTORS[plug.width].tab_mm - CONNECTORS[slot.width].tab_mm
    if slot.behind_mm is None:
        yield ("behind", spot.receptacle.id, round(over, 2))
    elif slot.behind_mm < round(over, 2):
        yield "behind the slot"


def room(part: Part, spot: Spot) -> Iterator[Word]:
    """Positions of the row and openings of the chassis; length and height of a card."""
    yield from row_room(part, spot)
    yield from room_beside(part, spot)
    if part.spec.plug.form == "cem":
        yield from size_room(part, spot, "length_mm", part.spec.length_mm)
        yield from size_room(part, spot, "height_mm", height_mm(part.spec))


def row_room(part: Part, spot: Spot) -> Iterator[Word]:
    spec, slot, chassis = part.spec, spot.receptacle.spec, spot.machine.chassis
    if slot.row is None or spec.plug.form not in ("cem", "opening"):
        return
    end = slot.position + (spec.thickness or 1)
    limits: list[tuple[object, int | None]] = []
    if spot.receptacle.on_board:
        rows = spot.machine.board.rows
        limits += [(row.id, row.positions) for row in rows if row.id == slot.row]
        if chassis and rows and rows[0].id == slot.row:
            limits.append((chassis.id, chassis.openings))
    else:
        limits.append((spot.owners[0], spot.riser_positions))
    for what, positions in limits:
        if positions is None:
            yield ("positions", spot.machine.id, what, end)
        elif end > positions:
            yield "row end"
    if spec.thickness is None:
        yield ("thickness", spec.id)


def off_slot(part: Part, spot: Spot) -> Iterator[Word]:
    """Screwed to the chassis, a card without lanes runs if a plug can feed it, and fits the gap."""
    place, spec = spot.receptacle.spec, part.spec
    if not isinstance(place, MountingPlace) or spec.links:
        return
    plugs_there = spec.power.aux_away if spec.power else None
    if plugs_there is None:
        yield ("away", spec.id)
    elif plugs_there == ():
        yield "needs its slot"
    if place.thickness is None:
        yield ("room above", spot.receptacle.id, spec.id)
    elif spec.thickness is None:
        yield ("thick above", spec.id, place.thickness)
    elif spec.thickness > place.thickness:
        yield "needs its slot"


def heat_sink(part: Part, spot: Spot) -> Iterator[Word]:
    """A module with a heat sink where a card may come to lie over it."""
    place, high = spot.receptacle.spec, part.spec.component_mm
    if not isinstance(place, BoardReceptacle) or high is None or high <= 3:
        return
    if place.under and place.above_mm is None:
        yield ("room under a card", spot.receptacle.id, part.spec.id, high)


def room_beside(part: Part, spot: Spot) -> Iterator[Word]:
    """Outside a row nobody knows what a thick body covers."""
    spec = part.spec
    is_thick = spec.thickness is None or spec.thickness > 1
    if spot.form == "mounting-place":
        return
    if is_thick and spec.plug.form in ("cem", "opening") and spot.receptacle.spec.row is None:
        yield ("room beside", spot.receptacle.id, spec.thickness or spec.id)


def size_room(part: Part, spot: Spot, size: str, have: float | None) -> Iterator[Word]:
    """A card within its room; what is not known is a doubt where there is anything beside it."""
    room = known_room(spot, size, part.spec)
    if size == "height_mm" and room is None and have is not None:
        room = have if have <= OPENING_MM.get(opening_at(spot) or "", 0) else None
    if have is not None and room is not None:
        if have > room:
            yield size.removesuffix("_mm")
        elif chassis_may_have_less(spot, size, part.spec, have):
            yield (f"room for {size}", spot.receptacle.id, have)
    elif room is not None:
        yield (size, part.spec.id, room)
    elif spot.machine.chassis or not spot.receptacle.on_board:
        yield (f"room for {size}", spot.receptacle.id, part.spec.id if have is None else have)


def chassis_may_have_less(spot: Spot, size: str, spec: PartSpec, have: float) -> bool:
    """A slot's own figure says nothing of the lid and the cages around the board."""
    rooms, chassis = rooms_in_line(spot, size, spec), spot.machine.chassis
    if chassis is None or (
        size == "height_mm" and have <= OPENING_MM.get(opening_at(spot) or "", 0)
    ):
        return False
    on_board = spot.receptacle.on_board and spot.form != "mounting-place"
    nowhere = on_board and spot.receptacle.spec.row is None
    some = [getattr(cage, size) for cage in chassis.room_at] if nowhere else []
    return None in rooms or any(mm is not None and mm < have for mm in some)


def rooms_in_line(spot: Spot, size: str, spec: PartSpec) -> list[float | None]:
    """What the chassis has for a board's card behind each opening that the card covers."""
    chassis, slot, rows = spot.machine.chassis, spot.receptacle.spec, spot.machine.board.rows
    if chassis is None or not spot.receptacle.on_board or spot.form == "mounting-place":
        return []
    usual = getattr(chassis, f"card_{size}")
    rooms = []
    for step in range(spec.thickness or 1):
        here = usual
        for cage in chassis.room_at:
            if rows and slot.row == rows[0].id and slot.position + step in cage.at:
                mm = getattr(cage, size)
                here = usual if mm is None else mm
        rooms.append(here)
    return rooms


def height_mm(spec: PartSpec) -> float | None:
    """A card that has a low bracket is a low-profile card."""
    low = spec.height_mm is None and spec.bracket in ("low", "both")
    return LOW_PROFILE_HEIGHT_MM if low else spec.height_mm


def known_room(spot: Spot, size: str, spec: PartSpec) -> float | None:
    """The receptacle's room, and the chassis' for slots of the board itself."""
    said = [getattr(spot.receptacle.spec, size), *rooms_in_line(spot, size, spec)]
    return min((mm for mm in said if mm is not None), default=None)


def opening_at(spot: Spot) -> str | None:
    chassis = spot.machine.chassis
    said = chassis.bracket if chassis and spot.receptacle.on_board else None
    return spot.receptacle.spec.bracket or said


def bracket(part: Part, spot: Spot) -> Iterator[Word]:
    """A bracket fits an opening of its own height."""
    spec, receptacle, opening = part.spec, spot.receptacle, opening_at(spot)
    if spec.plug.form not in ("cem", "opening") or spec.bracket in ("both", "none"):
        return
    have = part.wish.bracket or spec.bracket  # what is on it now is seen by whoever says so
    if opening is None:
        if receptacle.spec.row and (spot.machine.chassis or not receptacle.on_board):
            whose = spot.machine.id if receptacle.on_board else receptacle.id
            yield ("openings", whose, have or spec.id)
    elif have is None and opening != "none":
        yield ("bracket", spec.id, opening)
    elif opening not in ("none", have):
        yield "bracket"


def m2_length(part: Part, spot: Spot) -> Iterator[Word]:
    """An M.2 module is screwed to a stand-off at its end."""
    if not spot.form.startswith("m2-"):
        return
    length, lengths = part.spec.length_mm, spot.receptacle.spec.drive_lengths
    if length is None or lengths is None:
        what = part.spec.id if length is None else length
        yield ("stand-off", spot.receptacle.id, what)
    elif round(length) not in lengths:
        yield "stand-off"


def cable(part: Part, spot: Spot) -> Iterator[Word]:
    """A cable reaches where its drives sit; what hangs on it needs a bay."""
    spec, run = part.spec, spot.receptacle.spec.run_mm
    if spec.reach_mm is None:
        if spec.part_class == "cable":
            yield ("cable", spec.id, spot.receptacle.id if run is None else run)
    elif run is None:
        yield ("run", spot.receptacle.id, spec.reach_mm)
    elif spec.reach_mm < run:
        yield "cable"
    chassis = spot.machine.chassis
    if chassis and chassis.bays is None and spec.bay and spot.on_cable and not spot.in_cage:
        yield ("bays", spot.machine.id, spec.bay)


def mating(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A connector has two halves: one dangles from a cable, the other is screwed down."""
    spec, here = part.spec, spot.receptacle.spec
    on = parts[spot.owners[0]].spec if spot.owners else None
    mine: str = spec.plug.gender or "plug"
    theirs: str = here.gender or "socket"
    if spot.form in (*CABLED, "sata"):
        dangling, solid = ("plug", "socket") if spot.form in CABLED else ("socket", "plug")
        words = {True: dangling, False: solid, None: ""}
        stuck = part.companion_of is not None or spot.form == "sata"
        mine = spec.plug.gender or words[dangles(spec, False if stuck else None)]
        theirs = here.gender or words[ends_dangle(on) if on else False]
    if spot.form == "sata" and mine == "plug":
        return  # at worst a plain cable lies between
    if not mine:
        yield ("plug or socket", spec.id)
    elif not theirs:
        yield ("plug or socket", spot.receptacle.id)
    elif mine == theirs:
        yield "ends alike"


def dangles(spec: PartSpec, otherwise: bool | None) -> bool | None:
    """Whether the part goes in by a cable that it has."""
    if spec.part_class == "cable" or spec.reach_mm is not None:
        return True
    has_housing = (
        spec.part_class in ("backplane", "port-multiplier", "sas-expander")
        or spec.wiring != "passive"
    )
    return False if has_housing else otherwise


def ends_dangle(spec: PartSpec) -> bool | None:
    """Whether what a part carries on is at the end of its wires; None where it could be a cable."""
    if spec.wiring != "passive" or spec.part_class not in ("cable", "other"):
        return False
    return True if spec.part_class == "cable" or spec.reach_mm is not None else None


def lanes(part: Part, spot: Spot) -> Iterator[Word]:
    """Links that train, as many and as wide as they must be; the division behind them."""
    if not part.spec.links:
        return
    if spot.absent:
        yield "processor absent"
        return
    if spot.processor is None and spot.contacts and has_empty_socket(spot.machine):
        yield ("processor fitted", spot.root.id)
    widths = spot.lanes_of(part)
    ends_here = any(w and not link.to for w, link in zip(widths, part.spec.links, strict=True))
    if spot.processor is None and spot.machine.board.hubs and ends_here:
        yield ("shared link", spot.root.id)
    if not any(widths):
        yield "no lanes"
    elif min(w for w in widths if w) < max(part.spec.min_lanes or 0, part.wish.min_lanes or 0):
        yield "too narrow"
    wanted = part.wish.endpoints
    if wanted is not None and any(widths) and alive(part, widths) < wanted:
        yield "too few endpoints"
    yield from unsure_widths(part, spot, widths)
    yield from division(part, spot)


def has_empty_socket(machine: Machine) -> bool:
    """Whether not every processor of the board is fitted."""
    return any(processor.id not in fitted(machine) for processor in machine.board.processors)


def unsure_widths(part: Part, spot: Spot, widths: list[int]) -> Iterator[Word]:
    """Links that the standard lets fall back to one lane."""
    for link, width in zip(part.spec.links, widths, strict=True):
        if width > 1 and not is_sure(
            link, piece_at(link, spot.contacts, spot.form), part.spec.plug.form
        ):
            yield ("width", part.spec.id, spot.receptacle.id, width)


def alive(part: Part, widths: list[int]) -> int:
    """Endpoints to be seen: behind a switch or controller, all its sockets."""
    sockets = [
        r for r in part.spec.receptacles if r.form not in ("cooling-mount", "fan-header", "opening")
    ]
    if part.spec.wiring != "passive" and sockets:
        return len(sockets)
    return sum(width > 0 for width in widths)


def division(part: Part, spot: Spot) -> Iterator[Word]:
    """How the lanes are divided, as far as the part that sits on the board cares."""
    if spot.owners or spot.way is None or spot.group is None:
        return
    name = f"{spot.machine.id}/{spot.group.id}"
    if spot.way.proof == "refuted":
        yield "refuted"
    yield from as_fitted(spot, spot.group, spot.way)
    if spot.way.proof in (None, "menu-only"):
        yield ("division", name, spot.way.id)
    if spot.way.order == "unknown" and spot.contacts:
        given = spot.way.gives[spot.receptacle.spec.id][::-1]
        turned = laid_out("turned", spot.group.bus, given, spot.form)
        links = part.spec.links
        here = [shape(link, spot.contacts, spot.form) for link in links]
        if here != [shape(link, turned, spot.form) for link in links]:
            yield ("order", name, spot.way.id)


def as_fitted(spot: Spot, group: LaneGroup, way: Arrangement) -> Iterator[Word]:
    """A division may need another processor than is fitted, or newer firmware."""
    if way not in group.arrangements:
        yield "not there with what is fitted"
        return
    needed = way.needs.firmware if way.needs and not spot.absent else None
    if needed and spot.machine.entry.firmware is None:
        yield ("firmware", spot.machine.id, needed)


def speeds(part: Part, spot: Spot) -> Iterator[Word]:
    """Generations: too low, or not known."""
    spec = part.spec
    links = [
        link
        for link, width in zip(spec.links, spot.lanes_of(part), strict=True)
        if width and link.bus == "pcie"
    ]
    if spot.absent or not links:
        return
    known = [g for link in links if (g := generation_of(part, link, spot))]
    least = max(spec.min_generation or 0, part.wish.min_generation or 0)
    if known and min(known) < least:
        yield "too slow"
    elif least > 1:
        if spot.generation is None:
            yield ("generation", spot.receptacle.id, least)
        if any((k.generation or spec.generation) is None for k in links if not k.to):
            yield ("part's generation", spec.id, least)
    yield from ends(part, spot, [link for link in links if not link.to])
    newest = FORMS[spot.form].max_generation
    if newest is not None and known and max(known) > newest:
        yield ("form's generation", spot.receptacle.id, max(known))


def ends(part: Part, spot: Spot, links: list[Link]) -> Iterator[Word]:
    """Links that end in the part itself: someone must say how fast both ends are."""
    if not links:
        return
    if spot.generation is None:
        fastest = max(generation_of(part, link, spot) or 0 for link in links)
        yield ("generation", spot.source, fastest)
    elif any((link.generation or part.spec.generation) is None for link in links):
        yield ("part's generation", part.spec.id, spot.generation)


def wires(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """
    What copper on the way does to a link that ends in the part.

    From generation 4 on, copper of unknown quality is a doubt, and so are several pieces in a row.
    Copper slower than what the two ends settle on makes the link err, unless someone slows it down.
    """
    mine = [
        link
        for link, width in zip(part.spec.links, spot.lanes_of(part), strict=True)
        if width and link.bus == "pcie" and not link.to
    ]
    fast = max((generation_of(part, link, spot) or 0 for link in mine), default=0)
    if fast >= 4:
        yield from (("wires", parts[name].spec.id, fast) for name in spot.nobody_rated)
    yield from row_of_wires(part, spot, parts)
    ends = [
        min(known)
        for link in mine
        if (known := [g for g in (link.generation or part.spec.generation, spot.generation) if g])
    ]
    if spot.at_most is None or max(ends, default=0) <= spot.at_most:
        return
    root = spot.root.spec
    switched = spot.source != spot.root.id
    menu = root.speed_setting if isinstance(root, BoardReceptacle) and not switched else None
    if menu is False:
        yield "wires too slow"
    elif menu is None:
        yield ("held", spot.source, spot.at_most)


def row_of_wires(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """Copper before the next chip: its losses, or at least that it is more than one piece."""
    fast = max(
        (
            generation_of(part, link, spot) or 0
            for link, width in zip(part.spec.links, spot.lanes_of(part), strict=True)
            if width and link.bus == "pcie" and (part.spec.retimer or not link.to)
        ),
        default=0,
    )
    if fast < 4 or not spot.copper:
        return
    losses = losses_on_the_way(part, spot, parts, fast)
    if fast in MOST_DB and any(loss is not None for _, loss in losses):
        quiet = tuple(name for name, loss in losses if loss is None)
        if quiet:
            said = sum(loss for _, loss in losses if loss is not None)
            yield ("loss", quiet, round(MOST_DB[fast] - said, 1), fast)
    elif len(spot.copper) > 1:
        yield ("row of wires", *(parts[name].spec.id for name in spot.copper), fast)


MOST_DB = {4: 28, 5: 36}
"""Loss budgets from chip to chip, at 8 GHz and at 16 GHz, as quoted."""


def losses_on_the_way(
    part: Part, spot: Spot, parts: Mapping[str, Part], generation: int
) -> list[tuple[str, float | None]]:
    """Every piece between the two chips, this part's own wires included: dB, if anyone says."""
    pieces: list[tuple[str, PartSpec | ReceptacleSpec]] = [(part.spec.id, part.spec)]
    pieces += [(parts[name].spec.id, parts[name].spec) for name in spot.copper]
    if not any(parts[name].spec.retimer for name in spot.copper):
        switch = parts.get(spot.source)
        pieces.append((spot.source, switch.spec if switch else spot.root.spec))
    return [
        (name, getattr(one.loss_db, f"gen{generation}", None) if one.loss_db else None)
        for name, one in pieces
    ]


def drowned(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Spot:
    """The place with the rate at which enough of the signal is left, as far as losses are said."""
    if not part.spec.retimer and all(one.to or one.bus != "pcie" for one in part.spec.links):
        return spot
    for generation, most in sorted(MOST_DB.items()):
        losses = losses_on_the_way(part, spot, parts, generation)
        if sum(loss for _, loss in losses if loss is not None) > most:
            limit = generation - 1
            return replace(spot, at_most=min(limit, spot.at_most or limit))
    return spot


def sidebands(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """Reset and clock of a 2.5-inch drive reach it only by a cable made for the header."""
    spec = part.spec
    family = spec.plug.form.partition("-")[0]
    is_cable = spec.part_class == "cable"
    to_drive = is_cable and any(one.form in ("u2", "u3", "u2-u3") for one in spec.receptacles)
    if family not in ("slimsas", "mcio", "oculink") or spec.plug.form == "mcio-16" or not to_drive:
        return
    host = parts[spot.owners[0]].spec.id if spot.owners else spot.machine.board.id
    if spec.wired_for is None or host.split(":")[0] not in spec.wired_for:
        yield ("sidebands", spec.id, host)


def storage_wires(part: Part, spot: Spot) -> Iterator[Word]:
    """Breakouts have a direction; a multiplier needs a port that knows it."""
    spec = part.spec
    ends = {one.form for one in spec.receptacles}
    if spec.part_class == "cable" and (
        (spec.plug.form in CABLED and "sata" in ends)
        or (spec.plug.form == "sata" and ends & set(CABLED))
    ):
        used = "reverse" if spec.plug.form == "sata" else "forward"
        if spec.direction is None:
            yield ("direction", spec.id, used)
        elif spec.direction != used:
            yield "turned round"
    if spec.part_class == "port-multiplier":
        if spot.receptacle.spec.port_multiplier is None:
            yield ("multiplier", spot.receptacle.id)
        elif not spot.receptacle.spec.port_multiplier:
            yield "multiplier"


def behind_arrays(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A guest's drives on a SAS adapter are its own to see only where the firmware is plain."""
    above = [parts[name] for name in spot.shared if name in parts]
    adapter = next((one for one in above if one.spec.wiring == "controller"), None)
    if adapter is None or part.spec.part_class != "drive":
        return
    buses = {one.bus for one in adapter.spec.receptacles}
    sas = adapter.spec.part_class == "host-bus-adapter" and "sas" in buses
    can = adapter.spec.modes or (("plain", "raid") if sas else ("plain",))
    guest = owner_of(part) or owner_of(adapter)
    if guest is None or "raid" not in can or adapter.wish.mode == "plain":
        return
    if adapter.wish.mode == "raid" or can == ("raid",):
        yield ("arrays", adapter.id, guest)
    else:
        yield ("mode", adapter.id, guest)


FAMILY = {
    "sfp": "S", "sfp-plus": "S", "sfp28": "S", "qsfp-plus": "Q", "qsfp28": "Q", "qsfp56": "Q",
}  # fmt: skip
"""Modules of one family have one shape (SFF-8432; SFF-8436 and SFF-8665, from memory)."""


def network(part: Part) -> Iterator[Word]:
    """What is plugged into a card's network ports, wherever the card sits."""
    ends = part.wish.ends
    for port, plugged in ends.items():
        cage = part.spec.port[port].cage if port in part.spec.port else None
        yield from pushed_in(part, port, cage)
        if plugged.by is None and cage != "rj45":
            yield ("which module", part.id, port)
        if plugged.by is not None and not (
            plugged.by.power and plugged.by.power.slot_w is not None
        ):
            yield ("module watts", plugged.by.id)
        reach = 100 if cage == "rj45" else None
        if plugged.by is not None:
            reach = plugged.by.reach_m
        if plugged.run_m and reach is not None and plugged.run_m > reach:
            yield "out of reach"
        elif plugged.run_m and reach is None and plugged.by is not None:
            yield ("reach", plugged.by.id, plugged.run_m)


def two_speeds(part: Part, outside: Mapping[str, float | None]) -> Iterator[Word]:
    """Two ports on one clock cannot serve two ends that run at two rates."""
    plugged = list(part.wish.ends.items())
    for place, (one, first) in enumerate(plugged):
        for other, second in plugged[place + 1 :]:
            mates = {port.id: port.shares_speed_with for port in part.spec.port.values()}
            said = [(mates.get(one), other), (mates.get(other), one)]
            yes = any(mate in (names or ()) for names, mate in said)
            no = not yes and any(names is not None for names, _ in said)
            rates = {outside.get(first.to), outside.get(second.to)}
            known = None not in rates
            if not no and ((known and len(rates) > 1) or (yes and not known)):
                yield ("speeds", part.id, one, other)


def both_ends(part: Part, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A cable between two parts: one rate and one medium, or nobody knows."""
    for port, plugged in part.wish.ends.items():
        other, _, far = plugged.to.partition("/")
        if other not in parts or not far:
            continue
        mate = parts[other]
        ends = (socket_of(part, port), socket_of(mate, far))
        words = {complaint(*ends)} - {""}
        ids = tuple(sorted((f"{part.id}/{port}", f"{other}/{far}")))
        if words and mate.wish.required:
            yield "ends at odds"
        elif words or not is_told(*ends):
            yield ("ends agree", *ids)


Socketed = tuple[str | None, set[float] | None, str | None, PartSpec | None]
"""Cage, rates, medium, and what is in it."""


def socket_of(part: Part, port: str) -> Socketed:
    told, end = part.spec.port.get(port), part.wish.ends.get(port)
    module = end.by if end else None
    rates = [set(one.gb_s) for one in (told, module) if one is not None and one.gb_s is not None]
    cage = told.cage if told else None
    wires = "twisted-pair" if cage == "rj45" else None
    common = set.intersection(*rates) if rates else None
    return cage, common, module.medium if module else wires, module


def complaint(mine: Socketed, theirs: Socketed) -> str:
    """What cannot be."""
    if mine[1] and theirs[1] and mine[1].isdisjoint(theirs[1]):
        return "rate"
    media = {mine[2], theirs[2]} - {None}
    one_cable = "twinax" in media and (mine[3] is None or theirs[3] is None)
    if len(media) == 2 and not one_cable:
        return "medium"
    cage = theirs[0]
    if mine[2] == "twinax" and mine[3] and cage:
        plug = mine[3].plug.form
        if FAMILY.get(plug, plug) != FAMILY.get(cage, cage):
            return "plug"
    return ""


def is_told(mine: Socketed, theirs: Socketed) -> bool:
    """Whether rate and medium follow from what is said."""
    rates = (mine[0] == theirs[0] is not None) or (mine[1] is not None and theirs[1] is not None)
    if "twinax" in (mine[2], theirs[2]):
        return rates and None not in (mine[0], theirs[0])
    same = mine[3] is not None and theirs[3] is not None and mine[3].id == theirs[3].id
    return rates and (same or (mine[2] is not None and theirs[2] is not None))


def pushed_in(part: Part, port: str, cage: str | None) -> Iterator[Word]:
    """A module of another family does not go in, one of another speed may not run."""
    module = part.wish.ends[port].by
    if module is None:
        return
    if cage is None:
        yield ("cage", part.spec.id, port, module.id)
    elif FAMILY.get(cage, cage) != FAMILY.get(module.plug.form, module.plug.form):
        yield "module refused"
    elif module.gb_s and part.spec.port[port].gb_s:
        if not set(module.gb_s).intersection(part.spec.port[port].gb_s or ()):
            yield "module refused"
    elif cage != module.plug.form:
        yield ("common rate", part.spec.id, port, module.id)


def contact_three(part: Part, spot: Spot) -> Iterator[Word]:
    """3.3 V there tell a drive that knows power disable to stay off."""
    spec, supply = part.spec, spot.machine.power_supply
    if spec.part_class != "drive" or spec.plug.form not in ("sata", "sas"):
        return
    live, feeder = spot.receptacle.spec.carries_3v3, spot.receptacle.id
    if live is None and supply is not None:
        live, feeder = supply.carries_3v3, supply.id
    match spec.power_disable, live:
        case True, True:
            yield "held off"
        case True, None:
            yield ("3.3 V", feeder, spec.id)
        case None, True:
            yield ("power disable", spec.id, feeder)


def guests(part: Part, spot: Spot) -> Iterator[Word]:
    """A guest takes a whole isolation group; someone must have said which it is."""
    kept = part.id in (spot.machine.entry.keeps or ()) and on_own_port(part, spot)
    if not answers_on_the_bus(part) and not kept:
        return
    if is_handed_over(part):
        if spot.isolation is None:
            yield ("isolation", spot.root.id)
        yield from (("isolator", name) for name in spot.isolators)
        yield from with_devices(part, spot)
    elif spot.isolation is None and any(one.isolation for one in spot.machine.board.receptacles):
        # A guest's group that is known may reach into a slot of which nobody has said anything.
        yield ("isolation beside guests", spot.root.id)
    if owner_of(part) is not None and answers_on_the_bus(part):
        yield from host_left(part, spot)
    if is_shared(part) and answers_on_the_bus(part):
        yield from shares(part, spot)


def with_devices(part: Part, spot: Spot) -> Iterator[Word]:
    """A port keeps nothing apart if its slot shares a group with what is soldered on."""
    root, machine = spot.root.spec, spot.machine
    word = root.isolation if isinstance(root, BoardReceptacle) else None
    if machine.board.devices is None and spot.isolation is not None:
        below = spot.isolation != f"{machine.id}/{word}"
        if below or (is_shared(part) and spot.alone):
            yield ("isolation", spot.root.id)


def host_left(part: Part, spot: Spot) -> Iterator[Word]:
    """What the host runs from, and what it shows itself on, must not go along."""
    root, machine = spot.root.spec, spot.machine
    group = root.isolation if isinstance(root, BoardReceptacle) else None
    whole = group is not None and spot.isolation == f"{machine.id}/{group}"
    soldered = machine.board.devices
    if machine.entry.keeps is None:
        drives = part.spec.part_class in ("drive", "host-bus-adapter", "accelerator")
        unsure = soldered is None or {one.isolation for one in soldered} & {None, group}
        if drives or (whole and unsure):
            yield ("host keeps", machine.id)
        return
    for one in soldered or ():
        if whole and one.id in machine.entry.keeps:
            if one.isolation is None:
                yield ("device", machine.id, one.id, group)
            elif one.isolation == group:
                yield "host loses device"


def shares(part: Part, spot: Spot) -> Iterator[Word]:
    """Several guests have one part."""
    many, how, spec = len(everyone(part)), part.wish.shared_by, part.spec
    if how is None:
        yield ("how shared", part.id)
    if how == "virtual-functions":
        if spec.virtual_functions is None:
            yield ("virtual", spec.id, many)
        if many > 1 and spot.isolation and not spot.alone:
            yield "not shared so"
    able = {"virtual-functions": (spec.virtual_functions or many) >= many}
    able["virtual-functions"] &= spec.virtual_functions != 0
    able["mediated"] = spec.mediated is not False
    if not able.get(how or "", True):
        yield "not shared so"
    if how == "mediated" and spec.mediated is None:
        yield ("mediated", spec.id)


def everyone(part: Part) -> set[str]:
    """Guests with anything of the part."""
    named = part.wish.guest
    return set() if named is None else {named} if isinstance(named, str) else set(named)


def is_shared(part: Part) -> bool:
    return len(everyone(part)) > 1 or bool(everyone(part) and part.wish.shared_by)


def owner_of(part: Part) -> str | None:
    """Who has the whole part; None is the host."""
    return next(iter(everyone(part)), None) if not is_shared(part) else None


def is_handed_over(part: Part) -> bool:
    return bool(owner_of(part) or (is_shared(part) and part.wish.shared_by == "virtual-functions"))


def on_own_port(part: Part, spot: Spot) -> bool:
    """A SATA or SAS drive whose controller is on the board, not on another part."""
    drive = any(link.bus in ("sata", "sas") and not link.to for link in part.spec.links)
    return drive and not any("/" not in link for link in spot.shared)


def answers_on_the_bus(part: Part) -> bool:
    own = any(link.bus == "pcie" and not link.to for link in part.spec.links)
    return own and part.spec.wiring != "switch"


def power(part: Part, spot: Spot) -> Iterator[Word]:
    """What the receptacle supplies; what the machine's supply must carry."""
    spec, limit = part.spec, spot.receptacle.spec.power_w
    draw = spec.power.slot_w if spec.power else None
    if draw and spot.form not in ("cooling-mount", "mounting-place"):
        if limit is not None:
            if draw > limit:
                yield "slot power"
        elif draw > promised(spec, spot):
            yield ("slot power", spot.receptacle.id, draw)
    yield from dead_slot(part, spot)
    yield from supply_unknown(part, spot)


def dead_slot(part: Part, spot: Spot) -> Iterator[Word]:
    """A slot of a processor that is absent may have power, for parts that need no lanes."""
    here = spot.receptacle.spec
    if part.spec.links or part.spec.plug.form in ("opening", "fan-header"):
        return
    if not isinstance(here, BoardReceptacle):
        return
    if spot.processor is None:
        if has_empty_socket(spot.machine) and here.powered_without_processor is not True:
            yield ("powered by the processors fitted", spot.receptacle.id)
    elif spot.absent:
        if here.powered_without_processor is None:
            yield ("powered", spot.receptacle.id, spot.processor)
        elif not here.powered_without_processor:
            yield "slot unpowered"


def promised(spec: PartSpec, spot: Spot) -> float:
    """What the standard promises this part."""
    if spot.form != "cem":
        return promised_w(spot.form)
    width = min(spec.plug.width or 1, spot.receptacle.spec.width or 1)
    graphics = bool(spec.power and spec.power.graphics)
    return slot_power_limit_w(width, spec.bracket in ("low", "both"), graphics)


def all_over_one(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A full carrier or riser may want more of its slot than any slot promises."""
    if spot.root.spec.power_w is not None or spot.on_cable or not spot.owners:
        return
    below = [parts[name].spec for name in spot.owners]
    own = part.spec.power.slot_w if part.spec.power else 0
    if not own or spot.form == "cooling-mount" or any(p.power and p.power.aux for p in below):
        return
    inner, outer = below[0], below[-1]
    total = own * sum(one.form == spot.form for one in inner.receptacles)
    total += sum(p.power.slot_w or 0 for p in below if p.power)
    if spot.root.spec.form == "cem":
        width = min(outer.plug.width or 1, spot.root.spec.width or 1)
        drawn = [p.power for p in (part.spec, outer) if p.power]
        low = outer.bracket in ("low", "both")
        least = slot_power_limit_w(width, low, any(one.graphics for one in drawn))
    else:
        least = promised_w(spot.root.spec.form)
    if total > least:
        yield ("power for all", spot.root.id)


def passes_on(spec: PartSpec) -> bool:
    """A riser or carrier: power only goes through it. A card with a place for a fan is none."""
    return spec.wiring == "passive" and any(o.form != "cooling-mount" for o in spec.receptacles)


def is_plugged(spec: PartSpec) -> bool:
    """Whether the supply feeds it, or (a cable's end) somebody else, rather than what is below."""
    return bool(spec.power and spec.power.aux) or spec.part_class == "cable"


TWELVE = ("u2", "u3", "e1s", "e1l", "e3s", "e3l")
"""Drives that run on 12 V; a card may run on 3.3 V alone."""


def takes_12v(spec: PartSpec) -> bool | None:
    """Whether a part needs 12 V from where it sits; None if nobody has said."""
    if spec.power and spec.power.rails is not None:
        return "12v" in spec.power.rails
    if (spec.power and spec.power.slot_w == 0) or passes_on(spec):
        return False
    return None if spec.plug.form == "cem" else spec.plug.form in TWELVE


def twelve_volts(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """M.2 sockets have no 12 V: it must come from a plug or a converter on the way."""
    takes = takes_12v(part.spec)
    if takes is False:
        return
    way: list[PartSpec] = []
    for name in spot.owners:
        way.append(parts[name].spec)
        if is_plugged(way[-1]) or "12v" in (way[-1].makes_rails or ()):
            return
        if way[-1].plug.form.startswith("m2-"):
            break
    else:
        return  # down to a card slot, which has 12 V
    silent = [spec.id for spec in way if spec.makes_rails is None]
    if silent:
        yield ("makes 12 V", silent[-1])
    elif takes is None:
        yield ("needs no 12 V", part.spec.id)
    else:
        yield "no 12 V"


def three_volts(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A carrier that may lack a converter has the slot's 3 A at 3.3 V for all of its M.2 drives."""
    own = part.spec.power.slot_w if part.spec.power else None
    for carrier, silent in carriers_at_3v3(part, spot, parts):
        if own and silent and own + beside(part, carrier, parts) > 9.9:
            yield ("makes 3.3 V", carrier.spec.id)


def carriers_at_3v3(
    part: Part, spot: Spot, parts: Mapping[str, Part]
) -> Iterator[tuple[Part, bool]]:
    """Cards below whose M.2 sockets feed the part, and whether nobody has said how."""
    above = part
    for name in spot.owners:
        below = parts[name]
        if is_plugged(below.spec):
            return
        makes_it = "3.3v" in (below.spec.makes_rails or ())
        on_m2 = above.spec.plug.form.startswith("m2-")
        if on_m2 and below.spec.plug.form == "cem" and not makes_it:
            yield below, below.spec.makes_rails is None
        above = below


def beside(part: Part, carrier: Part, parts: Mapping[str, Part]) -> float:
    """What others may draw over the same carrier at the same time, in watts."""
    sockets = [one for one in carrier.spec.receptacles if one.form.startswith("m2-")]
    rest = [one for one in parts.values() if one is not part and one is not carrier]
    fitting = [
        one
        for one in (*rest, part)
        if any(plug_fits(one.spec.plug.form, socket.form) for socket in sockets)
    ]
    flat = part in fitting and not any(one.spec.receptacles for one in fitting)
    wanted = [one for one in rest if not flat or one in fitting]
    draws = sorted((one.spec.power.slot_w or 0 for one in wanted if one.spec.power), reverse=True)
    return sum(draws[: len(sockets) - 1] if flat else draws)


def supply_unknown(part: Part, spot: Spot) -> Iterator[Word]:
    """A supply, but no figure to hold against it."""
    spec, machine, supply = part.spec, spot.machine.entry, spot.machine.power_supply
    wires_only = passes_on(spec) or (spec.wiring == "passive" and spec.part_class == "cable")
    slot_said = spec.power is not None and spec.power.slot_w is not None
    plugs_said = not (spec.power and spec.power.aux and spec.power.aux_w is None)
    limits = (
        []
        if slot_said or spot.form == "cooling-mount"
        else [one for one in spot.limits if may_outdraw(spec, one, spot)]
    )
    if spot.plugged_at and not slot_said and spot.form != "cooling-mount":
        limits.append(f"plugs of {spot.plugged_at}")
    if not wires_only and not (slot_said and plugs_said) and (supply or limits):
        counted = supply is not None and not was_measured(part, spot)
        if counted or limits:
            yield ("draw", spec.id, machine.id if counted else "", *limits)
    measured = machine.measured is not None and machine.measured.load_w is not None
    if supply and machine.base_w is None and not measured and draw_w(spec):
        yield ("base load", machine.id)


def was_measured(part: Part, spot: Spot) -> bool:
    """Whether what it draws is in what a meter showed."""
    measured = spot.machine.entry.measured
    return measured is not None and measured.load_w is not None and part.id in spot.machine.inside


def may_outdraw(spec: PartSpec, limit: str, spot: Spot) -> bool:
    """Whether a part of unknown draw may want more than a receptacle below it supplies."""
    if limit != spot.receptacle.id or spec.plug.form != "cem":
        return True
    low = spec.bracket in ("low", "both")
    return (spot.receptacle.spec.power_w or 0) < slot_power_limit_w(
        spec.plug.width or 16, low, graphics=True
    )


def plugs(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """Plugs of the supply that nobody has counted or rated."""
    need, supply = part.spec.power, spot.machine.power_supply
    if need is None or supply is None:
        return
    if supply.plugs is None:
        yield from (("plugs", spot.machine.id, plug) for plug in need.aux)
    if "12v-2x6" in need.aux and (supply.plugs is None or supply.plugs.get("12v-2x6")):
        most = max(SENSE_RATINGS_W)
        each = through_each(need, "12v-2x6")
        rating = min((r for r in SENSE_RATINGS_W if r >= each), default=most)
        yield ("rating", spot.machine.id, rating)
    yield from leads(part, spot, parts)


def plug_room(part: Part, spot: Spot) -> Iterator[Word]:
    """A plug stands 35 mm out of a card's end or top, unless somebody has said otherwise."""
    spec, need = part.spec, part.spec.power
    card = spec.plug.form == "cem" and spec.part_class not in ("riser", "cable")
    if not card or need is None or not need.aux:
        return
    out = 35 if need.plug_mm is None else need.plug_mm
    short = []
    for edge, size in (("end", "length_mm"), ("top", "height_mm")):
        room, have = known_room(spot, size, spec), getattr(spec, size)
        here = need.plug_at in (edge, None)
        if here and None not in (room, have) and have <= room < have + out:
            short.append(edge)
    if short:
        asked = "length" if need.plug_at else "edge"
        yield ("plug room", spot.receptacle.id, spec.id, asked, *short, out)


def through_each(need: Power, socket: str) -> float:
    """Watts through one socket of a kind; all it can have where nobody has said."""
    if need.aux_w is None:
        return 600 if socket == "12v-2x6" else 300
    others = sum(PLUGS[plug].power_w for plug in need.aux if plug != socket)
    return max(need.aux_w - others, 0) / sum(plug == socket for plug in need.aux)


def tails(need: Power, socket: str) -> int | None:
    """8-contact plugs that a lead to a socket takes; None if no lead is made that carries so much.

    One tail more for each 150 W, two at least; 12v-2x6 up to four, EPS two.
    """
    if socket not in ("12v-2x6", "eps-8"):
        return None
    count = max(2, -int(-through_each(need, socket) // 150))
    return count if count <= (4 if socket == "12v-2x6" else 2) else None


def leads(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """A lead that has to be there if the supply's own plugs do not do for the whole build."""
    need, supply = part.spec.power, spot.machine.power_supply
    if need is None or supply is None or supply.plugs is None:
        return
    for socket in dict.fromkeys(need.aux):
        powers = [one.spec.power for one in parts.values() if one.spec.power]
        wanted = sum(one == socket for power in powers for one in power.aux)
        count = tails(need, socket)
        if count and wanted > supply.plugs.get(socket, 0):
            yield ("lead", part.id, spot.machine.id, socket, count)


def fits_socket(plug: str, socket: str) -> bool:
    """Whether a supply's plug goes into a card's socket and carries all that it may draw."""
    return any(
        (row.plug, row.socket) == (plug, socket) and row.power_w >= PLUGS[socket].power_w
        for row in MATINGS
    )


def air(part: Part, spot: Spot) -> Iterator[Word]:
    """Air over a passive part, where it is not known; where it is, see the whole plan."""
    spec, lfm = part.spec, spot.air_for(part)
    is_warm, is_drive = draw_w(spec) > WARM_W, spec.part_class == "drive"
    if spec.cooling is None and spec.plug.form == "cem" and (is_warm or spec.airflow_lfm):
        yield ("cooling", spot.receptacle.id, spec.id)
    passes = spec.wiring == "passive" and any(
        one.form != "cooling-mount" for one in spec.receptacles
    )
    may_be_warm = is_warm or (spec.power is None and not passes and spec.part_class != "cable")
    if spec.cooling == "passive" and spec.airflow_lfm is None and may_be_warm:
        if lfm == 0:  # nothing carries the heat away
            yield ("still", spot.receptacle.id, spec.id)
        if not is_drive:  # of drives, makers speak where it matters
            yield ("air need", spot.receptacle.id, spec.id)
    if needed := asks_lfm(spec):
        if lfm is None:
            where = "bays" if spot.in_bay(part) else "air"
            yield (where, spot.machine.id if where == "bays" else spot.receptacle.id, needed)
        yield from heat(part, spot, needed)


def asks_lfm(spec: PartSpec) -> float:
    """Air that the maker of a part without a fan asks for; 0: none, or nobody has said."""
    of_a_drive = spec.cooling is None and spec.part_class == "drive"
    return (spec.airflow_lfm or 0) * (spec.cooling == "passive" or of_a_drive)


def heat(part: Part, spot: Spot, needed: float) -> Iterator[Word]:
    """What a maker's figure was not taken for: warmer air, and modules beside the card's chips."""
    spec, warmest = part.spec, spot.machine.entry.inlet_c
    holds_to = spec.airflow_at_c
    if warmest is None:
        if holds_to is not None and holds_to < EXPECTED_C:
            yield ("inlet", spot.machine.id, holds_to)
    elif holds_to is None or warmest > holds_to:
        yield ("warm", spec.id, spot.machine.id, warmest)
    modules = part.wish.modules_w or 0
    nothing = 0.5  # passive copper cables (common practice, no source)
    if modules > (nothing if spec.modules_w is None else spec.modules_w):
        yield ("modules", spec.id, needed, modules)


def mover(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """An air mover is made for some mounts, and blows so hard, as far as anyone has said."""
    here = spot.receptacle.spec
    if spot.form != "cooling-mount" or not isinstance(here, PartReceptacle):
        return
    card, spec = parts[spot.owners[0]].spec, part.spec
    if None in (here.mount, spec.mounts):
        yield ("mount", spec.id, card.id)
    elif here.mount not in (spec.mounts or ()):
        yield "mount"
    warm = card.cooling == "passive" and card.airflow_lfm is None and draw_w(card) > WARM_W
    needed = asks_lfm(card) or (1 if warm else 0)
    if spec.gives_airflow_lfm is None and needed:
        lfm = replace(spot, receptacle=spot.root).air_lfm()
        if len(spot.owners) > 1 or (lfm is not None and lfm < needed):
            yield ("mover", spec.id, card.id)


def fan(part: Part, spot: Spot) -> Iterator[Word]:
    """A fan's plug in its header, and how slowly it may turn there."""
    if spot.form != "fan-header":
        return
    here, there = part.spec.pins, spot.receptacle.spec.pins
    both = {here, there}
    if None in both:
        yield ("fan plug", part.spec.id, spot.receptacle.id)
    elif both == {3, 4}:
        yield ("governed", part.spec.id, spot.receptacle.id)
    elif len(both) == 2:
        yield "fan plug"
    floor = spot.machine.board.lowest_fan_rpm
    if part.spec.part_class != "fan" or floor == 0:
        return
    if floor is None:
        yield ("lowest fan", spot.machine.board.id)
    elif (part.spec.min_rpm or 0) < floor:
        yield ("slow fan", part.spec.id, spot.machine.board.id, floor)


def home(part: Part, spot: Spot, parts: Mapping[str, Part]) -> Iterator[Word]:
    """The board in its chassis; a part does not hang on itself, not even by way of cables."""
    size, chassis = spot.machine.board.size, spot.machine.chassis
    if chassis and spot.receptacle.on_board:
        if chassis.sizes is not None and size and size not in chassis.sizes:
            yield "board size"
        elif chassis.sizes is None or size in (None, "proprietary"):
            yield ("board size", spot.machine.id)
    if spot.receptacle.on_board:
        yield from starts(spot)
    if body(part) in (body(parts[name]) for name in spot.owners):
        yield "on itself"


def starts(spot: Spot) -> Iterator[Word]:
    """A machine whose first socket is empty may not start."""
    yield from socket_by_socket(spot)
    if empty_first(spot.machine):
        needed = first_socket(spot.machine).must_be_filled
        if needed:
            yield "does not start"
        elif needed is None:
            yield ("starts", spot.machine.id)


def body(part: Part) -> str:
    """The part whose plug a part is."""
    return part.companion_of or part.id


def wishes(part: Part, spot: Spot) -> Iterator[Word]:
    """What the build file asks of the one part."""
    wish, here = part.wish, spot.receptacle.id
    named = (wish.pin,) if wish.pin else wish.only
    if named and here not in named:
        yield "not among the named"
    if here in wish.ban:
        yield "banned"
    if wish.machine and wish.machine != spot.machine.id:
        yield "other machine"
    if wish.near and part.spec.links:
        if spot.processor is None:
            yield ("hangs on", spot.root.id, wish.near)
        elif wish.must_be_near and not is_near(part, spot):
            yield "far from processor"


def is_near(part: Part, spot: Spot) -> bool:
    """Whether the part hangs on its processor, as far as anyone knows."""
    if spot.processor is None:
        return True
    return part.wish.near in (spot.processor, f"{spot.machine.id}/{spot.processor}")
