"""The whole of it: from a machine to files as text, and to what must be said beside them."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slotfit.describe.board_file import BoardFacts, board_block, board_id
from slotfit.describe.build_file import (
    BOARD_FILE,
    BUILD_FILE,
    PARTS_FOLDER,
    alive_on,
    build_block,
)
from slotfit.describe.homes import with_homes
from slotfit.describe.hubs import Origins, origins_of
from slotfit.describe.layout import ItemTold, Layout
from slotfit.describe.part_file import assumed_fields, part_block
from slotfit.describe.processors import Processor, fitted_of, processors_of
from slotfit.describe.slots import Omitted, Slot, slots_of
from slotfit.describe.told import Places
from slotfit.describe.words import slug
from slotfit.describe.yaml_text import yaml_text
from slotfit.read.merge.machine import MachineSeen
from slotfit.read.merge.topology import Topology
from slotfit.read.pci_ids import PciIds


@dataclass(frozen=True, slots=True)
class Description:
    """
    The files, by path below the folder they go to; and what they are made from.

    `odd` are doubts that arose on the way, beside the disagreements and notes of `seen`.
    """

    name: str
    title: str
    files: Mapping[str, str]
    seen: MachineSeen
    slots: tuple[Slot, ...]
    omitted: tuple[Omitted, ...]
    items: tuple[ItemTold, ...]
    sockets: tuple[Processor, ...]
    origins: Mapping[str, str]
    """Slot -> processor or hub that its lanes come from, where it is known."""
    assumed: Mapping[str, tuple[str, ...]]
    """Part file -> its fields that nothing says."""
    odd: tuple[str, ...] = ()


def describe(
    seen: MachineSeen, name: str, places: Places, ids: PciIds | None = None
) -> Description:
    """
    Files for a machine, called `name` in its build file (made fit for an id).

    Never raises for what a machine may say; what is not known is left out of the files.
    """
    name = slug(name, "machine")
    topology = Topology({one.address: one for one in seen.functions})
    seen, adrift = with_homes(seen, topology)
    sockets = processors_of(seen, places)
    slots, omitted = slots_of(seen, topology, places)
    origins = origins_of(slots, sockets.value, topology, places)
    layout = Layout(ids)
    layout.reserve((name,))
    for slot in slots:
        layout.add_slot(slot)
    for part, near in adrift:
        layout.add_unplaced(part, near)
    alive = alive_on(slots, _processor_of(origins), sockets.value)
    fitted, proven = fitted_of(sockets.value, alive)
    facts = BoardFacts(seen, sockets, slots, omitted, origins)
    files = {
        f"{PARTS_FOLDER}/{file}.yaml": yaml_text(part_block(piece, file, title, places))
        for file, (piece, title) in layout.files.items()
    }
    files[BOARD_FILE] = yaml_text(board_block(facts, places))
    files[BUILD_FILE] = yaml_text(build_block(name, seen, fitted, layout.items, places))
    return Description(
        name,
        board_id(seen)[1],
        files,
        seen,
        slots,
        omitted,
        tuple(layout.items),
        sockets.value,
        {slot: told.value for slot, told in origins.of.items()},
        {file: assumed_fields(piece) for file, (piece, _) in layout.files.items()},
        tuple(
            f"the table calls the socket of {one} empty, and a part on it answers: taken as fitted"
            for one in proven
        ),
    )


def _processor_of(origins: Origins) -> dict[str, str]:
    """Slot -> the processor at the top of its origin."""
    above = {hub.id: hub.from_ for hub in origins.hubs.values()}
    found = {}
    for slot, told in origins.of.items():
        name = told.value
        while name in above:
            name = above[name]
        found[slot] = name
    return found
