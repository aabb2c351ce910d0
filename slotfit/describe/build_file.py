"""The build file: the machine as it is today."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.describe.layout import ItemTold
from slotfit.describe.processors import Processor
from slotfit.describe.slots import Slot
from slotfit.describe.told import Places
from slotfit.describe.words import clean, said
from slotfit.describe.yaml_text import Block, Blocks, Field, Flow, Remark
from slotfit.read.merge.machine import MachineSeen

BOARD_FILE, BUILD_FILE, PARTS_FOLDER = "board.yaml", "build.yaml", "parts"


def build_block(
    name: str,
    seen: MachineSeen,
    fitted: tuple[str, ...] | None,
    items: Sequence[ItemTold],
    places: Places,
) -> Block:
    """The build file of the machine `name`, with today's layout."""
    entries: list[Field | Remark] = [
        Remark(
            "The machine as it is today, read from itself. Add what is to come, then: slotfit place"
        ),
        Field("kind", "build"),
        Field("id", name),
        Field("machines", Blocks((_machine(name, seen, fitted, places),))),
        Remark(),
        Field("parts", Blocks(tuple(_part(item) for item in items))),
        Remark(),
    ]
    today = [item for item in items if item.site]
    if today:
        entries.append(Field("today", Block(tuple(Field(one.id, str(one.site)) for one in today))))
    return Block(tuple(entries))


def _machine(name: str, seen: MachineSeen, fitted: tuple[str, ...] | None, places: Places) -> Block:
    entries: list[Field | Remark] = [Field("id", name), Field("board", f"./{BOARD_FILE}")]
    if fitted is not None:
        entries.append(Field("processors", fitted, "the other sockets are empty"))
    entries += [Remark(text) for text in _around(seen, places)]
    return Block(tuple(entries))


def _around(seen: MachineSeen, places: Places) -> Iterator[str]:
    """Chassis and supply: what the table says of them, for whoever writes them down."""
    for one in seen.chassis[:1]:
        height = f", {one.height_u} U" if one.height_u else ""
        kind = clean(one.chassis_type or "not named")
        yield f"chassis: not described; the table says: {kind}{height} ({places.at(one.where)})"
    if not seen.chassis:
        yield "chassis: not described: room for cards, bays, air"
    yield "power_supply, base_w: not described" + "".join(_supplies(seen, places))


def _supplies(seen: MachineSeen, places: Places) -> Iterator[str]:
    known = [one for one in seen.power_supplies if one.max_power_w]
    for number, one in enumerate(known[:4]):
        lead = "; the table says: " if number == 0 else ", "
        model = said(one.model) or said(one.name) or "a supply"
        yield f"{lead}{model} of {one.max_power_w} W ({places.at(one.where)})"


def _part(item: ItemTold) -> Block:
    fields: list[Field | Remark] = [
        Field("id", item.id, item.title),
        Field("part", f"./{PARTS_FOLDER}/{item.file}.yaml"),
    ]
    if item.stays and item.site:
        fields.append(Field("pin", item.site, item.remark))
    if not item.required:
        fields.append(Field("required", value=False))
        fields += [Remark(item.remark)] if item.remark else []
    return Block(tuple(fields))


def alive_on(
    slots: Sequence[Slot], origins: dict[str, str], sockets: Sequence[Processor]
) -> frozenset[str]:
    """Processors with a part on them that answers; `origins` leads from slot to processor."""
    known = {one.id for one in sockets}
    found: set[Flow] = {origins[slot.id] for slot in slots if slot.parts and slot.id in origins}
    return frozenset(str(name) for name in found if name in known)
