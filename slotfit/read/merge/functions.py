"""
One entry a PCI function, from every source that shows it.

Field by field the better-founded source wins: the running system, then registers, then text, then
the tree. What should not differ and does is reported.
"""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import fields, replace

from slotfit.read.merge.machine import Claim, Disagreement
from slotfit.read.seen import FunctionSeen, LinkSeen, Note, PciAddress, Reading, Where

RANK = ("sysfs", "lspci hex", "lspci text", "lspci tree")
_FIELDS = tuple(
    spec.name for spec in fields(FunctionSeen) if spec.name not in ("where", "address", "link")
)
_LINK_FIELDS = tuple(spec.name for spec in fields(LinkSeen))
_FIXED = ("vendor_id", "device_id", "class_code", "port_type", "secondary_bus", "slot_number")
_FIXED_LINK = ("lanes_max", "generation_max")
_WORDS = {
    "vendor_id": "vendor number",
    "device_id": "device number",
    "class_code": "class",
    "port_type": "port type",
    "secondary_bus": "secondary bus",
    "slot_number": "slot number",
    "lanes_max": "widest link",
    "generation_max": "highest generation",
}


def merged_functions(
    readings: Sequence[Reading],
) -> tuple[dict[PciAddress, FunctionSeen], list[Disagreement], list[Note]]:
    """Functions by address in bus order, what sources disagree on, and notes."""
    ranked = sorted(
        (reading for reading in readings if reading.functions),
        key=lambda reading: RANK.index(reading.kind) if reading.kind in RANK else len(RANK),
    )
    found: dict[PciAddress, FunctionSeen] = {}
    basis: dict[PciAddress, str] = {}
    disagreements: list[Disagreement] = []
    shared = strange = 0
    for reading in ranked:
        for seen in reading.functions:
            known = found.get(seen.address)
            if known is None:
                found[seen.address], basis[seen.address] = seen, reading.kind
                continue
            clashes = _clashes(known, basis[seen.address], seen, reading.kind)
            shared += 1
            strange += any(clash.fact in ("vendor number", "device number") for clash in clashes)
            disagreements += clashes
            found[seen.address] = _filled(known, seen)
    notes = _different_machines(shared, strange, ranked)
    return dict(sorted(found.items())), disagreements, notes


def _filled(known: FunctionSeen, other: FunctionSeen) -> FunctionSeen:
    """`known` with what only `other` says."""
    gaps = {
        name: getattr(other, name)
        for name in _FIELDS
        if getattr(known, name) is None and getattr(other, name) is not None
    }
    link = known.link or other.link
    if known.link and other.link:
        link_gaps = {
            name: getattr(other.link, name)
            for name in _LINK_FIELDS
            if getattr(known.link, name) is None
        }
        link = replace(known.link, **link_gaps)
    return replace(known, link=link, **gaps)


def _clashes(
    known: FunctionSeen, known_basis: str, other: FunctionSeen, other_basis: str
) -> list[Disagreement]:
    pairs = [(name, getattr(known, name), getattr(other, name)) for name in _FIXED]
    if known.link and other.link:
        pairs += [
            (name, getattr(known.link, name), getattr(other.link, name)) for name in _FIXED_LINK
        ]
    return [
        Disagreement(
            str(known.address),
            _WORDS[name],
            Claim(mine, known_basis, known.where),
            (Claim(theirs, other_basis, other.where),),
            f"{known_basis} is nearer to the hardware than {other_basis}",
        )
        for name, mine, theirs in pairs
        if mine is not None and theirs is not None and mine != theirs
    ]


def _different_machines(shared: int, strange: int, ranked: list[Reading]) -> list[Note]:
    """A few changed devices are a later look; many are another machine."""
    if shared >= 4 and strange * 3 > shared:
        text = f"{strange} of {shared} shared addresses hold other devices: not the same machine?"
        return [Note("odd", text, Where(ranked[-1].file))]
    return []
