"""Additions worth asking about: invented parts that stand for their class."""

from __future__ import annotations

from collections.abc import Iterable
from dataclasses import dataclass, field
from typing import Any

from slotfit.model.part import Part, Power

CLASS_FIGURE = "stands for its class; common practice, no source"


@dataclass(frozen=True)
class Probe:
    """One kind of addition, and how many of it are tried at most."""

    name: str
    parts: tuple[tuple[Part, int], ...]
    """What one of it is made of: parts, each so many times."""
    wish: dict[str, Any] = field(default_factory=dict)
    """Wishes for the first part."""
    most: int = 8


LIGHT = Power(slot_w=20.0)
THICK = Power(slot_w=50.0, aux=("pcie-8",), aux_w=150.0, graphics=True)
DRIVE = Power(slot_w=8.25)


def card(lanes: int, power: Power, thickness: int = 1) -> Part:
    """A card of so many lanes, of the newest generation that boards have."""
    return described(
        f"x{lanes}-card" + (f"-{thickness}-slots" if thickness > 1 else ""),
        plug=f"cem x{lanes}",
        links=f"x{lanes}",
        generation=5,
        thickness=thickness,
        length_mm=167.65,
        height_mm=68.9 if thickness == 1 else 111.15,
        bracket="both" if thickness == 1 else "full",
        power=power,
    )


def drive(form: str, length_mm: float | None = None) -> Part:
    """An NVMe drive of four lanes."""
    return described(
        f"{form}-drive",
        plug=form,
        links="x4",
        generation=4,
        length_mm=length_mm,
        power=DRIVE,
        demand=3.2,
        **{"class": "drive"},
    )


def described(name: str, **fields: Any) -> Part:
    """A part that stands for its class."""
    return Part.model_validate(
        {"id": name, "invented": True, "sources": {"links": CLASS_FIGURE}, **fields}
    )


def standard_probes(carriers: Iterable[Part]) -> tuple[Probe, ...]:
    """
    What people add: cards by width, a thick card, drives, and carriers full of drives.

    `carriers` are parts with M.2 sockets (of the catalog); each is tried full.
    """
    m2 = drive("m2-m", 80)
    cards = (
        ("a x1 card", card(1, Power(slot_w=6.0)), 1),
        ("a x4 card at full width", card(4, LIGHT), 4),
        ("a x8 card at full width", card(8, LIGHT), 8),
        ("a x16 card at full width", card(16, LIGHT), 16),
        ("a two-slot card of 200 W, at x8 or wider", card(16, THICK, 2), 8),
    )
    return (
        *(Probe(name, ((part, 1),), {"min_lanes": least}) for name, part, least in cards),
        Probe("an M.2 drive in a socket that is there", ((m2, 1),), most=24),
        Probe("a U.2 drive on a port that is there", ((drive("u2"), 1),), most=24),
        *(filled(carrier, m2) for carrier in carriers),
    )


def filled(carrier: Part, m2: Part) -> Probe:
    """A carrier with a drive in every socket, all of them seen."""
    sockets = sum(receptacle.form == "m2-m" for receptacle in carrier.receptacles)
    return Probe(
        f"{carrier.name or carrier.id}, full of drives",
        ((carrier, 1), (m2, sockets)),
        {"endpoints": len(carrier.links)},
        most=4,
    )


def expected(name: str, part: Part, count: int) -> Probe:
    """An addition the user expects: up to `count` of one part."""
    return Probe(name, ((part, 1),), most=count)


def together(probes: Iterable[Probe]) -> Probe:
    """All of several additions at once."""
    parts = tuple((part, each * probe.most) for probe in probes for part, each in probe.parts)
    return Probe("all of them together", parts, most=1)
