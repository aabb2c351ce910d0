"""What only the whole of a board can tell: names that lead nowhere, lanes given twice."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.errors import Mistake
from slotfit.listing import counted
from slotfit.load.expand import connector_lanes, named, served_by
from slotfit.load.words import known_names, listed
from slotfit.load.yaml_file import Written, path_text
from slotfit.model.board import Arrangement, Board, BoardReceptacle, LaneGroup, Uplink
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis
from slotfit.model.part import ExtraPlug, PartReceptacle, PartSpec, Plug, ReceptacleSpec
from slotfit.standards.forms import FORMS, PAIRS, PLUG_FORMS
from slotfit.standards.pcie import LEGAL_WIDTHS


class Complaints:
    """Mistakes found so far in what one file describes."""

    def __init__(
        self,
        written: Written,
        lost: frozenset[str] = frozenset(),
        mistakes: list[Mistake] | None = None,
    ) -> None:
        self.written = written
        self.lost = lost
        """Ids whose description is wrong: naming one is no further mistake."""
        self.mistakes = [] if mistakes is None else mistakes

    def add(self, entity: Entity, field_path: str, text: str) -> None:
        """`field_path` is the way from the entity to what is wrong, such as `only[1]`."""
        itself, where = entity.span(), entity.span(field_path)
        path = path_text(self.written.loc_of(where))
        if where == itself:  # the field is not written, or it is the first one
            path = f"{path}.{field_path}".strip(".")
        self.mistakes.append(Mistake(where or self.written.file, path, text))

    def name(
        self, entity: Entity, field_path: str, name: str, known: Iterable[str], kind: str
    ) -> bool:
        """Whether `name` is known; complains if not."""
        names = set(known)
        if name in names or name in self.lost:
            return True
        text = f"there is no {kind} {name}{known_names(name, names)}"
        self.add(entity, field_path, text)
        return False

    def unique(self, entities: Iterable[tuple[str, Entity]], kind: str) -> None:
        """Complain of every id that two entities share."""
        first: dict[str, Entity] = {}
        for name, entity in entities:
            if name not in first:
                first[name] = entity
                continue
            span = first[name].span("id")
            there = f" (line {span.line})" if span else ""
            self.add(entity, "id", f"two {kind} are called {name}{there}; give each its own id")


def check_form(receptacle: ReceptacleSpec, found: Complaints) -> None:
    """A receptacle of a form that receptacles are made in."""
    if receptacle.form not in FORMS:
        takers = [
            pair for (plug, pair), row in PAIRS.items() if plug == receptacle.form and row.fits
        ]
        text = f"only modules are {receptacle.form}; write the socket's key: {listed(takers)}"
        found.add(receptacle, "form", text)


SHORT_FORM = ("from", "generation", "lanes", "splits", "label_order", "reversed")
"""Keys of a receptacle that stand for a lane group."""


def board_mistakes(
    board: Board, written: Written, lost: frozenset[str] = frozenset()
) -> list[Mistake]:
    """Everything wrong with a board beyond its single fields; `lost` ids count as known."""
    found = Complaints(written, lost)
    check_unique(board, found)
    check_sources(board, found)
    check_hub_cycles(board, found)
    for group in board.lane_groups:
        check_group(board, group, found)
    check_given_once(board, found)
    for receptacle in board.receptacles:
        check_receptacle(board, receptacle, found)
    check_row_places(board, found)
    return found.mistakes


def check_unique(board: Board, found: Complaints) -> None:
    processors = [(one.id, one) for one in board.processors]
    hubs = [(one.id, one) for one in board.hubs]
    found.unique([*processors, *hubs], "processors or hubs")
    found.unique([(row.id, row) for row in board.rows], "rows")
    found.unique([(group.id, group) for group in board.lane_groups], "lane groups")
    found.unique([(one.id, one) for one in board.receptacles], "receptacles")
    found.unique([(one.id, one) for one in board.devices or ()], "devices")
    for group in board.lane_groups:
        named_ones = [(one.id, one) for one in group.arrangements if one.id is not None]
        found.unique(named_ones, f"arrangements of {group.id}")


def check_sources(board: Board, found: Complaints) -> None:
    """`from` of hubs, lane groups and receptacles."""
    ends = ends_of(board)
    below: list[tuple[Entity, str | None]] = [
        *((hub, hub.from_) for hub in board.hubs),
        *((group, group.from_) for group in board.lane_groups),
        *((receptacle, receptacle.from_) for receptacle in board.receptacles),
    ]
    for entity, above in below:
        if above is not None:
            found.name(entity, "from", above, ends, "processor or hub")


def ends_of(board: Board) -> list[str]:
    """What lanes can come from."""
    return [*(one.id for one in board.processors), *(hub.id for hub in board.hubs)]


def check_hub_cycles(board: Board, found: Complaints) -> None:
    """Each hub ends at a processor, of a class that its uplinks may name."""
    processors = {one.id for one in board.processors}
    above = {hub.id: hub.from_ for hub in board.hubs}
    for hub in board.hubs:
        for uplink in hub.uplinks:
            check_needs(board, hub.from_, uplink, found)
        way, here = [hub.id], hub.from_
        while here in above and here not in (*way, *processors):
            way.append(here)
            here = above[here]
        if here == hub.id and here not in processors:
            circle = " from ".join([*way, hub.id])
            found.add(hub, "from", f"goes round in a circle: {circle}; it must end at a processor")


def check_group(board: Board, group: LaneGroup, found: Complaints) -> None:
    slots = {one.id: one for one in board.receptacles}
    for arrangement in group.arrangements:
        check_needs(board, group.from_, arrangement, found)
        for name in arrangement.gives:
            path = f"gives.{name}"
            known = found.name(arrangement, path, name, slots, "receptacle")
            if known and name in slots:
                check_segments(arrangement, slots[name], found)


def check_needs(
    board: Board, from_: str | None, owner: Arrangement | Uplink, found: Complaints
) -> None:
    """Classes of processors that an arrangement or uplink needs are ones that its socket takes."""
    needs = owner.needs
    if needs is None or needs.processor is None:
        return
    above = {hub.id: hub.from_ for hub in board.hubs}
    sockets = {one.id: one for one in board.processors}
    only = board.processors[0].id if len(sockets) == 1 and not above else None
    socket = from_ or only
    for _ in above:
        socket = above.get(socket or "", socket)
    if socket is None:
        text = "which processor the lanes come from is not said; add `from` to the lane group"
        found.add(owner, "needs.processor", text)
    elif socket in sockets:
        takes = sockets[socket].takes
        for number, one in enumerate(needs.processor):
            at = f"processor[{number}]"
            if takes:
                found.name(needs, at, one, takes, f"class of processor in {socket}:")
            else:
                found.add(needs, at, f"{socket} names no classes; add `takes` to the processor")


def check_segments(
    arrangement: Arrangement, receptacle: BoardReceptacle, found: Complaints
) -> None:
    """Widths that links have, and no more of them than the connector has lanes."""
    path = f"gives.{receptacle.id}"
    segments = arrangement.gives[receptacle.id]
    for number, width in enumerate(segments):
        if isinstance(width, int) and width not in LEGAL_WIDTHS:
            found.add(arrangement, f"{path}[{number}]", odd_width(width))
    lanes = connector_lanes(receptacle)
    # SATA and SAS have contacts of their own in a U.2 bay (SFF-8639, as quoted).
    other = 0 if receptacle.form == "u2" else 1
    total = sum(width if isinstance(width, int) else other for width in segments)
    if lanes is not None and total > lanes:
        text = f"gives {total} lanes, and the connector has {lanes}; write what arrives there, "
        text += "and what the menu says in `setting`"
        found.add(arrangement, path, text)


def odd_width(width: int) -> str:
    return f"no link is {width} lanes wide; widths are {listed(map(str, LEGAL_WIDTHS), 'and')}"


def check_given_once(board: Board, found: Complaints) -> None:
    """A receptacle takes its lanes from one lane group, spelled out or in short form."""
    slots = {one.id: one for one in board.receptacles}
    owner: dict[str, LaneGroup] = {}
    for group in board.lane_groups:
        for arrangement, name in gifts(group):
            first = owner.setdefault(name, group)
            if first is not group:
                text = f"{name} gets its lanes from lane group {first.id} already"
                found.add(arrangement, f"gives.{name}", text)
                break
    for name, group in owner.items():
        doubled = [key for key in SHORT_FORM if name in slots and is_written(slots[name], key)]
        for key in doubled:
            text = f"lane group {group.id} says what {name} gets; leave out `{key}` here"
            found.add(slots[name], key, text)


def gifts(group: LaneGroup) -> Iterator[tuple[Arrangement, str]]:
    for arrangement in group.arrangements:
        for name in arrangement.gives:
            yield arrangement, name


def is_written(receptacle: BoardReceptacle, key: str) -> bool:
    return ("from_" if key == "from" else key) in receptacle.model_fields_set


def check_receptacle(board: Board, receptacle: BoardReceptacle, found: Complaints) -> None:
    check_form(receptacle, found)
    check_short_form(board, receptacle, found)
    check_row(board, receptacle, found)
    names = {one.id for one in board.receptacles}
    for key, itself in (("blocked_by", "block itself"), ("under", "lie under itself")):
        for number, name in enumerate(getattr(receptacle, key)):
            path = f"{key}[{number}]"
            if name == receptacle.id:
                found.add(receptacle, path, f"a receptacle cannot {itself}")
            else:
                found.name(receptacle, path, name, names, "receptacle")


def check_short_form(board: Board, receptacle: BoardReceptacle, found: Complaints) -> None:
    given = {name for group in board.lane_groups for _, name in gifts(group)}
    if receptacle.id in given:
        return
    lanes, connector = receptacle.lanes, connector_lanes(receptacle)
    if lanes and connector and lanes > connector:
        found.add(receptacle, "lanes", f"{lanes} lanes are wired to a connector of {connector}")
    if receptacle.splits and lanes is None:
        text = "how many lanes are wired is not said; add `lanes`"
        found.add(receptacle, "splits", text)
    check_splits(receptacle, found)


def check_splits(receptacle: BoardReceptacle, found: Complaints) -> None:
    seen: set[str] = set()
    for number, split in enumerate(receptacle.splits or ()):
        path, segments = f"splits[{number}]", named(split.split)
        if split.split in seen:
            found.add(receptacle, path, f"{split.split} is listed twice")
        seen.add(split.split)
        for width in sorted(set(segments) - set(LEGAL_WIDTHS)):
            found.add(receptacle, path, odd_width(width))
        if receptacle.lanes is not None and sum(segments) > receptacle.lanes:
            text = (
                f"{split.split} is {sum(segments)} lanes, and {receptacle.lanes} are wired; write "
                f'what arrives, and the menu\'s words beside it: {{split: ..., setting: "..."}}'
            )
            found.add(receptacle, path, text)


def check_row(board: Board, receptacle: BoardReceptacle, found: Complaints) -> None:
    rows = {row.id: row for row in board.rows}
    if receptacle.row is None:
        if "position" in receptacle.model_fields_set:
            found.add(receptacle, "position", "in which row? add `row`")
    elif found.name(receptacle, "row", receptacle.row, rows, "row"):
        row = rows.get(receptacle.row)
        if row is not None and receptacle.position >= row.positions:
            text = f"row {row.id} has positions 0 to {row.positions - 1}"
            found.add(receptacle, "position", text)


def check_row_places(board: Board, found: Complaints) -> None:
    """Two slots may share a position only if the board says that they are in each other's way."""
    first: dict[tuple[str, int], BoardReceptacle] = {}
    for one in board.receptacles:
        if one.form != "cem" or one.row is None:
            continue
        other = first.setdefault((one.row, one.position), one)
        said = one.id in other.blocked_by or other.id in one.blocked_by
        if other is not one and not said:
            text = (
                f"{other.id} is at position {one.position} of row {one.row} already; if only one "
                f"of them can be used, add `blocked_by: [{other.id}]`"
            )
            found.add(one, "position", text)


def chassis_mistakes(
    chassis: Chassis, written: Written, lost: frozenset[str] = frozenset()
) -> list[Mistake]:
    """Bays of one name."""
    found = Complaints(written, lost)
    bays = chassis.bays if isinstance(chassis.bays, tuple) else ()
    found.unique([(one.id, one) for one in bays], "bays")
    return found.mistakes


def part_mistakes(
    part: PartSpec, written: Written, lost: frozenset[str] = frozenset()
) -> list[Mistake]:
    """Everything wrong with a part (as `complete` left it) beyond its single fields."""
    found = Complaints(written, lost)
    found.unique([(one.id, one) for one in part.receptacles], "receptacles")
    found.unique([(plug.id, plug) for plug in part.extra_plugs], "extra plugs")
    check_ports(part, found)
    for owner in plugs_of(part):
        check_links(owner, found)
    for receptacle in part.receptacles:
        check_form(receptacle, found)
    check_targets(part, found)
    check_wiring(part, found)
    check_feeds(part, found)
    check_joins(part, found)
    check_positions(part, found)
    return found.mistakes


def check_ports(part: PartSpec, found: Complaints) -> None:
    """Each port has a name of its own, and shares its speed with others of the part."""
    ports = part.ports if isinstance(part.ports, tuple) else ()
    found.unique([(port.id, port) for port in ports], "ports")
    for port in ports:
        others = set(part.port) - {port.id}
        for number, name in enumerate(port.shares_speed_with or ()):
            found.name(port, f"shares_speed_with[{number}]", name, others, "other port")


def plug_lanes(plug: Plug) -> int | None:
    """Lanes of the plug; None if neither file nor form says."""
    if plug.width is not None:
        return plug.width
    made = PLUG_FORMS[plug.form].lanes
    return made[0] if len(made) == 1 else None


def plugs_of(part: PartSpec) -> tuple[PartSpec | ExtraPlug, ...]:
    """The part itself, for its main plug, and its extra plugs."""
    return (part, *part.extra_plugs)


def check_links(owner: PartSpec | ExtraPlug, found: Complaints) -> None:
    """Links lie side by side within the plug."""
    lanes = plug_lanes(owner.plug)
    end, before = 0, ""
    for number, link in sorted(enumerate(owner.links), key=lambda pair: pair[1].at):
        path = f"links[{number}]"
        if link.bus == "pcie" and link.lanes not in LEGAL_WIDTHS:
            found.add(owner, path, f"no link is {link.lanes} lanes wide")
        if link.at < end:
            found.add(owner, path, f"begins at lane {link.at}, and {before} goes to lane {end - 1}")
        if lanes is not None and link.at + link.lanes > lanes:
            last = link.at + link.lanes - 1
            found.add(owner, path, f"needs lane {last}, and the plug has lanes 0 to {lanes - 1}")
        end, before = max(end, link.at + link.lanes), path


def check_targets(part: PartSpec, found: Complaints) -> None:
    """`to` names receptacles of this part, each once, and only where lanes are wired through."""
    known = {one.id for one in part.receptacles}
    for owner in plugs_of(part):
        for link in owner.links:
            if link.to and part.wiring != "passive":
                text = f"a {part.wiring} serves all its receptacles; leave out `to`"
                found.add(link, "to", text)
                continue
            if len(link.to) > 1:
                text = (
                    f"one link trains in one place: write a link each for {listed(link.to, 'and')}"
                )
                found.add(link, "to", f"{text}, with its own `at` and `lanes`")
            for name in link.to:
                found.name(link, "to", name, known, "receptacle")


def check_wiring(part: PartSpec, found: Complaints) -> None:
    """A switch or controller has one link up; passive links must say where they lead."""
    fed = {name for plug in part.extra_plugs for name in plug.feeds}
    own = [one for one in part.receptacles if one.id not in fed]
    if part.wiring == "passive":
        check_spread(part, own, found)
        return
    if own and len(part.links) != 1:
        text = f"a {part.wiring} has one link up, and this one has {len(part.links)}"
        found.add(part, "links", text)


def check_spread(part: PartSpec, own: Sequence[PartReceptacle], found: Complaints) -> None:
    """`complete` leads links to receptacles where their numbers agree; else the file must say."""
    served = served_by(part.links, own)
    if not served or any(link.to for link in part.links):
        return
    names = listed((one.id for one in served), "and")
    text = (
        f"{counted(len(part.links), 'link')} for {counted(len(served), 'receptacle')} ({names}); "
        f"write which leads where: [{{at: 0, lanes: 4, to: [{served[0].id}]}}, ...]"
    )
    found.add(part, "links", text)


def check_feeds(part: PartSpec, found: Complaints) -> None:
    known = {one.id for one in part.receptacles}
    feeder: dict[str, ExtraPlug] = {}
    for plug in part.extra_plugs:
        for number, name in enumerate(plug.feeds):
            path = f"feeds[{number}]"
            if not found.name(plug, path, name, known, "receptacle"):
                continue
            if (first := feeder.setdefault(name, plug)) is not plug:
                found.add(plug, path, f"{name} is fed by {first.id} already")
        if plug.feeds and part.wiring != "passive" and len(plug.links) != 1:
            text = f"a {part.wiring} has one link up, and this plug has {len(plug.links)}"
            found.add(plug, "links", text)
    for link in part.links:
        for name in set(link.to) & feeder.keys():
            text = f"{name} is fed by the plug {feeder[name].id} already"
            found.add(link, "to", text)


def check_joins(part: PartSpec, found: Complaints) -> None:
    """A plug joins another one that stands by itself, and feeds nothing of its own."""
    others = {plug.id: plug for plug in part.extra_plugs}
    for plug in part.extra_plugs:
        if plug.joins is None:
            continue
        known = {name for name, other in others.items() if other is not plug and not other.joins}
        known |= {part.id} if part.links else set()
        found.name(plug, "joins", plug.joins, known, "other plug that joins none")
        if plug.feeds:
            found.add(plug, "feeds", f"what a wide port feeds is said of {plug.joins}")


def check_positions(part: PartSpec, found: Complaints) -> None:
    """Slots of a riser lie within its row, one a position."""
    first: dict[tuple[str, int], PartReceptacle] = {}
    for one in part.receptacles:
        if one.row is None:
            continue
        if part.row_positions is not None and one.position >= part.row_positions:
            text = f"the part has positions 0 to {part.row_positions - 1}"
            found.add(one, "position", text)
        other = first.setdefault((one.row, one.position), one)
        if one.form == "cem" and other is not one:
            found.add(one, "position", f"{other.id} is at position {one.position} already")
