"""Every part of the catalog can really be seated in a machine made of the catalog's own things."""

import pytest

from slotfit import api
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.engine.seats import seat_all
from slotfit.load.build_file import load_build_text
from slotfit.model.part import PartSpec
from slotfit.model.seat import Seating
from slotfit.rulebook import SEAT_RULES
from tests.catalog.entries import CATALOG, PART_IDS, parts
from tests.limits import SECONDS

MACHINES = """\
kind: build
id: trial
machines:
  - {id: large, board: workstation, chassis: tower-large, power_supply: supply-1600w}
  - {id: flat, board: server-2p-risers, chassis: rack-2u-risers}
  - {id: ruler, board: server-ruler, chassis: rack-2u-risers}
  - {id: bays, board: server-storage, chassis: rack-2u-storage}
  - {id: small, board: server-open-ended, chassis: tower-micro}
  - {id: desk, board: desktop-small, chassis: tower-micro}
  - {id: mini, board: mini-itx, chassis: tower-mini}
  - {id: edge, board: embedded-edge, chassis: box-fanless}
parts:
"""

WINDY = """\
  - {id: windy, board: server-2p-eleven, chassis: rack-4u-eleven,
     power_supply: supply-server-2400w-pair}
  - {id: bench, board: workstation, power_supply: supply-1600w}
parts:
"""
"""
Machines more: one with air for passive cards and plugs for all of them, and one in no case.

A long duct on a card of 267 mm is longer than any chassis here.
"""

HOLDER_OF = {
    # plugs that no board has a receptacle for, or not one wired for them -> what goes between
    "oculink-4": ["adapter-cem-oculink-x4"],
    "mcio-4": ["adapter-m2-mcio4"],
    "mcio-16": ["adapter-cem-mcio16"],
    "sff-8643": ["hba-8i-sas3", "carrier-switch-u2x4-gen3"],
    "sff-8087": ["hba-8i-sas2"],
    "e1s": ["carrier-e1sx4-gen5"],
    "sff-8644": ["hba-8e-sas3", "carrier-switch-8644-x16-gen3"],
    "cooling-mount": ["accel-passive-150w-single", "accel-passive-250w", "hba-8i-sas3"],
    "fan-header": ["fan-hub-data-4"],
    "u3": ["carrier-u3x1-gen4"],
    "sas": ["hba-8i-sas3", "cable-8643-4sas-500"],
    "12v-2x6": ["accel-fan-575w-gen5"],
    "eps-8": ["accel-passive-250w"],
    "sata-power": ["ssd-sata-2.5"],
    "molex-4": ["accel-passive-150w-single", "duct-40-single"],
    "slimsas-8": ["hba-8i-sas4", "adapter-cem-slimsas8-x8"],
}
LEADS_TO = {
    # what is a socket on the part -> the adapter's side of it
    "sff-8643": ["hba-8i-sas3", "cable-8643-8643-800"],
    "sff-8087": ["hba-8i-sas3", "cable-8643-8087-800"],
    "mcio-8": ["cable-mcio8-mcio8-500-gen5"],
}


SEATED = [name for name in PART_IDS if parts()[name].part_class != "network-module"]
"""What goes into a network port has no place of its own in a plan."""


def between(part: PartSpec) -> list[str]:
    """What must be there for the part's own plug."""
    ways = LEADS_TO if part.part_class == "backplane" else HOLDER_OF
    return ways.get(part.plug.form, [])


def build_of(*names: str) -> str:
    listed = [f"  - {{id: part{number}, part: {name}}}\n" for number, name in enumerate(names)]
    return MACHINES + "".join(listed)


def seated(*names: str) -> Seating:
    return seat_all(load_build_text(build_of(*names), CATALOG), SEAT_RULES)


@pytest.mark.parametrize("name", SEATED)
def test_the_part_has_a_seat_where_all_its_links_train(name: str) -> None:
    """No part is described so that it fits nowhere, or that a link of it never comes alive."""
    part = parts()[name]
    seating = seated(name, *between(part))
    seats = [seat for seat in seating.seats if seat.part == "part0"]
    assert seats, [
        f"{refusal.seat.receptacle}: {objection.text}"
        for refusal in seating.refusals
        if refusal.seat.part == "part0"
        for objection in refusal.objections
    ]
    assert max(seat.alive for seat in seats) == len(part.links)


@pytest.mark.long
@pytest.mark.parametrize("name", SEATED)
def test_the_part_is_placed_in_some_machine(name: str) -> None:
    """With what goes between it and a board, and what its further plugs lead to, all at once."""
    part = parts()[name]
    holders = between(part)
    ends = [one for extra in part.extra_plugs for one in LEADS_TO.get(extra.plug.form, [])]
    text = build_of(name, *holders, *ends).replace("parts:\n", WINDY)
    answer = api.place(load_build_text(text, CATALOG), SECONDS)
    assert isinstance(answer, PlaceAnswer)
    assert answer.verdict.status == "proven"


def test_the_check_above_can_fail() -> None:
    """Without its holder a drive for a bay that no board has finds no seat."""
    assert not seated("nvme-e1s-gen4").seats
