"""What a part is called, and the numbers by which it is recognised again."""

from __future__ import annotations

import re

from slotfit.describe.kinds import class_words
from slotfit.describe.pieces import Piece
from slotfit.describe.words import said
from slotfit.read.pci_ids import PciIds
from slotfit.read.seen import FunctionSeen

MOST_NUMBERS = 8
_NO_NAME = re.compile(r"^(?:device|unknown device)\b", re.IGNORECASE)


def name_of(piece: Piece, ids: PciIds | None) -> str:
    """The most telling name that anything gives: of the drive, the card, the chip, the class."""
    models = {drive.model for drive in piece.seen.drives if drive.model}
    if piece.kind.part_class == "drive" and len(models) == 1:
        model = said(models.pop())
        if model:
            return model
    if not piece.functions:
        return f"passive carrier with {len(piece.sockets)} drives"
    main = piece.functions[0]
    names = (main.product_name, main.subsystem_name, _listed_card(main, ids), main.name)
    for name in (*names, _listed_chip(main, ids)):
        shown = said(name)
        if shown and not _NO_NAME.match(shown):
            return shown
    return f"{class_words(main.class_code)} {numbers_of(main) or ''}".strip()


def _listed_card(seen: FunctionSeen, ids: PciIds | None) -> str | None:
    """The card's name in the public list, with its vendor's."""
    if ids is None or not _has_card(seen):
        return None
    vendor, card = seen.subsystem_vendor_id or 0, seen.subsystem_id or 0
    name = ids.subsystem(seen.vendor_id or 0, seen.device_id or 0, (vendor, card))
    return f"{ids.vendor(vendor) or ''} {name}" if name else None


def _listed_chip(seen: FunctionSeen, ids: PciIds | None) -> str | None:
    if ids is None or seen.vendor_id is None or seen.device_id is None:
        return None
    name = ids.device(seen.vendor_id, seen.device_id)
    return f"{ids.vendor(seen.vendor_id) or ''} {name}" if name else None


def recognised_by(piece: Piece) -> tuple[str, ...]:
    """Numbers of its functions; those of bridges only where it has no others."""
    plain = [seen for seen in piece.functions if not seen.is_bridge]
    found = (numbers_of(seen) for seen in plain or piece.functions)
    return tuple(dict.fromkeys(filter(None, found)))[:MOST_NUMBERS]


def numbers_of(seen: FunctionSeen) -> str | None:
    """
    Vendor and device, with the card's after a slash; None if not known.

    The form is that of `recognise` in a part's file.
    """
    if seen.vendor_id is None or seen.device_id is None:
        return None
    chip = f"{seen.vendor_id & 0xFFFF:04x}:{seen.device_id & 0xFFFF:04x}"
    if not _has_card(seen):
        return chip
    card = f"{(seen.subsystem_vendor_id or 0) & 0xFFFF:04x}:{(seen.subsystem_id or 0) & 0xFFFF:04x}"
    return f"{chip}/{card}"


def _has_card(seen: FunctionSeen) -> bool:
    return bool(seen.subsystem_vendor_id) and seen.subsystem_id is not None
