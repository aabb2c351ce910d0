"""One part as a file, each field with where it comes from."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass, field, replace

from slotfit.answers.read.parts import Home, Piece, PlugLink, name_of, piece_in, recognised_by
from slotfit.answers.read.slots import BoardSlot
from slotfit.answers.read.yaml_text import (
    Flow,
    Ids,
    Places,
    YamlBlock,
    YamlComment,
    YamlField,
    YamlList,
    assumed,
    clean,
    slug,
)
from slotfit.model.build import UNKNOWN
from slotfit.read.join import DeviceNames, Evidence, from_ports
from slotfit.read.machine import MachineSeen, PartSeen, ReceptacleSeen
from slotfit.read.pci_ids import PciIds
from slotfit.read.pci_tree import Topology
from slotfit.read.processors import Sockets
from slotfit.read.seen import PciAddress
from slotfit.standards import pci_regs as regs
from slotfit.standards.forms import CABLED

HEAD = (
    "Read from a running machine. What it does not say of itself is left out or marked `assumed`."
)


def part_block(piece: Piece, name: str, title: str, places: Places) -> YamlBlock:
    """The file of a part called `name` in files and `title` by people."""
    entries: list[YamlField | YamlComment] = [
        YamlComment(HEAD),
        YamlField("kind", "part"),
        YamlField("id", name),
        YamlField("name", title),
        YamlField("class", piece.kind.part_class, _class_basis(piece)),
        YamlField("plug", _plug(piece), _plug_basis(piece)),
        YamlField("links", _links(piece.links.value), piece.links.basis),
    ]
    if piece.generation:
        entries.append(YamlField("generation", piece.generation.value, piece.generation.basis))
    if piece.wiring != "passive":
        entries.append(YamlField("wiring", piece.wiring, "a packet switch answers on the bus"))
    if piece.sockets:
        entries.append(YamlField("receptacles", YamlList(tuple(map(YamlBlock, _sockets(piece))))))
    entries += _assumptions(piece)
    numbers = recognised_by(piece)
    if numbers:
        entries.append(YamlField("recognise", numbers))
    marks = assumed_fields(piece)
    if marks:
        entries.append(YamlField("assumed", marks))
    where = {"links": places.at(piece.seen.top.where)}
    entries.append(YamlField("sources", where))
    entries += [YamlComment(text) for text in (*piece.remarks, *_measure(piece))]
    return YamlBlock(tuple(entries))


def signature(piece: Piece) -> tuple[object, ...]:
    """What two alike parts have in common: they share one file."""
    return (
        piece.kind,
        recognised_by(piece) or tuple(seen.name for seen in piece.functions),
        tuple(drive.model for drive in piece.seen.drives),
        piece.form.value,
        piece.width,
        piece.links.value,
        piece.generation.value if piece.generation else None,
        piece.wiring,
        tuple((one.id, one.form, one.port_lanes, one.port_generation) for one in piece.sockets),
        piece.draw_w,
    )


def assumed_fields(piece: Piece) -> tuple[str, ...]:
    """Fields that nothing which was read says."""
    marks = ["plug"]
    marks += ["links"] if piece.links.assumed else []
    marks += ["receptacles"] if piece.sockets else []
    marks += ["thickness"] if piece.pitches else []
    marks += ["power"] if piece.draw_w else []
    return tuple(marks)


def _class_basis(piece: Piece) -> str:
    if not piece.functions:
        return "several drives answer under one divided slot"
    code = piece.functions[0].class_code
    return f"class code {code:04x}" if code is not None else "its class is not known"


def _plug(piece: Piece) -> Flow:
    """What sits in a cable's socket is at the end of a cable that nobody sees."""
    if piece.form.value in CABLED:
        return {"form": piece.form.value, "gender": "plug"}
    return f"{piece.form.value} x{piece.width}" if piece.width else piece.form.value


def _plug_basis(piece: Piece) -> str:
    if piece.form.assumed:
        return piece.form.basis
    return "assumed: the form of what it sits in" + (
        ", the connector after the width of its link" if piece.width else ""
    )


def _links(links: tuple[PlugLink, ...]) -> Flow:
    if len(links) == 1 and links[0].socket is None:
        return f"x{links[0].lanes}"
    return [
        {"at": link.first_lane, "lanes": link.lanes}
        | ({"to": [link.socket]} if link.socket else {})
        for link in links
    ]


def _sockets(piece: Piece) -> Iterator[tuple[YamlField, ...]]:
    for one in piece.sockets:
        fields = [YamlField("id", one.id), YamlField("form", one.form, "assumed")]
        if piece.wiring != "passive":
            fields += [YamlField("lanes", one.port_lanes)] if one.port_lanes else []
            if one.port_generation:
                fields.append(YamlField("generation", one.port_generation))
        yield tuple(fields)


def _assumptions(piece: Piece) -> Iterator[YamlField]:
    if piece.pitches:
        yield YamlField("thickness", piece.pitches, "assumed from its class: look")
    if piece.draw_w:
        power: dict[str, Flow] = {"slot_w": piece.draw_w}
        power |= {"graphics": True} if piece.graphics else {}
        yield YamlField("power", power, "assumed: as much as its connector may give it")


def _measure(piece: Piece) -> Iterator[str]:
    """What only a look at the part tells."""
    if piece.form.value == "cem":
        yield (
            "To measure or look up: thickness (in slot pitches), length_mm, height_mm, bracket, "
            "cooling, power with its plugs (aux, aux_w)."
        )
    elif piece.kind.part_class == "drive":
        yield "To look up: power in its data sheet; for M.2 its length."


SOMETHING = "something unknown"

Adrift = tuple[PartSeen, Sequence[ReceptacleSeen]]
"""A part without a home, and the receptacles it may sit in."""


def with_homes(seen: MachineSeen, topology: Topology) -> tuple[MachineSeen, list[Adrift]]:
    """
    The machine with a receptacle for each part whose port is known, and the parts without any.

    Where slots of the table could not be tied to a port, a part under a port that no record names
    may sit in one of them: then it gets no receptacle of its own.
    """
    untied = [
        one
        for one in seen.receptacles
        if one.records and not one.ports and any(claim.value for claim in one.occupied.claims)
    ]
    homes: list[ReceptacleSeen] = []
    adrift: list[Adrift] = []
    for one in (*seen.receptacles, *_ports_of(seen.unplaced, seen, topology)):
        perhaps = [] if one.records or not one.parts else _may_be(one, untied)
        if perhaps:
            adrift += [(part, perhaps) for part in one.parts]
        else:
            homes.append(one)
    known = {part.top.address for one in homes for part in one.parts}
    known |= {part.top.address for part, _ in adrift}
    adrift += [(part, untied) for part in seen.unplaced if part.top.address not in known]
    return replace(seen, receptacles=tuple(homes)), adrift


def _ports_of(
    parts: Sequence[PartSeen], seen: MachineSeen, topology: Topology
) -> list[ReceptacleSeen]:
    """A receptacle for each port above the parts; a bus of the older kind is none."""
    found: dict[PciAddress, list[PartSeen]] = {}
    for part in parts:
        port = topology.functions.get(part.port) if part.port else None
        if port and topology.leads_down(port):
            found.setdefault(port.address, []).append(part)
    records = [record for one in seen.receptacles for record in one.records]
    sockets = Sockets(seen.processors, records, seen.nodes)
    return [
        replace(
            from_ports(
                [topology.functions[at]], Evidence(topology, sockets, DeviceNames((), ())), str(at)
            ),
            parts=tuple(inside),
        )
        for at, inside in found.items()
    ]


def _may_be(one: ReceptacleSeen, untied: Sequence[ReceptacleSeen]) -> list[ReceptacleSeen]:
    """Slots of the table, in use by nobody knows what, that are as wide as the port or wider."""
    lanes = one.lanes.value or 1
    return [other for other in untied if other.lanes.value is None or other.lanes.value >= lanes]


@dataclass(frozen=True, slots=True)
class PartEntry:
    """
    One part of the build; `receptacle` None: where it sits is not known.

    Nor is it for what sits on such a part: it is in the machine, and not on a part beside it. The
    `file` of something unknown is that word.
    """

    id: str
    file: str
    title: str
    receptacle: str | None
    stays: bool = False
    required: bool = True
    remark: str = ""
    only: tuple[str, ...] = ()
    """Where it may sit, as far as that is known."""

    @property
    def is_unknown(self) -> bool:
        """Whether only its place is known."""
        return self.file == UNKNOWN


@dataclass(slots=True)
class PartFiles:
    """Parts as they are met; alike ones share a file."""

    ids: PciIds | None
    parts: list[PartEntry] = field(default_factory=list)
    files: dict[str, tuple[Piece, str]] = field(default_factory=dict)
    _names: Ids = field(default_factory=Ids)
    _items: Ids = field(default_factory=Ids)
    _known: dict[object, str] = field(default_factory=dict)

    def reserve(self, names: Sequence[str]) -> None:
        """Names that no part may have: the machine's."""
        for name in names:
            self._items.new(name)

    def add_slot(self, slot: BoardSlot, places: Places) -> None:
        """What sits in a receptacle of the board, with all that sits in it."""
        if slot.holds_unknown:
            self._add_unknown(slot, places)
        if slot.aside or not slot.parts:
            return
        home = Home(
            slot.form,
            slot.width.value if slot.width else None,
            slot.lanes.value if slot.lanes else None,
            slot.split,
            slot.power_w.value if slot.power_w else None,
        )
        why = "nothing says that it can be moved; take `pin` out if it can"
        mixed = any(part.kind == "switch" for part in slot.parts)
        if mixed:
            why = "a switch of the board, a riser or a card: take `pin` out if it can be moved"
        stays = mixed or not slot.sure
        self._add(piece_in(home, slot.parts), slot.id, stays=stays, remark=why)

    def _add_unknown(self, slot: BoardSlot, places: Places) -> None:
        told = places.told(slot.seen.occupied)
        why = f"in use ({told.basis})" if told else "in use"
        text = f"{why}, by what is not known: look, and write its part here"
        name = self._items.numbered(UNKNOWN)
        self.parts.append(PartEntry(name, UNKNOWN, SOMETHING, slot.id, True, True, text))

    def add_unplaced(self, part: PartSeen, near: Sequence[BoardSlot]) -> None:
        """A part of which it is not known where it sits, nor whether it can be moved."""
        drive = part.main.class_code == regs.CLASS_NVME
        form = assumed("m2-m" if drive else "cem", "nothing names the connector")
        names = tuple(slot.id for slot in near)
        where = f"; perhaps {', '.join(names[:6])}" if near else ""
        why = f"answers at {part.top.address}; which receptacle that is, is not known{where}"
        piece = piece_in(Home(form), [part])
        self._add(piece, None, stays=False, remark=clean(why, 400), required=False, only=names)

    def _add(
        self,
        piece: Piece,
        receptacle: str | None,
        *,
        stays: bool,
        remark: str,
        required: bool = True,
        only: tuple[str, ...] = (),
    ) -> None:
        file, title = self._file(piece)
        name = self._items.numbered(piece.kind.stem)
        self.parts.append(PartEntry(name, file, title, receptacle, stays, required, remark, only))
        for socket in piece.sockets:
            if socket.holds:
                inner = f"{name}/{socket.id}" if receptacle else None
                self._add(socket.holds, inner, stays=stays, remark=remark, required=required)

    def _file(self, piece: Piece) -> tuple[str, str]:
        """The name of the part's file, and what people call the part."""
        key = signature(piece)
        title = name_of(piece, self.ids)
        name = slug(title, piece.kind.stem)
        if key not in self._known:
            self._known[key] = self._names.new(name)
            self.files[self._known[key]] = (piece, title)
        return self._known[key], title
