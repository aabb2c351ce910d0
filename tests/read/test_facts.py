"""Which of several claims is believed: widths, connector, generation, processor, use."""

from __future__ import annotations

from collections.abc import Iterable
from pathlib import Path
from typing import Any

import pytest

from slotfit.read import smbios
from slotfit.read.designation import Hints, hints_of
from slotfit.read.join import join
from slotfit.read.machine import ReceptacleSeen
from slotfit.read.sources import readings_of
from tests.read.machines import Placed, endpoint, port, write_sys
from tests.read.registers import Function
from tests.read.scenes import BUS, at, by_label, machine
from tests.read.tables import Slot, dump, processor


def test_an_absent_processor_makes_its_slots_unusable() -> None:
    seen = machine(
        [],
        processor(1, "CPU 1", populated=True),
        processor(2, "CPU 2", populated=False),
        Slot("CPU1 SLOT1 PCI-E 4.0 X16", **at("00:00.0")).pack(3),
        Slot("CPU2 SLOT2 PCI-E 4.0 X16", **at("00:00.0")).pack(4),
    )
    assert [(one.processor.value, one.usable.value) for one in seen.receptacles] == [
        (0, None),
        (1, False),
    ]


def test_processors_counted_from_0_keep_their_number() -> None:
    seen = machine([], Slot("SLOT2 PCIe3 x16 CPU0").pack(1), Slot("SLOT3 PCIe3 x8 CPU1").pack(2))
    assert [one.processor.value for one in seen.receptacles] == [0, 1]


def test_the_node_is_believed_before_the_designation(tmp_path: Path) -> None:
    write_sys(
        tmp_path,
        [
            Placed(port("0000:00:01.0", 1), node=1),
            Placed(endpoint("0000:01:00.0", lanes=16), ("0000:00:01.0",), node=1),
        ],
    )
    nodes = tmp_path / "sys/devices/system"
    for node in (0, 1):
        (nodes / f"node/node{node}").mkdir(parents=True)
        (nodes / f"node/node{node}/cpulist").write_text(f"{node}\n")
        (nodes / f"cpu/cpu{node}/topology").mkdir(parents=True)
        (nodes / f"cpu/cpu{node}/topology/physical_package_id").write_text(f"{node}\n")
    table = smbios.parse(dump(Slot("CPU1 SLOT1 PCI-E 4.0 X16", **at("01:00.0")).pack(1)), "t")
    seen = join([*readings_of(tmp_path), table])
    assert (seen.receptacles[0].processor.value, seen.receptacles[0].node) == (1, 1)
    assert any(one.fact == "processor" for one in seen.disagreements)


@pytest.mark.parametrize(
    ("designation", "hints"),
    [
        ("CPU1 SLOT2 PCI-E 3.0 X4 (IN X8 SLOT)", Hints(2, 1, 3, 4, 8)),
        ("PCH SLOT9 PCI-E 2.0 X4 (IN X8)", Hints(9, None, 2, 4, 8, chipset=True)),
        ("CPU SLOT6 PCI-E 3.0 X8(IN X16)", Hints(6, None, 3, 8, 16)),
        ("J2A16 - SLOT_C (X16_CPU0PE1), slot 6", Hints(6, 0, None, 16, None, slot_word=True)),
        ("SLOT2 PCIe3 x16 CPU0", Hints(2, 0, 3, 16, None)),
        ("CPU1 Slot1 PCIe 4.0 X8", Hints(1, 1, 4, 8, None)),
        ("CPU SLOT1 PCI-E GEN 4.0 x16", Hints(1, None, 4, 16, None)),
        ("PCIEX16(G5)_2", Hints(None, None, 5, None, 16, slot_word=True)),
        ("PCIEX1_1", Hints(None, None, None, None, 1, slot_word=True)),
        ("PCIE16_2", Hints(None, None, None, None, 16, slot_word=True)),
        ("PCIE3", Hints(3)),
        ("PCIE_1_A", Hints(1)),
        ("M.2_2", Hints(form="m2-m")),
        ("M.2(WIFI)", Hints(not_a_slot=True)),
        ("PCIE3_M2_1", Hints(None, form="m2-m")),
        ("M2_2280", Hints(form="m2-m")),
        ("DIMM.2_2", Hints()),
        ("NGFF2", Hints(form="m2-m")),
        ("SLSAS_2", Hints(form="slimsas")),
        ("J7D3 - Riser 3 (X16_CPU1PE3), slot 7", Hints(7, 1, None, 16, slot_word=True)),
        ("PCIe SSD Slot 0 in Bay 0", Hints(0, bay=True)),
        ("PCI-Express 5 X1", Hints(None, None, None, 1)),
        ("PEG Gen1/Gen2/Gen3 X16", Hints(None, None, 3, 16)),
        ("OCU_1", Hints(form="oculink")),
        ("SL_SAS2", Hints(form="slimsas")),
        ("GENZ_022(PCIe x8) -1(PCIe x4)", Hints(form="gen-z")),
        ("RISER_SLOT_1(PCIe x32) -2(PCIe x16)", Hints(1, slot_word=True)),
        ("SLOT7 X2/4(INX8)", Hints(7, None, None, None, 8)),
        ("J6B2", Hints()),
        ("CPU0_PE1_NVME0", Hints(None, 0, bay=True)),
        ("Primary Bay 1", Hints(bay=True)),
        ("NVMe_1", Hints(bay=True)),
        ("OCP1_A", Hints(mezzanine=True)),
        ("Mezzanine 1", Hints(mezzanine=True)),
        ("OCP30", Hints(form="ocp3-sff")),
        ("SLIMLIN1-2", Hints(form="slimsas")),
        ("SLOT2_FRONT_C/OCP2_A", Hints(2)),
        ("AOC - A maker Ethernet I350", Hints(not_a_slot=True)),
        (None, Hints()),
    ],
)
def test_what_designations_say(designation: str | None, hints: Hints) -> None:
    assert hints_of(designation) == hints


def facts(slot: Slot, functions: Iterable[Function] = ()) -> ReceptacleSeen:
    return machine(list(functions), slot.pack(1)).receptacles[0]


def test_widths_that_disagree_are_all_listed_and_one_is_chosen() -> None:
    # x16 by the field, x8 in x16 by the designation, x8 by the port as it is divided now.
    bus = [port("00:01.0", 1, lanes=8), endpoint("01:00.0", lanes=8)]
    slot = Slot("CPU1 SLOT2 PCI-E 4.0 X8 (IN X16)", width=0x0D, **at("01:00.0"))
    seen = machine(bus, slot.pack(1))
    found = seen.receptacles[0]
    assert (found.lanes.value, found.shape_lanes.value) == (8, 16)
    (said,) = [one for one in seen.disagreements if one.fact == "wired lanes"]
    assert [claim.value for claim in said.others] == [16]
    assert "8 (designation, " in str(said)
    assert "16 (slot data bus width, " in str(said)


@pytest.mark.parametrize("filled", [True, False])
@pytest.mark.parametrize("name", ["SLOT1", "SLOT1 PCI-E 4.0 X16"])
def test_a_port_overrules_labels_and_the_other_is_a_doubt(name: str, filled: bool) -> None:
    bus = [port("00:01.0", 1, lanes=8), *[endpoint("01:00.0", lanes=8)][:filled]]
    found = facts(Slot(name, width=0x0D, **at("00:01.0")), bus)
    assert (found.lanes.value, found.shape_lanes.value) == (8, 16)
    assert {claim.value for claim in found.lanes.against} == {16}
    assert {found.lanes.claims[0].where.file, found.lanes.against[0].where.file} == {"bus", "table"}


@pytest.mark.parametrize(
    "dead", [{"active": False, "lanes_now": 16}, {"lanes_max": 4, "lanes_now": 16}]
)
def test_a_link_that_is_down_or_wider_than_its_port_proves_nothing(dead: dict[str, Any]) -> None:
    """The width that a port without a link shows: `lspci` calls some of them strange."""
    bus = [port("00:01.0", 1, **{"lanes": 16, **dead})]
    found = facts(Slot("SLOT1 PCI-E 3.0 X4", width=0x0A, **at("00:01.0")), bus)
    assert found.lanes.value == 4


def test_a_link_that_is_up_proves_its_width() -> None:
    bus = [port("00:01.0", 1, lanes=16), endpoint("01:00.0", lanes=16)]
    found = facts(Slot("SLOT1 PCI-E 3.0 X8", width=0x0B, **at("01:00.0")), bus)
    assert found.lanes.value == 16
    assert found.lanes.why == "a link of this width is up"


def test_a_copied_physical_width_does_not_shrink_the_connector() -> None:
    # Open reference firmware copies the wired width into the physical one; type says x16.
    found = facts(Slot(kind=0xBD, width=0x0B, physical=0x0B, pitch=2032))
    assert (found.lanes.value, found.shape_lanes.value) == (8, 16)


def test_more_lanes_than_the_connector_has_is_a_disagreement() -> None:
    seen = machine([], Slot(kind=0xB2, width=0x0A).pack(1))  # x4 wired, type x1
    assert (seen.receptacles[0].lanes.value, seen.receptacles[0].shape_lanes.value) == (1, 4)
    assert [one.fact for one in seen.disagreements] == ["wired lanes", "connector size in lanes"]


def test_a_generation_that_no_bus_has_does_not_beat_the_type() -> None:
    assert facts(Slot(kind=0xC3, information=116, physical=0x0D, pitch=2032)).generation.value == 5


def test_generation_1_in_the_slot_information_says_nothing() -> None:
    found = facts(Slot(kind=0xA5, information=1, physical=0x0D, pitch=2032))
    assert found.generation.value is None


def test_usage_that_contradicts_the_bus_is_listed() -> None:
    seen = machine(BUS, Slot(usage=3, **at("01:00.0")).pack(1))
    assert by_label(seen)["SLOT1"].occupied.value is True
    assert "part present" in {one.fact for one in seen.disagreements}


def test_the_bifurcation_bit_gives_no_divisions() -> None:
    assert facts(Slot(traits=(4, 9))).splits is True
    assert facts(Slot(traits=(4, 1))).splits is None


def test_a_designation_that_names_the_form_is_believed_before_the_type() -> None:
    seen = machine([], Slot("J3K3 - MCIO (X4_CPU0PE4), slot 12", kind=0xC1, width=0x0A).pack(1))
    assert seen.receptacles[0].form == "mcio"
    assert [one.fact for one in seen.disagreements] == ["form"]


@pytest.mark.parametrize(
    ("name", "kind", "width", "form"),
    [
        ("PCIEX16(G5)", 0x25, 0x0D, "cem"),  # typed as a 2.5-inch bay, sixteen lanes
        ("J7D3 - Riser 3 (X16_CPU1PE3)", 0xC5, 0x0D, "cem"),  # typed as EDSFF E1
        ("J2C1 - Riser 1 (X8_CPU0PE0)", 0xC5, 0x0B, "cem"),
        ("SLOT1_M.2 PCIe SSD-0", 0x16, 0x0A, "m2-m"),  # key B has two lanes, four are wired
        ("PCIe SSD Slot 0 in Bay 0", 0x24, 0x0A, "u2"),
        ("SLOT3", 0xB6, 0x0D, "cem"),
        ("", 0x01, 0x0A, "other"),
    ],
)
def test_a_form_without_room_for_the_lanes_is_not_believed(
    name: str, kind: int, width: int, form: str
) -> None:
    assert facts(Slot(name, kind=kind, width=width)).form == form


def test_slots_may_count_processors_from_1_where_sockets_count_from_0() -> None:
    seen = machine(
        [],
        processor(1, "CPU0", populated=True),
        processor(2, "CPU1", populated=True),
        Slot("CPU1 SLOT1").pack(3),
        Slot("CPU2 SLOT4").pack(4),
    )
    assert [one.processor.value for one in seen.receptacles] == [0, 1]


def test_processors_come_in_the_order_of_their_numbers() -> None:
    seen = machine(
        [], processor(1, "CPU 2", populated=False), processor(2, "CPU 1", populated=True)
    )
    assert [one.designation for one in seen.processors] == ["CPU 1", "CPU 2"]
