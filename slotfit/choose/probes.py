"""Additions worth asking about: invented parts that stand for their class."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
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
    own_lanes: bool = False
    """It is to have lanes of its own, not share a chipset's or a switch's link upwards."""
    inside: bool = False
    """The further parts sit in the receptacles of the first one."""
    drives: int = 0
    """NVMe drives that one of it brings."""


LIGHT = Power(slot_w=20.0)
THICK = Power(slot_w=50.0, aux=("pcie-8",), aux_w=150.0, graphics=True)
DRIVE = Power(slot_w=8.25)


def card(lanes: int, power: Power, thickness: int = 1) -> Part:
    """
    A card of so many lanes, of the newest generation that boards have, low if it is thin.

    What it moves is left at nothing: whether a slot has the lanes is the question.
    """
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
        cooling="fan" if thickness > 1 else "none",
        demand=0,
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


CARDS = (
    ("x1 card", card(1, Power(slot_w=6.0)), {"min_lanes": 1}, False),
    ("x4 card at x4", card(4, LIGHT), {"min_lanes": 4}, False),
    ("x8 card at x8, on lanes of its own", card(8, LIGHT), {"min_lanes": 8}, True),
    ("x16 card at x16, on lanes of its own", card(16, LIGHT), {"min_lanes": 16}, True),
    (
        "two-slot card of 200 W with one 8-pin plug, at x8 or wider, on lanes of its own",
        card(16, THICK, 2),
        {"min_lanes": 8},
        True,
    ),
)


def standard_probes(carriers: Iterable[Part]) -> tuple[Probe, ...]:
    """
    What people add: cards by width, a thick card, drives, and carriers full of drives.

    `carriers` are parts with M.2 sockets (of the catalog); each is tried full.
    """
    m2, u2 = drive("m2-m", 80), drive("u2")
    return (
        *(Probe(name, ((part, 1),), wish, own_lanes=own) for name, part, wish, own in CARDS),
        Probe("M.2 drive in a socket that is there", ((m2, 1),), most=24, drives=1),
        Probe("U.2 drive on a port that is there", ((u2, 1),), most=24, drives=1),
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
        inside=True,
        drives=sockets,
    )


def expected(part: Part, count: int) -> Probe:
    """An addition the user expects: up to `count` of one part."""
    name = f"{count} x {part.id}" if count > 1 else part.id
    drives = int(part.part_class == "drive" and any(link.bus == "pcie" for link in part.links))
    return Probe(name, ((part, 1),), most=count, drives=drives)


def together(probes: Sequence[Probe], name: str = "all of them together") -> Probe:
    """All of several additions at once."""
    parts = tuple((part, each * probe.most) for probe in probes for part, each in probe.parts)
    return Probe(name, parts, most=1)
