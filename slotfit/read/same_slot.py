"""Which records describe one receptacle, and what they say of it together."""

from __future__ import annotations

import re
from collections.abc import Sequence
from dataclasses import replace

from slotfit.read import receptacles
from slotfit.read.designation import hints_of
from slotfit.read.seen import SlotSeen
from slotfit.read.ties import Tie
from slotfit.standards import pci_regs as regs

# The widest slot for cards: a sum above it counts the whole slot's record and its parts'.
_WIDEST = 16
_LETTERED = re.compile(
    r"(.*\d(?:_(?:FRONT|REAR|LEFT|RIGHT))?)(?:_[A-D](?:/.*)?|(_PORT ?[A-H]))", re.IGNORECASE
)


def grouped(ties: Sequence[Tie]) -> list[list[Tie]]:
    """
    Records that describe one receptacle, together.

    Same designation with the same number, or with ports on one device; or `..._A`, `..._B` and
    `..._PortA`, `..._PortB` of one stem. A repeated designation alone does not do: many boards call
    every slot the same.
    """
    groups: list[list[Tie]] = []
    for tie in ties:
        home = next((group for group in groups if _same(group[0], tie)), None)
        if home is None:
            groups.append([tie])
        else:
            home.append(tie)
    return [part for group in groups for part in _apart(group)]


def _apart(group: list[Tie]) -> list[list[Tie]]:
    """
    The group, or each record alone where they cannot be one slot's.

    Two slots of one name and number, x1 each, do not make one of x2: no such slot is sold. The same
    record twice is one.
    """
    different = _different(group)
    if len(different) == 1 or (_are_ports(group) and _room(group) is None):
        return [group]
    total = sum(record.lanes or 0 for record in different)
    room = _room(group) or different[0].type_lanes or different[0].physical_lanes
    fits = total <= room if room else total == 0 or total % 4 == 0
    return [group] if fits else _twice_once(group)


def _different(group: Sequence[Tie]) -> list[SlotSeen]:
    """The records that are not one and the same, told apart by name, number and address."""
    found = {(one.designation, one.slot_id, one.address): one for one in (t.record for t in group)}
    return [*found.values()]


def _twice_once(group: Sequence[Tie]) -> list[list[Tie]]:
    """Each record alone, the same one together."""
    found: dict[object, list[Tie]] = {}
    for tie in group:
        record = tie.record
        found.setdefault((record.designation, record.slot_id, record.address), []).append(tie)
    return [*found.values()]


def _are_ports(group: Sequence[Tie]) -> bool:
    """Whether the records call themselves ports of one thing."""
    names = (_LETTERED.fullmatch(tie.record.designation or "") for tie in group)
    return all(name and name.group(2) for name in names)


def _room(group: Sequence[Tie]) -> int | None:
    """Lanes that fit into one receptacle of the form, where the form bounds them."""
    record = group[0].record
    hints = hints_of(record.designation)
    return receptacles.ROOM_FOR.get(receptacles.form(record, hints, None).value or "")


def _same(one: Tie, other: Tie) -> bool:
    first, second = one.record.designation, other.record.designation
    if not first or not second:
        return False
    if first == second:
        if one.ports and other.ports:
            a, b = one.ports[0].address, other.ports[0].address
            return (a.domain, a.bus, a.device) == (b.domain, b.bus, b.device)
        return one.record.slot_id == other.record.slot_id and bool(one.record.slot_id)
    stems = [_LETTERED.fullmatch(name) for name in (first, second)]
    return bool(stems[0] and stems[1] and stems[0].group(1) == stems[1].group(1))


def combined(group: list[Tie]) -> SlotSeen:
    """The first record, in use if any is; several narrow ones of a slot add up to its width."""
    record = group[0].record
    if len(group) == 1:
        return record
    if any(tie.record.usage == "in use" for tie in group):
        record = replace(record, usage="in use")
    widths = [one.lanes for one in _different(group)]
    shape = record.type_lanes or record.physical_lanes
    known = [width for width in widths if width]
    total = sum(known)
    if len(widths) < len(group):  # one is there twice: then nobody knows which add up
        return replace(record, lanes=max(known, default=None))
    if len(known) == len(widths) and total in regs.LEGAL_LANES and total <= (shape or _WIDEST):
        return replace(record, lanes=total)
    return record
