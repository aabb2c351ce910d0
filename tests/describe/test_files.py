"""What the written files say: facts with their source, gaps left open, nothing guessed."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path

import pytest
import yaml

from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import best_plan
from slotfit.model.part import PartSpec
from slotfit.model.plan import Status
from slotfit.read import smbios
from slotfit.read.dmidecode_text import parse as parse_table
from slotfit.read.join import join
from slotfit.read.lspci_other import parse_hex
from tests.describe.loading import described, loaded, refused_today
from tests.limits import SECONDS
from tests.read.machines import endpoint, port, text_of
from tests.read.registers import Function
from tests.read.scenes import ACCELERATOR, HOST, NETWORK, at, machine
from tests.read.tables import Slot, dump, processor

CARRIER = [
    Function(address="40:00.0", class_code=HOST, buses=None, port_type=4, slot=False),
    *(port(f"40:01.{number}", 0x41 + number, lanes=4) for number in range(4)),
    *(endpoint(f"{0x41 + number:02x}:00.0") for number in range(4)),
]
"""A slot of sixteen lanes in four, a drive under each of its ports."""


def board_of(folder: Path) -> dict[str, dict[str, object]]:
    board = yaml.safe_load((folder / "board.yaml").read_text("utf-8"))
    return {one["id"]: one for one in board["receptacles"]}


def test_a_passive_carrier_is_a_part_and_its_split_was_seen(tmp_path: Path) -> None:
    seen = machine(CARRIER, Slot("SLOT7 x16", width=0x0D, usage=4, **at("41:00.0")).pack(1))
    made = described(seen)
    problem = loaded(made, tmp_path / "made")
    assert {part: receptacle.partition("/")[0] for part, receptacle in problem.today.items()} == {
        "carrier-1": "slot7", **{f"drive-{n}": "carrier-1" for n in range(1, 5)},
    }  # fmt: skip
    (slot,) = board_of(tmp_path / "made").values()
    assert slot["splits"] == [
        {"split": "x4x4x4x4", "proof": "seen"},
        {"split": "x16", "proof": None},
        {"split": "x8x8", "proof": None},
    ]
    assert refused_today(problem) == {}
    placed = best_plan(problem, SECONDS)
    assert placed.status is Status.PROVEN
    assert placed.plan
    assert {seat.part: seat.receptacle for seat in placed.plan.seats} == dict(problem.today)


def test_no_division_is_guessed(tmp_path: Path) -> None:
    # The bifurcation bit says that a slot can be divided, never into what (DSP0134 7.10.7).
    seen = machine([], Slot("SLOT1 X16", width=0x0D, traits=(4, 9)).pack(1))
    loaded(described(seen), tmp_path / "made")
    (slot,) = board_of(tmp_path / "made").values()
    assert "splits" not in slot
    assert "never into what" in (tmp_path / "made/board.yaml").read_text("utf-8")


def test_a_fact_that_sources_disagree_on_names_both() -> None:
    seen = machine([], Slot("CPU1 SLOT2 PCI-E 4.0 X8 (IN X16)", width=0x0D).pack(1))
    made = described(seen)
    (slot,) = board_of_text(made.files["board.yaml"])
    assert (slot["lanes"], slot["width"]) == (8, 16)
    flat = " ".join(made.files["board.yaml"].replace("#", " ").split())
    assert "not 16 (slot data bus width" in flat


def board_of_text(text: str) -> list[dict[str, object]]:
    found: list[dict[str, object]] = yaml.safe_load(text)["receptacles"]
    return found


def test_assumed_fields_are_marked(tmp_path: Path) -> None:
    bus = [port("00:01.0", 1), endpoint("01:00.0", kind=ACCELERATOR, lanes=16)]
    seen = machine(bus, Slot(usage=4, **at("01:00.0")).pack(1))
    problem = loaded(described(seen), tmp_path / "made")
    spec = problem.part["accelerator-1"].spec
    assert isinstance(spec, PartSpec)
    assert {"thickness", "power", "plug"} <= set(spec.assumed)
    assert spec.recognise == ("1111:2222",)
    assert (spec.length_mm, spec.bracket, spec.cooling) == (None, None, None)


@pytest.mark.parametrize("speed", range(1, 7))
def test_a_part_is_of_the_generation_that_its_own_register_says(speed: int) -> None:
    """Link Capabilities, bits 3:0: 1 is 2.5 GT/s, 6 is 64 GT/s (PCI Express Base 7.5.3.6)."""
    card = replace(endpoint("01:00.0", kind=NETWORK), speed_max=speed, speed_now=1)
    seen = machine([port("00:01.0", 1), card], Slot(usage=4, **at("01:00.0")).pack(1))
    (text,) = (one for name, one in described(seen).files.items() if name.startswith("parts/"))
    assert yaml.safe_load(text)["generation"] == speed


def test_an_empty_processor_socket_is_left_out(tmp_path: Path) -> None:
    seen = machine(
        [],
        processor(1, "CPU1", populated=True),
        processor(2, "CPU2", populated=False),
        Slot("CPU1 SLOT1 PCI-E 4.0 X16").pack(3),
        Slot("CPU2 SLOT2 PCI-E 4.0 X16", slot_id=2).pack(4),
    )
    problem = loaded(described(seen), tmp_path / "made")
    assert problem.machines[0].entry.processors == ("cpu0",)
    assert {one.id: one.from_ for one in problem.machines[0].board.lane_groups} == {
        "slot1": "cpu0", "slot2": "cpu1",
    }  # fmt: skip


def test_a_slot_of_no_known_processor_is_left_open(tmp_path: Path) -> None:
    seen = machine(
        [],
        processor(1, "CPU1", populated=True),
        processor(2, "CPU2", populated=True),
        Slot("SLOT5").pack(3),
    )
    problem = loaded(described(seen), tmp_path / "made")
    assert [group.from_ for group in problem.machines[0].board.lane_groups] == [None]


def test_slots_below_a_switch_of_the_board_share_a_hub(tmp_path: Path) -> None:
    bus = [
        port("00:01.0", 1, last=4, slot=False, lanes=8),
        Function(address="01:00.0", buses=(1, 2, 4), port_type=5, slot=False, lanes_max=8,
                 lanes_now=8),
        Function(address="02:00.0", buses=(2, 3, 3), port_type=6, slot=True, slot_number=1,
                 lanes_max=8, lanes_now=8),
        Function(address="02:01.0", buses=(2, 4, 4), port_type=6, slot=True, slot_number=2,
                 lanes_max=8, lanes_now=8),
        endpoint("03:00.0", kind=NETWORK, lanes=8),
    ]  # fmt: skip
    table = dump(
        Slot("SLOT1", slot_id=1, usage=4, width=0x0B, **at("03:00.0")).pack(1),
        Slot("SLOT2", slot_id=2, width=0x0B, **at("02:01.0")).pack(2),
    )
    seen = join([parse_hex(text_of(bus), "bus"), smbios.parse(table, "table")])
    problem = loaded(described(seen), tmp_path / "made")
    (hub,) = problem.machines[0].board.hubs
    assert (hub.from_, hub.lanes) == ("cpu0", 8)
    assert [group.from_ for group in problem.machines[0].board.lane_groups] == [hub.id, hub.id]


def test_a_part_that_only_its_port_shows_stays_where_it_is(tmp_path: Path) -> None:
    bus = [
        port("00:01.0", 1, number=1), endpoint("01:00.0", kind=NETWORK),
        port("00:02.0", 2, number=9), endpoint("02:00.0", kind=NETWORK, device=0x3333),
    ]  # fmt: skip
    seen = machine(bus, Slot("SLOT1", usage=4, **at("01:00.0")).pack(1))
    problem = loaded(described(seen), tmp_path / "made")
    pins = {part.id: part.wish.pin for part in problem.parts}
    assert pins == {"network-1": None, "network-2": problem.today["network-2"]}


def test_a_machine_without_a_known_receptacle_loads_and_places(tmp_path: Path) -> None:
    problem = loaded(described(machine([], processor(1, "CPU1", populated=True))), tmp_path / "m")
    assert problem.receptacles == ()
    assert best_plan(problem, SECONDS).status is Status.PROVEN


@pytest.mark.parametrize("number", [0xA6, 0xB6, 0xC3])
def test_alike_parts_share_one_file(number: int, tmp_path: Path) -> None:
    bus = [port(f"00:0{n}.0", n, number=n) for n in (1, 2)]
    bus += [endpoint(f"0{n}:00.0") for n in (1, 2)]
    slots = [Slot(f"SLOT{n}", kind=number, width=0x0A, slot_id=n, usage=4,
                  **at(f"0{n}:00.0")).pack(n) for n in (1, 2)]  # fmt: skip
    made = described(machine(bus, *slots))
    assert len([name for name in made.files if name.startswith("parts/")]) == 1
    assert len(loaded(made, tmp_path / "made").parts) == 2


def test_bays_without_a_drive_are_sockets_of_the_carrier() -> None:
    """A switch with a drive in one of two ports that say they have a slot (SltCap)."""
    functions = [
        port("80:03.0", 0x81, last=0x84),
        Function(address="81:00.0", buses=(0x81, 0x82, 0x84), port_type=5, slot=False),
        Function(address="82:04.0", buses=(0x82, 0x83, 0x83), port_type=6, lanes_max=4),
        Function(address="82:05.0", buses=(0x82, 0x84, 0x84), port_type=6, lanes_max=4),
        endpoint("83:00.0"),
    ]
    files = described(machine(functions)).files
    carrier = next(yaml.safe_load(text) for text in files.values() if "class: carrier" in text)
    assert [socket["id"] for socket in carrier["receptacles"]] == ["socket1", "socket2"]
    assert yaml.safe_load(files["build.yaml"])["today"]["drive-1"] == "carrier-1/socket1"


def test_places_that_are_no_card_slots_are_not_described_as_such() -> None:
    """Designations of real tables; their type is that of a slot for cards, x4 and x16."""
    bay, mezzanine = Slot("Primary Bay 1", kind=0xBB, width=0x0A), Slot("OCP1", slot_id=2)
    made = described(machine([], bay.pack(1), mezzanine.pack(2)))
    assert [(slot.form.value, slot.form.assumed) for slot in made.slots] == [("u2", True)]
    assert [(one.label, one.why) for one in made.omitted] == [
        ("OCP1", "a mezzanine, of which nothing says the kind")
    ]


def test_a_slot_whose_quarters_are_named_after_front_and_rear_is_one() -> None:
    """A record for the whole slot and one for each further quarter, as some tables have them."""
    records = [
        Slot(f"SLOT1_{side}_{letter}", slot_id=number, kind=0xA5, width=width).pack(number)
        for number, (side, letter, width) in enumerate(
            (side, letter, 0x0D if letter == "A" else 0x0A)
            for side in ("FRONT", "REAR")
            for letter in "ABCD"
        )
    ]
    made = described(machine([], *records))
    assert [(slot.label, slot.lanes and slot.lanes.value) for slot in made.slots] == [
        ("SLOT1_FRONT_A", 16),
        ("SLOT1_REAR_A", 16),
    ]


def test_a_slot_of_which_only_the_name_was_kept_is_listed_as_left_out() -> None:
    """Of a filtered table nothing but names remains."""
    reading = parse_table("\tDesignation: GPU1\n\tCurrent Usage: Available\n", "t")
    (left_out,) = described(join([reading])).omitted
    assert "nothing says which connector it is" in left_out.why


def test_what_a_machine_has_set_is_no_change_to_make(tmp_path: Path) -> None:
    """Four ports under one slot show how it is divided today."""
    seen = machine(CARRIER, Slot("SLOT7 x16", width=0x0D, usage=4, **at("41:00.0")).pack(1))
    problem = loaded(described(seen), tmp_path / "made")
    assert dict(problem.sequence.settings_today) == {"marsh/slot7": "slot7.x4x4x4x4"}
    answer = place(problem, SECONDS)
    assert [(one.lane_group, one.division.step) for one in answer.do.settings] == [
        ("slot7", "stays")
    ]
