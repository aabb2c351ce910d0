"""What the file of a part, chassis or power supply leaves open."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.catalog.gaps import Gap, Question, Remark, gaps_in
from slotfit.model.build import Build
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import Part
from slotfit.rules.pow006_draw_unknown import is_said, only_wires
from slotfit.standards.power import STILL_AIR_W

BOTH: tuple[Question, ...] = ("place", "check")


def part_gaps(part: Part, file: str) -> Iterator[Remark]:
    """Everything not said of a part that some rule asks for."""
    return gaps_in([("", part)], PART_GAPS, file)


def chassis_gaps(chassis: Chassis, file: str) -> Iterator[Remark]:
    return gaps_in([("", chassis)], CHASSIS_GAPS, file)


def supply_gaps(supply: PowerSupply, file: str) -> Iterator[Remark]:
    return gaps_in([("", supply)], SUPPLY_GAPS, file)


def is_card(part: Part) -> bool:
    """Something that stands in a slot with a bracket of its own."""
    return part.plug.form == "cem" and part.part_class not in ("riser", "cable")


def has_endpoint(part: Part) -> bool:
    """Whether a link of its own ends in it, so that its rate matters."""
    return any(link.bus == "pcie" and not link.to for link in part.links)


PART_GAPS = (
    Gap(
        "generation",
        "LANE009",
        ("place", "check", "compare"),
        lambda part: (
            part.generation is None
            and any(link.generation is None for link in part.links)
            and has_endpoint(part)
        ),
        "the generation is not said, so how fast it trains is not known",
        "its data sheet; in a running machine its LnkCap line in `lspci -vv`",
    ),
    Gap(
        "width",
        "FIT002",
        BOTH,
        lambda part: part.plug.form == "cem" and part.plug.width is None,
        "the length of its connector is not said, so which slots take it is in doubt",
        "measure its edge: about 20 mm is x1, 34 mm x4, 51 mm x8, 84 mm x16; `plug: cem x8`",
    ),
    Gap(
        "thickness",
        "FIT005",
        BOTH,
        lambda part: part.thickness is None and is_card(part),
        "how many slots it covers is not said; one is assumed, and answers rest on it",
        "measure from the back of its board: up to about 17 mm is 1, each further 20.32 mm 1 more",
    ),
    Gap(
        "length_mm",
        "FIT006",
        BOTH,
        lambda part: (
            part.length_mm is None and is_card(part) and part.bracket not in ("low", "both")
        ),
        "its length is not said, so whether it fits the chassis is in doubt",
        "its data sheet or a ruler",
    ),
    Gap(
        "length_mm",
        "FIT010",
        BOTH,
        lambda part: part.length_mm is None and part.plug.form.startswith("m2-"),
        "its length is not said, so whether there is a stand-off for it is in doubt",
        "the last digits of its size: 80 for 2280, 110 for 22110",
    ),
    Gap(
        "height_mm",
        "FIT007",
        BOTH,
        lambda part: (
            part.height_mm is None and is_card(part) and part.bracket not in ("low", "both")
        ),
        "its height is not said, so whether the lid closes over it is in doubt",
        "its data sheet or a ruler; full height is 111.15 mm",
    ),
    Gap(
        "bracket",
        "FIT008",
        BOTH,
        lambda part: part.bracket is None and is_card(part),
        "which bracket it has is not said, so which openings take it is in doubt",
        "look: a full-height bracket is about 120 mm long, a low one about 79 mm",
    ),
    Gap(
        "power",
        "POW006",
        BOTH,
        lambda part: not is_said(part) and not only_wires(part),
        "what it draws, from its receptacle and through each plug, is not said, so whether slot "
        "and supply suffice is in doubt",
        "its data sheet; for what takes nothing write `power: {slot_w: 0}`",
    ),
    Gap(
        "airflow_lfm",
        "COOL001",
        BOTH,
        lambda part: (
            part.cooling == "passive" and part.airflow_lfm is None and part.draw_w > STILL_AIR_W
        ),
        "how much air it needs is not said, so whether it stays cool is in doubt",
        "its data sheet gives linear feet a minute for an inlet temperature",
    ),
    Gap(
        "cooling",
        "COOL001",
        BOTH,
        lambda part: part.cooling is None and is_card(part) and part.draw_w > STILL_AIR_W,
        "how it is cooled is not said, so nobody asks whether it has air enough",
        "look at it: a heat sink without a fan is `passive`",
    ),
    Gap(
        "demand",
        "bandwidth",
        ("place", "compare"),
        lambda part: part.demand is None and has_endpoint(part) and part.wiring != "switch",
        "what it moves when it works is not said, so nobody weighs whether its link suffices",
        "what you expect of it, in gigabytes per second; a network port of 10 Gb/s moves 1.25",
    ),
    Gap(
        "reach_mm",
        "CAB001",
        BOTH,
        lambda part: part.reach_mm is None and part.part_class == "cable",
        "its length is not said, so whether it reaches is in doubt",
        "measure from plug to plug",
    ),
    Gap(
        "bay",
        "FIT012",
        ("place",),
        lambda part: part.bay is None and part.plug.form in ("sata", "sas"),
        "which bay it is screwed into is not said, so nobody counts whether there are enough",
        '`bay: "2.5"` or `bay: "3.5"`',
    ),
    Gap(
        "isolates_guests",
        "ISO003",
        ("place",),
        lambda part: (
            part.wiring == "switch"
            and part.isolates_guests is None
            and any(link.bus == "pcie" for link in part.links)
        ),
        "whether its ports keep guests apart is not said; it matters only for parts that are "
        "handed to virtual machines",
        "the ACSCap lines of its ports in `lspci -vvv`",
    ),
)

CHASSIS_GAPS = (
    Gap(
        "sizes",
        "FIT013",
        ("place", "compare"),
        lambda case: case.sizes is None,
        "which boards it has stand-offs for is not said",
        "its manual",
    ),
    Gap(
        "openings",
        "FIT005",
        ("place",),
        lambda case: case.openings is None,
        "how many bracket openings it has is not said, so thick cards at the end are in doubt",
        "count them",
    ),
    Gap(
        "bracket",
        "FIT008",
        BOTH,
        lambda case: case.bracket is None,
        "which brackets its openings take is not said",
        "look: full-height openings are about 120 mm high, low ones about 79 mm",
    ),
    Gap(
        "card_length_mm",
        "FIT006",
        BOTH,
        lambda case: case.card_length_mm is None,
        "how long a card may be is not said, so long cards are in doubt",
        "measure from the bracket's plane to whatever stands in the way",
    ),
    Gap(
        "card_height_mm",
        "FIT007",
        BOTH,
        lambda case: case.card_height_mm is None,
        "how high a card may be is not said, so cards higher than their opening are in doubt",
        "measure from the slot to the lid",
    ),
    Gap(
        "airflow_lfm",
        "COOL001",
        BOTH,
        lambda case: case.airflow_lfm is None,
        "how much air moves over the slots is not said, so every passive card is in doubt",
        "a hand-held anemometer at the slots with the lid closed, or the data sheet",
    ),
    Gap(
        "bays",
        "FIT014",
        ("place",),
        lambda case: case.bays is None,
        "how many drive bays it has is not said, so drives on cables are in doubt",
        "count them, by size",
    ),
)

SUPPLY_GAPS = (
    Gap(
        "plugs",
        "POW008",
        BOTH,
        lambda supply: supply.plugs is None,
        "which plugs it has is not said, so cards with their own power sockets are in doubt",
        "count the plugs on the cables that came with it, those of the board left out",
    ),
)


def build_gaps(build: Build, file: str) -> Iterator[Remark]:
    """Everything not said of the machines, and of today's layout."""
    yield from gaps_in(((machine.id, machine) for machine in build.machines), MACHINE_GAPS, file)
    yield from gaps_in([("", build)], (NO_TODAY,), file)


MACHINE_GAPS = (
    Gap(
        "power_supply",
        "POW003",
        ("place", "check"),
        lambda machine: machine.power_supply is None,
        "no power supply is named, so nobody adds up watts and counts plugs",
        "the label on its side",
    ),
    Gap(
        "base_w",
        "POW007",
        ("place", "check"),
        lambda machine: machine.base_w is None and machine.power_supply is not None,
        "what the machine draws without the parts is not said, so whether the supply suffices is "
        "in doubt",
        "measure at the wall under full load before the rebuild",
    ),
    Gap(
        "chassis",
        "FIT005",
        ("place", "check", "compare"),
        lambda machine: machine.chassis is None,
        "no chassis is named, so nobody asks about length, height, openings, bays and air",
        "its manual, or a ruler; `slotfit catalog show tower-mid` shows what to say",
    ),
)

NO_TODAY = Gap(
    "today",
    "moves",
    ("sequence", "place"),
    lambda build: not build.today,
    "where parts sit now is not said, so the way from there cannot be planned and moves are not "
    "counted",
    "`today: {part: machine/receptacle}`; `slotfit read` writes it down from a running machine",
)
