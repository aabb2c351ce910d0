"""Which part sits where today: every part with its name, its file, and the receptacle it is in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass, field

from slotfit.describe.part_file import part_id, signature
from slotfit.describe.pieces import Home, Piece, piece_in
from slotfit.describe.slots import Slot
from slotfit.describe.told import assumed
from slotfit.describe.words import Ids, clean
from slotfit.read.merge.machine import PartSeen
from slotfit.read.pci_ids import PciIds
from slotfit.standards import pci_regs as regs


@dataclass(frozen=True, slots=True)
class ItemTold:
    """One part of the build; `site` None: where it sits is not known."""

    id: str
    file: str
    title: str
    site: str | None
    stays: bool = False
    required: bool = True
    remark: str = ""


@dataclass(slots=True)
class Layout:
    """Parts as they are met; alike ones share a file."""

    ids: PciIds | None
    items: list[ItemTold] = field(default_factory=list)
    files: dict[str, tuple[Piece, str]] = field(default_factory=dict)
    _names: Ids = field(default_factory=Ids)
    _items: Ids = field(default_factory=Ids)
    _known: dict[object, str] = field(default_factory=dict)

    def reserve(self, names: Sequence[str]) -> None:
        """Names that no part may have: the machine's."""
        for name in names:
            self._items.new(name)

    def add_slot(self, slot: Slot) -> None:
        """What sits in a receptacle of the board, with all that sits in it."""
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

    def add_unplaced(self, part: PartSeen, near: Sequence[str]) -> None:
        """A part of which it is not known where it sits, nor whether it can be moved."""
        drive = part.main.class_code == regs.CLASS_NVME
        form = assumed("m2-m" if drive else "cem", "nothing names the connector")
        where = f"; perhaps {', '.join(near[:6])}" if near else ""
        why = f"answers at {part.top.address}; which receptacle that is, is not known{where}"
        piece = piece_in(Home(form), [part])
        self._add(piece, None, stays=False, remark=clean(why, 400), required=False)

    def _add(
        self, piece: Piece, site: str | None, *, stays: bool, remark: str, required: bool = True
    ) -> None:
        file, title = self._file(piece)
        name = self._items.numbered(piece.kind.stem)
        self.items.append(ItemTold(name, file, title, site, stays, required, remark))
        for socket in piece.sockets:
            if socket.holds:
                inner = f"{name}/{socket.id}"
                self._add(socket.holds, inner, stays=stays, remark=remark, required=required)

    def _file(self, piece: Piece) -> tuple[str, str]:
        """The name of the part's file, and what people call the part."""
        key = signature(piece)
        name, title = part_id(piece, self.ids)
        if key not in self._known:
            self._known[key] = self._names.new(name)
            self.files[self._known[key]] = (piece, title)
        return self._known[key], title
