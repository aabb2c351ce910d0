"""One part as a file, each field with where it comes from."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.describe.named import name_of, recognised_by
from slotfit.describe.pieces import LinkTold, Piece
from slotfit.describe.told import Places
from slotfit.describe.words import slug
from slotfit.describe.yaml_text import Block, Blocks, Field, Flow, Remark
from slotfit.read.pci_ids import PciIds

HEAD = (
    "Read from a running machine. What it does not say of itself is left out or marked `assumed`."
)


def part_block(piece: Piece, name: str, title: str, places: Places) -> Block:
    """The file of a part called `name` in files and `title` by people."""
    entries: list[Field | Remark] = [
        Remark(HEAD),
        Field("kind", "part"),
        Field("id", name),
        Field("name", title),
        Field("class", piece.kind.part_class, _class_basis(piece)),
        Field("plug", _plug(piece), _plug_basis(piece)),
        Field("links", _links(piece.links.value), piece.links.basis),
    ]
    if piece.generation:
        entries.append(Field("generation", piece.generation.value, piece.generation.basis))
    if piece.wiring != "passive":
        entries.append(Field("wiring", piece.wiring, "a packet switch answers on the bus"))
    if piece.sockets:
        entries.append(Field("receptacles", Blocks(tuple(map(Block, _sockets(piece))))))
    entries += _assumptions(piece)
    numbers = recognised_by(piece)
    if numbers:
        entries.append(Field("recognise", numbers))
    marks = assumed_fields(piece)
    if marks:
        entries.append(Field("assumed", marks))
    where = {"links": places.at(piece.seen.top.where)}
    entries.append(Field("sources", where))
    entries += [Remark(text) for text in (*piece.remarks, *_measure(piece))]
    return Block(tuple(entries))


def part_id(piece: Piece, ids: PciIds | None) -> tuple[str, str]:
    """A wish for an id, and the part's name."""
    title = name_of(piece, ids)
    return slug(title, piece.kind.stem), title


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
        tuple((one.id, one.form, one.lanes, one.generation) for one in piece.sockets),
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


def _plug(piece: Piece) -> str:
    return f"{piece.form.value} x{piece.width}" if piece.width else piece.form.value


def _plug_basis(piece: Piece) -> str:
    if piece.form.assumed:
        return piece.form.basis
    return "assumed: the form of what it sits in" + (
        ", the connector after the width of its link" if piece.width else ""
    )


def _links(links: tuple[LinkTold, ...]) -> Flow:
    if len(links) == 1 and links[0].socket is None:
        return f"x{links[0].lanes}"
    return [
        {"at": link.at, "lanes": link.lanes} | ({"to": [link.socket]} if link.socket else {})
        for link in links
    ]


def _sockets(piece: Piece) -> Iterator[tuple[Field, ...]]:
    for one in piece.sockets:
        fields = [Field("id", one.id), Field("form", one.form, "assumed")]
        if piece.wiring != "passive":
            fields += [Field("lanes", one.lanes)] if one.lanes else []
            fields += [Field("generation", one.generation)] if one.generation else []
        yield tuple(fields)


def _assumptions(piece: Piece) -> Iterator[Field]:
    if piece.pitches:
        yield Field("thickness", piece.pitches, "assumed from its class: look")
    if piece.draw_w:
        power: dict[str, Flow] = {"slot_w": piece.draw_w}
        power |= {"graphics": True} if piece.graphics else {}
        yield Field("power", power, "assumed: as much as its connector may give it")


def _measure(piece: Piece) -> Iterator[str]:
    """What only a look at the part tells."""
    if piece.form.value == "cem":
        yield (
            "To measure or look up: thickness (in slot pitches), length_mm, height_mm, bracket, "
            "cooling, power with its plugs (aux, aux_w)."
        )
    elif piece.kind.part_class == "drive":
        yield "To look up: power in its data sheet; for M.2 its length."
