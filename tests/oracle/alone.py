"""One part where it sits: what forbids it, and what it rests on that nobody has said."""

from __future__ import annotations

from collections.abc import Iterator, Mapping

from slotfit.model.board import BoardReceptacle
from slotfit.model.part import Link, Part
from slotfit.model.problem import Item, Rig
from slotfit.standards.cem import (
    CONNECTORS,
    FULL_HEIGHT_MM,
    LOW_PROFILE_HEIGHT_MM,
    slot_power_limit_w,
)
from slotfit.standards.forms import FORMS, plug_fits
from slotfit.standards.power import MATINGS, PLUGS, SENSE_RATINGS_W, STILL_AIR_W, promised_w
from tests.oracle.lanes import is_sure, laid_out, piece_at, shape
from tests.oracle.spot import Spot, fitted

Word = str | tuple[object, ...]
"""A text is a complaint; a tuple is a fact that the seat rests on."""

CABLED = (
    *("sff-8643", "sff-8644", "sff-8087", "sff-8088", "oculink-4"),
    *("slimsas-4", "slimsas-8", "mcio-4", "mcio-8", "mcio-16"),
)
"""Plugs at the end of a cable; what a card or a board has of these forms are sockets."""

OPENING_MM = {"full": FULL_HEIGHT_MM, "low": LOW_PROFILE_HEIGHT_MM}


def look(item: Item, spot: Spot, items: Mapping[str, Item]) -> Iterator[Word]:
    """Everything that is to be said of one part in one place."""
    if not plug_fits(item.part.plug.form, spot.form):
        yield "form"
        return
    for aspect in (connector, room, bracket, m2_length, cable, lanes, speeds, guests, power, plugs):
        yield from aspect(item, spot)
    yield from (*air(item, spot), *wishes(item, spot))
    yield from (*home(item, spot, items), *wires(item, spot, items))
    yield from all_over_one(item, spot, items)


def generation_of(item: Item, link: Link, spot: Spot) -> int | None:
    """The rate both ends and everything between know; None if nobody has said anything."""
    offered: tuple[int | None, ...] = (spot.generation, spot.at_most)
    if link.bus != "pcie":
        offered = tuple(as_storage(link, generation, spot) for generation in offered)
    known = [g for g in (link.generation or item.part.generation, *offered) if g is not None]
    return min(known, default=None)


def as_storage(link: Link, generation: int | None, spot: Spot) -> int | None:
    """What a port's generation means to a SATA or SAS link."""
    buses = {lane.bus for lane in spot.contacts.values()}
    if "pcie" in buses or generation is None:
        return None  # it counts PCIe generations
    # A SAS-1 port runs SATA at 3 Gb/s, SATA's second generation, and so on up to its third.
    return min(generation + 1, 3) if link.bus == "sata" and buses == {"sas"} else generation


def draw_w(part: Part) -> float:
    return ((part.power.slot_w or 0) + (part.power.aux_w or 0)) if part.power else 0


def connector(item: Item, spot: Spot) -> Iterator[Word]:
    """A card edge longer than its slot hangs over an open end, or does not go in."""
    plug, slot = item.part.plug, spot.site.receptacle
    if (plug.form, slot.form) != ("cem", "cem"):
        return
    if plug.width is None or slot.width is None:
        yield ("connector", spot.site.id, item.part.id)
        return
    if plug.width <= slot.width:
        return
    if slot.open_end is False:
        yield "closed slot"
        return
    if slot.open_end is None:
        yield ("open end", spot.site.id)
    over = CONNECTORS[plug.width].tab_mm - CONNECTORS[slot.width].tab_mm
    if slot.behind_mm is None:
        yield ("behind", spot.site.id, round(over, 2))
    elif slot.behind_mm < round(over, 2):
        yield "behind the slot"


def room(item: Item, spot: Spot) -> Iterator[Word]:
    """Positions of the row and openings of the chassis; length and height of a card."""
    yield from row_room(item, spot)
    yield from room_beside(item, spot)
    if item.part.plug.form == "cem":
        yield from size_room(item, spot, "length_mm", item.part.length_mm)
        yield from size_room(item, spot, "height_mm", height_mm(item.part))


def row_room(item: Item, spot: Spot) -> Iterator[Word]:
    part, slot, chassis = item.part, spot.site.receptacle, spot.rig.chassis
    if slot.row is None or part.plug.form not in ("cem", "opening"):
        return
    end = slot.position + (part.thickness or 1)
    limits: list[tuple[object, int | None]] = []
    if spot.site.on_board:
        rows = spot.rig.board.rows
        limits += [(row.id, row.positions) for row in rows if row.id == slot.row]
        if chassis and rows and rows[0].id == slot.row:
            limits.append((chassis.id, chassis.openings))
    else:
        limits.append((spot.owners[0], spot.riser_positions))
    for what, positions in limits:
        if positions is None:
            yield ("positions", spot.rig.id, what, end)
        elif end > positions:
            yield "row end"
    if part.thickness is None:
        yield ("thickness", part.id)


def room_beside(item: Item, spot: Spot) -> Iterator[Word]:
    """Outside a row nobody knows what a thick body covers."""
    part = item.part
    is_thick = part.thickness is None or part.thickness > 1
    if is_thick and part.plug.form in ("cem", "opening") and spot.site.receptacle.row is None:
        yield ("room beside", spot.site.id, part.thickness or part.id)


def size_room(item: Item, spot: Spot, size: str, have: float | None) -> Iterator[Word]:
    """A card within its room; what is not known is a doubt where there is anything beside it."""
    room = known_room(spot, size)
    if size == "height_mm" and room is None and have is not None:
        room = have if have <= OPENING_MM.get(opening_at(spot) or "", 0) else None
    if have is not None and room is not None:
        if have > room:
            yield size.removesuffix("_mm")
        elif chassis_may_have_less(spot, size, have):
            yield (f"room for {size}", spot.site.id, have)
    elif room is not None:
        yield (size, item.part.id, room)
    elif spot.rig.chassis or not spot.site.on_board:
        yield (f"room for {size}", spot.site.id, item.part.id if have is None else have)


def chassis_may_have_less(spot: Spot, size: str, have: float) -> bool:
    """A slot's own figure says nothing of the lid and the cages around the board."""
    chassis = spot.rig.chassis
    if not spot.site.on_board or chassis is None or getattr(chassis, f"card_{size}") is not None:
        return False
    return size != "height_mm" or have > OPENING_MM.get(opening_at(spot) or "", 0)


def height_mm(part: Part) -> float | None:
    """A card that has a low bracket is a low-profile card."""
    low = part.height_mm is None and part.bracket in ("low", "both")
    return LOW_PROFILE_HEIGHT_MM if low else part.height_mm


def known_room(spot: Spot, size: str) -> float | None:
    """The receptacle's room, and the chassis' for slots of the board itself."""
    said = [getattr(spot.site.receptacle, size)]
    if spot.site.on_board and spot.rig.chassis:
        said.append(getattr(spot.rig.chassis, f"card_{size}"))
    return min((mm for mm in said if mm is not None), default=None)


def opening_at(spot: Spot) -> str | None:
    chassis = spot.rig.chassis
    said = chassis.bracket if chassis and spot.site.on_board else None
    return spot.site.receptacle.bracket or said


def bracket(item: Item, spot: Spot) -> Iterator[Word]:
    """A bracket fits an opening of its own height."""
    part, site, opening = item.part, spot.site, opening_at(spot)
    if part.plug.form not in ("cem", "opening") or part.bracket in ("both", "none"):
        return
    if opening is None:
        if site.receptacle.row and (spot.rig.chassis or not site.on_board):
            whose = spot.rig.id if site.on_board else site.id
            yield ("openings", whose, part.bracket or part.id)
    elif part.bracket is None and opening != "none":
        yield ("bracket", part.id, opening)
    elif opening not in ("none", part.bracket):
        yield "bracket"


def m2_length(item: Item, spot: Spot) -> Iterator[Word]:
    """An M.2 module is screwed to a stand-off at its end."""
    if not spot.form.startswith("m2-"):
        return
    length, lengths = item.part.length_mm, spot.site.receptacle.drive_lengths
    if length is None or lengths is None:
        what = item.part.id if length is None else length
        yield ("stand-off", spot.site.id, what)
    elif round(length) not in lengths:
        yield "stand-off"


def cable(item: Item, spot: Spot) -> Iterator[Word]:
    """A cable reaches where its drives sit; what hangs on it needs a bay."""
    part, run = item.part, spot.site.receptacle.run_mm
    if part.reach_mm is None:
        if part.part_class == "cable":
            yield ("cable", part.id, spot.site.id if run is None else run)
    elif run is None:
        yield ("run", spot.site.id, part.reach_mm)
    elif part.reach_mm < run:
        yield "cable"
    if item.companion_of and part.plug.form in CABLED and spot.on_part_class != "cable":
        yield "socket to socket"
    chassis = spot.rig.chassis
    if chassis and chassis.bays is None and part.bay and spot.on_cable:
        yield ("bays", spot.rig.id, part.bay)


def lanes(item: Item, spot: Spot) -> Iterator[Word]:
    """Links that train, as many and as wide as they must be; the division behind them."""
    if not item.part.links:
        return
    if spot.absent:
        yield "processor absent"
        return
    if spot.processor is None and spot.contacts and has_empty_socket(spot.rig):
        yield ("processor fitted", spot.root.id)
    widths = spot.lanes_of(item)
    ends_here = any(w and not link.to for w, link in zip(widths, item.part.links, strict=True))
    if spot.processor is None and spot.rig.board.hubs and ends_here:
        yield ("shared link", spot.root.id)
    if not any(widths):
        yield "no lanes"
    elif min(w for w in widths if w) < max(item.part.min_lanes or 0, item.wish.min_lanes or 0):
        yield "too narrow"
    wanted = item.wish.endpoints
    if wanted is not None and any(widths) and alive(item, widths) < wanted:
        yield "too few endpoints"
    yield from unsure_widths(item, spot, widths)
    yield from division(item, spot)


def has_empty_socket(rig: Rig) -> bool:
    """Whether not every processor of the board is fitted."""
    return any(processor.id not in fitted(rig) for processor in rig.board.processors)


def unsure_widths(item: Item, spot: Spot, widths: list[int]) -> Iterator[Word]:
    """Links that the standard lets fall back to one lane."""
    for link, width in zip(item.part.links, widths, strict=True):
        if width > 1 and not is_sure(link, piece_at(link, spot.contacts, spot.form)):
            yield ("width", item.part.id, spot.site.id, width)


def alive(item: Item, widths: list[int]) -> int:
    """Endpoints to be seen: behind a switch or controller, all its sockets."""
    sockets = [r for r in item.part.receptacles if r.form not in ("cooling-mount", "opening")]
    if item.part.wiring != "passive" and sockets:
        return len(sockets)
    return sum(width > 0 for width in widths)


def division(item: Item, spot: Spot) -> Iterator[Word]:
    """How the lanes are divided, as far as the part that sits on the board cares."""
    if spot.owners or spot.way is None or spot.group is None:
        return
    name = f"{spot.rig.id}/{spot.group.id}"
    if spot.way.proof == "refuted":
        yield "refuted"
    if spot.way.proof in (None, "menu-only"):
        yield ("division", name, spot.way.id)
    if spot.way.order == "unknown" and spot.contacts:
        given = spot.way.gives[spot.site.receptacle.id][::-1]
        turned = laid_out("turned", spot.group.bus, given, spot.form)
        links = item.part.links
        here = [shape(link, spot.contacts, spot.form) for link in links]
        if here != [shape(link, turned, spot.form) for link in links]:
            yield ("order", name, spot.way.id)


def speeds(item: Item, spot: Spot) -> Iterator[Word]:
    """Generations: too low, or not known."""
    part = item.part
    links = [
        link
        for link, width in zip(part.links, spot.lanes_of(item), strict=True)
        if width and link.bus == "pcie"
    ]
    if spot.absent or not links:
        return
    known = [g for link in links if (g := generation_of(item, link, spot))]
    least = max(part.min_generation or 0, item.wish.min_generation or 0)
    if known and min(known) < least:
        yield "too slow"
    elif least > 1:
        if spot.generation is None:
            yield ("generation", spot.site.id, least)
        if any((k.generation or part.generation) is None for k in links if not k.to):
            yield ("part's generation", part.id, least)
    yield from ends(item, spot, [link for link in links if not link.to])
    newest = FORMS[spot.form].max_generation
    if newest is not None and known and max(known) > newest:
        yield ("form's generation", spot.site.id, max(known))


def ends(item: Item, spot: Spot, links: list[Link]) -> Iterator[Word]:
    """Links that end in the part itself: someone must say how fast both ends are."""
    if not links:
        return
    if spot.generation is None:
        fastest = max(generation_of(item, link, spot) or 0 for link in links)
        yield ("generation", spot.source, fastest)
    elif any((link.generation or item.part.generation) is None for link in links):
        yield ("part's generation", item.part.id, spot.generation)


def wires(item: Item, spot: Spot, items: Mapping[str, Item]) -> Iterator[Word]:
    """From generation 4 on, copper of which nobody has said what it carries is a doubt."""
    fast = [
        generation_of(item, link, spot) or 0
        for link, width in zip(item.part.links, spot.lanes_of(item), strict=True)
        if width and link.bus == "pcie" and not link.to
    ]
    if max(fast, default=0) < 4:
        return
    for name in spot.owners:
        part = items[name].part
        if part.wiring != "passive":
            return
        if part.generation is None and all(link.generation is None for link in part.links):
            yield ("wires", part.id, max(fast))


def guests(item: Item, spot: Spot) -> Iterator[Word]:
    """A guest takes a whole isolation group; someone must have said which it is."""
    if not answers_on_the_bus(item):
        return
    if item.wish.guest:
        if spot.isolation is None:
            yield ("isolation", spot.root.id)
        yield from (("isolator", name) for name in spot.isolators)
    elif spot.isolation is None and any(one.isolation for one in spot.rig.board.receptacles):
        # A guest's group that is known may reach into a slot of which nobody has said anything.
        yield ("isolation beside guests", spot.root.id)


def answers_on_the_bus(item: Item) -> bool:
    own = any(link.bus == "pcie" and not link.to for link in item.part.links)
    return own and item.part.wiring != "switch"


def power(item: Item, spot: Spot) -> Iterator[Word]:
    """What the receptacle supplies; what the machine's supply must carry."""
    part, limit = item.part, spot.site.receptacle.power_w
    draw = part.power.slot_w if part.power else None
    if draw and spot.form != "cooling-mount":
        if limit is not None:
            if draw > limit:
                yield "slot power"
        elif draw > promised(part, spot):
            yield ("slot power", spot.site.id, draw)
    yield from dead_slot(item, spot)
    yield from supply_unknown(item, spot)


def dead_slot(item: Item, spot: Spot) -> Iterator[Word]:
    """A slot of a processor that is absent may have power, for parts that need no lanes."""
    here = spot.site.receptacle
    if item.part.links or item.part.plug.form == "opening":
        return
    if not isinstance(here, BoardReceptacle):
        return
    if spot.processor is None:
        if has_empty_socket(spot.rig) and here.powered_without_processor is not True:
            yield ("powered by the processors fitted", spot.site.id)
    elif spot.absent:
        if here.powered_without_processor is None:
            yield ("powered", spot.site.id, spot.processor)
        elif not here.powered_without_processor:
            yield "slot unpowered"


def promised(part: Part, spot: Spot) -> float:
    """What the standard promises this part."""
    if spot.form != "cem":
        return promised_w(spot.form)
    width = min(part.plug.width or 1, spot.site.receptacle.width or 1)
    graphics = bool(part.power and part.power.graphics)
    return slot_power_limit_w(width, part.bracket in ("low", "both"), graphics)


def all_over_one(item: Item, spot: Spot, items: Mapping[str, Item]) -> Iterator[Word]:
    """A full carrier or riser may want more of its slot than any slot promises."""
    if spot.root.receptacle.power_w is not None or spot.on_cable or not spot.owners:
        return
    below = [items[name].part for name in spot.owners]
    own = item.part.power.slot_w if item.part.power else 0
    if not own or spot.form == "cooling-mount" or any(p.power and p.power.aux for p in below):
        return
    inner, outer = below[0], below[-1]
    total = own * sum(one.form == spot.form for one in inner.receptacles)
    total += sum(p.power.slot_w or 0 for p in below if p.power)
    if spot.root.receptacle.form == "cem":
        width = min(outer.plug.width or 1, spot.root.receptacle.width or 1)
        drawn = [p.power for p in (item.part, outer) if p.power]
        low = outer.bracket in ("low", "both")
        least = slot_power_limit_w(width, low, any(one.graphics for one in drawn))
    else:
        least = promised_w(spot.root.receptacle.form)
    if total > least:
        yield ("power for all", spot.root.id)


def supply_unknown(item: Item, spot: Spot) -> Iterator[Word]:
    """A supply, but no figure to hold against it."""
    part, machine, supply = item.part, spot.rig.machine, spot.rig.power_supply
    wires_only = part.wiring == "passive" and (part.receptacles or part.part_class == "cable")
    slot_said = part.power is not None and part.power.slot_w is not None
    plugs_said = not (part.power and part.power.aux and part.power.aux_w is None)
    limits = (
        []
        if slot_said or spot.form == "cooling-mount"
        else [one for one in spot.limits if may_outdraw(part, one, spot)]
    )
    if not wires_only and not (slot_said and plugs_said) and (supply or limits):
        yield ("draw", part.id, machine.id if supply else "", *limits)
    if supply and machine.base_w is None and draw_w(part):
        yield ("base load", machine.id)


def may_outdraw(part: Part, limit: str, spot: Spot) -> bool:
    """Whether a part of unknown draw may want more than a receptacle below it supplies."""
    if limit != spot.site.id or part.plug.form != "cem":
        return True
    low = part.bracket in ("low", "both")
    return (spot.site.receptacle.power_w or 0) < slot_power_limit_w(
        part.plug.width or 16, low, graphics=True
    )


def plugs(item: Item, spot: Spot) -> Iterator[Word]:
    """Plugs of the supply that nobody has counted or rated."""
    need, supply = item.part.power, spot.rig.power_supply
    if need is None or supply is None:
        return
    if supply.plugs is None:
        yield from (("plugs", spot.rig.id, plug) for plug in need.aux)
    if "12v-2x6" in need.aux:
        others = sum(PLUGS[plug].power_w for plug in need.aux if plug != "12v-2x6")
        most = max(SENSE_RATINGS_W)
        each = most if need.aux_w is None else (need.aux_w - others) / need.aux.count("12v-2x6")
        rating = min((r for r in SENSE_RATINGS_W if r >= each), default=most)
        yield ("rating", spot.rig.id, rating)


def fits_socket(plug: str, socket: str) -> bool:
    """Whether a supply's plug goes into a card's socket and carries all that it may draw."""
    return any(
        (row.plug, row.socket) == (plug, socket) and row.power_w >= PLUGS[socket].power_w
        for row in MATINGS
    )


def air(item: Item, spot: Spot) -> Iterator[Word]:
    """Air over a passive card, where it is not known; where it is, see the whole plan."""
    part, lfm = item.part, spot.air_lfm()
    is_hot = draw_w(part) > STILL_AIR_W
    if part.cooling is None and part.plug.form == "cem" and (is_hot or part.airflow_lfm):
        yield ("cooling", spot.site.id, part.id)
    if part.cooling != "passive":
        return
    if part.airflow_lfm is None:
        if is_hot:
            yield ("air need", spot.site.id, part.id)
    elif part.airflow_lfm > 0 and lfm is None:
        yield ("air", spot.site.id, part.airflow_lfm)


def home(item: Item, spot: Spot, items: Mapping[str, Item]) -> Iterator[Word]:
    """The board in its chassis; a part does not hang on itself, not even by way of cables."""
    size, chassis = spot.rig.board.size, spot.rig.chassis
    if chassis and spot.site.on_board:
        if chassis.sizes is not None and size and size not in chassis.sizes:
            yield "board size"
        elif chassis.sizes is None or size in (None, "proprietary"):
            yield ("board size", spot.rig.id)
    if body(item) in (body(items[name]) for name in spot.owners):
        yield "on itself"


def body(item: Item) -> str:
    """The part whose plug an item is."""
    return item.companion_of or item.id


def wishes(item: Item, spot: Spot) -> Iterator[Word]:
    """What the build file asks of the one part."""
    wish, here = item.wish, spot.site.id
    named = (wish.pin,) if wish.pin else wish.only
    if named and here not in named:
        yield "not among the named"
    if here in wish.ban:
        yield "banned"
    if wish.machine and wish.machine != spot.rig.id:
        yield "other machine"
    if wish.near and item.part.links:
        if spot.processor is None:
            yield ("hangs on", spot.root.id, wish.near)
        elif wish.must_be_near and not is_near(item, spot):
            yield "far from processor"


def is_near(item: Item, spot: Spot) -> bool:
    """Whether the part hangs on its processor, as far as anyone knows."""
    if spot.processor is None:
        return True
    return item.wish.near in (spot.processor, f"{spot.rig.id}/{spot.processor}")
