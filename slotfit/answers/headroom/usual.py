"""Additions worth asking about: invented parts that stand for their class, and parts expected."""

from __future__ import annotations

import re
from collections.abc import Iterable, Sequence
from typing import Any

from slotfit.answers.place.additions import Probe, expected, together
from slotfit.errors import InputError, Mistake
from slotfit.load.catalog import Catalog
from slotfit.model.part import PartSpec, Power

CLASS_FIGURE = "stands for its class; common practice, no source"

LIGHT = Power(slot_w=20.0)
THICK = Power(slot_w=50.0, aux=("pcie-8",), aux_w=150.0, graphics=True)
DRIVE = Power(slot_w=8.25)


def card(lanes: int, power: Power, thickness: int = 1) -> PartSpec:
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


def drive(form: str, length_mm: float | None = None) -> PartSpec:
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


def described(name: str, **fields: Any) -> PartSpec:
    """A part that stands for its class."""
    return PartSpec.model_validate(
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


def standard_probes(carriers: Iterable[PartSpec]) -> tuple[Probe, ...]:
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


def filled(carrier: PartSpec, m2: PartSpec) -> Probe:
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


EXPECTED = re.compile(r"^(?P<part>.+?)(?:=(?P<count>\d{1,3}))?$", re.DOTALL)

USUAL = ("carrier-m2x2-x8-gen4", "carrier-m2x4-gen4", "carrier-switch-m2x4-x8-gen3")
"""A passive carrier for two, one for four, and one with a switch for four; where there is one."""


def expected_parts(arguments: Sequence[str], catalog: Catalog) -> list[Probe]:
    """`nvme-2280-gen4=4`: up to four of that part. Raises InputError with every mistake."""
    probes: list[Probe] = []
    mistakes: list[Mistake] = []
    for argument in arguments:
        name, equals, said = argument.rpartition("=")
        if equals and "{" not in argument and not said.isdigit():
            text = f"{argument}: write how many as a whole number, such as {name}=4"
            mistakes.append(Mistake("--expect", "", text))
            continue
        found = EXPECTED.match(argument)
        name, count = (found["part"], found["count"]) if found else (argument, None)
        number = int(count) if count else 1
        if not 1 <= number <= 64:
            mistakes.append(Mistake("--expect", "", f"{argument}: expected 1 to 64 of a part"))
            continue
        try:
            part = catalog.given(name, PartSpec, "--expect")
        except InputError as error:
            mistakes += error.mistakes
        else:
            probes.append(expected(part, number))
    if mistakes:
        raise InputError(mistakes)
    return probes


def probes_asked(expect: Sequence[str], catalog: Catalog) -> list[Probe]:
    """What to try: the parts expected, each and all together, or else what people usually add."""
    if not expect:
        return [*standard_probes(usual_carriers(catalog))]
    probes = expected_parts(expect, catalog)
    return [*probes, together(probes)] if len(probes) > 1 else probes


def usual_carriers(catalog: Catalog) -> list[PartSpec]:
    """Those of the usual carriers that the catalog has."""
    known = set(catalog.ids(PartSpec))
    return [catalog.load(name, PartSpec) for name in USUAL if name in known]
