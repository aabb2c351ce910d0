"""The board as a file, each field with where it comes from, and the gaps with how to fill them."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slotfit.describe.hubs import HubTold, Origins
from slotfit.describe.processors import Processor
from slotfit.describe.slots import Omitted, Slot
from slotfit.describe.told import Places, Told
from slotfit.describe.words import said, slug
from slotfit.describe.yaml_text import Block, Blocks, Field, Flow, Remark
from slotfit.load.splits import EVEN, label_of
from slotfit.read.merge.machine import MachineSeen
from slotfit.read.seen import BoardSeen

GAPS = (
    "What is left out is not known. Nothing that a machine says of itself tells the following:",
    "- splits: can a slot be divided, and into what? See the firmware's settings, and the manual.",
    "- rows, row, position: count slot pitches (20.32 mm), places without a connector too.",
    "- open_end, length_mm, height_mm, bracket: look at the slot and measure the room behind it.",
    "- power_w, where it is missing: the manual's slot table.",
    "- generation, where it is missing: the manual, or `lspci -vv` as root (LnkCap of the port).",
    "- size: compare the mounting holes with the manual.",
)


@dataclass(frozen=True, slots=True)
class BoardFacts:
    """Everything the board's file is made from."""

    seen: MachineSeen
    sockets: Told[tuple[Processor, ...]]
    slots: tuple[Slot, ...]
    omitted: tuple[Omitted, ...]
    origins: Origins


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


def board_block(facts: BoardFacts, places: Places) -> Block:
    """The board's file."""
    name, title = board_id(facts.seen)
    entries: list[Field | Remark] = [
        Remark("Read from a running machine, and only as good as what its firmware says."),
        *map(Remark, GAPS),
        Remark(),
        Field("kind", "board"),
        Field("id", name),
        Field("name", title, _board_basis(facts.seen, places)),
        Field("processors", _processors(facts.sockets.value), facts.sockets.basis),
    ]
    if facts.origins.hubs:
        entries.append(Field("hubs", _hubs(list(facts.origins.hubs.values()))))
    entries.append(Field("receptacles", Blocks(tuple(_receptacles(facts)))))
    entries += _not_described(facts.omitted)
    if any(not slot.aside for slot in facts.slots):
        entries.append(Field("sources", _sources(facts.slots, places)))
    return Block(tuple(entries))


def _board_basis(seen: MachineSeen, places: Places) -> str:
    return places.at(seen.boards[0].where) if seen.boards else "no source names the board"


def _processors(sockets: Sequence[Processor]) -> Blocks:
    return Blocks(
        tuple(
            Block(
                (Field("id", one.id, "" if one.label else one.basis),)
                + ((Field("label", one.label, one.basis),) if one.label else ())
            )
            for one in sockets
        )
    )


def _hubs(hubs: Sequence[HubTold]) -> Blocks:
    return Blocks(
        tuple(
            Block(
                (
                    Field("id", hub.id, "a switch of the board: what is below it shares its link"),
                    Field("from", hub.from_),
                    Field("generation", hub.generation, hub.basis),
                    Field("lanes", hub.lanes),
                )
            )
            for hub in hubs
        )
    )


def _receptacles(facts: BoardFacts) -> Iterator[Block | Remark]:
    slots = facts.slots
    yield from (_receptacle(slot, facts.origins) for slot in slots if not slot.aside)
    aside = [slot for slot in slots if slot.aside]
    if aside:
        yield Remark(
            "Ports with a slot that no record names and nothing sits in: take in what there is."
        )
        yield from (_receptacle(slot, facts.origins) for slot in aside)


def _receptacle(slot: Slot, origins: Origins) -> Block:
    origin = origins.of.get(slot.id)
    told: tuple[tuple[str, Told[int] | Told[str] | Told[float] | None], ...] = (
        ("width", slot.width),
        ("from", origin),
        ("generation", slot.generation),
        ("lanes", slot.lanes),
        ("power_w", slot.power_w),
        ("isolation", slot.isolation),
    )
    fields = [
        Field("id", slot.id),
        Field("label", slot.label),
        Field("form", slot.form.value, slot.form.basis or _form_basis(slot)),
        *(Field(key, one.value, one.basis) for key, one in told if one is not None),
    ]
    if slot.split and slot.lanes:
        fields.append(Field("splits", _splits(slot.split, slot.lanes.value), _SPLIT_BASIS))
    remarks = [*slot.remarks, *filter(None, (origins.remarks.get(slot.id),)), *_gaps(slot)]
    return Block((*fields, *map(Remark, remarks)), aside=slot.aside)


_SPLIT_BASIS = (
    "seen at work as the machine is now; whether it can be undone or changed is not known"
)


def _splits(seen: tuple[int, ...], lanes: int) -> Flow:
    """The division that was seen, and those that nobody has said anything about."""
    others = (half for half in EVEN.get(lanes, ()) if half != seen)
    return [
        {"split": label_of(seen), "proof": "seen"},
        *({"split": label_of(half), "proof": None} for half in others),
    ]


def _form_basis(slot: Slot) -> str:
    claims = slot.seen.forms.claims
    return claims[0].basis if claims else ""


def _gaps(slot: Slot) -> Iterator[str]:
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


def _not_described(omitted: Sequence[Omitted]) -> Iterator[Remark]:
    if omitted:
        yield Remark("Not described:")
        yield from (Remark(f"- {one.label}: {one.why}") for one in omitted)


def _sources(slots: Sequence[Slot], places: Places) -> Block:
    """Receptacle -> the places that speak of it."""
    return Block(
        tuple(
            Field(slot.id, "; ".join(_spoken_of(slot, places))) for slot in slots if not slot.aside
        )
    )


def _spoken_of(slot: Slot, places: Places) -> Iterator[str]:
    yield from (places.at(record.where) for record in slot.seen.records)
    for port in slot.seen.ports:
        joined = f" (joined by {slot.seen.joined_by})" if slot.seen.joined_by else ""
        yield f"port {port.address}{joined}, {places.at(port.where)}"
