"""
Joining slots, ports and parts: each trap that real tables set, on invented machines.

Source of the traps: counts over some 140,000 public tables, in the collection's own notes.
"""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.read.join import join
from slotfit.read.lspci_other import parse_hex
from slotfit.read.lspci_text import parse_text
from slotfit.read.machine import MachineSeen, PartSeen
from slotfit.read.seen import PciAddress
from slotfit.read.sources import readings_of
from slotfit.read.ties import is_null
from tests.read.machines import endpoint, port, text_of
from tests.read.outside import captures, name_of
from tests.read.registers import Function
from tests.read.scenes import ACCELERATOR, BUS, NETWORK, at, by_label, machine
from tests.read.tables import Slot, onboard


@pytest.mark.parametrize(
    ("written", "port_address"),
    [
        ("0000:01:00.0", "0000:00:01.1"),  # the endpoint, as the specification wants it
        ("0000:00:01.1", "0000:00:01.1"),  # the port itself
        ("0000:01:01.1", "0000:00:01.1"),  # secondary bus with the port's device and function
        ("0000:01:00.4", "0000:00:01.1"),  # a wrong function number
        ("0000:ff:1c.5", "0000:00:1c.5"),  # an empty slot's port
        ("0040:03:00.1", "0000:40:03.1"),  # the bus in the segment field
        ("0000:40:00.0", None),  # a host bridge says the processor, not the port
        ("0000:00:00.0", None),
        ("0000:ff:00.0", None),
        ("0000:ff:1f.7", None),
        ("0000:00:1f.7", None),
        ("00ff:ff:1f.7", None),
        ("ffff:80:1f.7", None),
        ("0000:99:00.0", None),  # stale: nothing is there
    ],
)
def test_every_meaning_of_a_bus_address(written: str, port_address: str | None) -> None:
    # A peer keeps the number rules out of it: this slot's number is nobody's.
    seen = machine(BUS, Slot(slot_id=99, **at(written)).pack(1))
    found = by_label(seen)["SLOT1"]
    assert [str(one.address) for one in found.ports] == ([port_address] if port_address else [])
    assert found.joined_by == ("address" if port_address else None)


@pytest.mark.parametrize(
    ("address", "null"),
    [("00:00.0", True), ("ff:1f.7", True), ("00:1f.0", False), ("80:00.0", False)],
)
def test_null_addresses(address: str, null: bool) -> None:
    assert is_null(PciAddress.read(address)) is null


def test_a_true_segment_is_believed_before_a_repaired_one() -> None:
    bus = [*BUS, port("0040:00:03.1", 3), endpoint("0040:03:00.1", lanes=16)]
    seen = machine(bus, Slot(slot_id=99, **at("0040:03:00.1")).pack(1))
    assert str(by_label(seen)["SLOT1"].ports[0].address) == "0040:00:03.1"


def test_the_number_of_the_port_joins_where_there_is_no_address() -> None:
    bus = [port("00:01.0", 1, number=5), endpoint("01:00.0", lanes=16)]
    record = Slot(slot_id=5, usage=4, **at("00:00.0"))
    found = by_label(machine(bus, record.pack(1)))["SLOT1"]
    assert found.joined_by == "slot number"
    assert found.occupied.value is True


def test_a_number_that_many_ports_have_joins_nothing() -> None:
    bus = [port("00:01.0", 1, number=5), port("00:02.0", 2, number=5)]
    found = by_label(machine(bus, Slot(slot_id=5, **at("00:00.0")).pack(1)))["SLOT1"]
    assert found.joined_by is None


def test_the_designation_joins_last() -> None:
    bus = [port("00:01.0", 1, number=5)]
    table = Slot("CPU1 SLOT5 PCI-E 3.0 X8", slot_id=0, **at("00:00.0")).pack(1)
    found = machine(bus, table).receptacles
    assert [seen.joined_by for seen in found] == ["designation"]


def test_a_neighbours_address_loses_to_the_ports_number() -> None:
    """Card in slot 2; the table gives its bus to slot 1, the port says that it is slot 2."""
    bus = [
        port("00:01.0", 1, number=1), port("00:02.0", 2, number=2), port("00:03.0", 3, number=3),
        endpoint("02:00.0", lanes=16), endpoint("03:00.0", lanes=16),
    ]  # fmt: skip
    seen = machine(
        bus,
        Slot("A", slot_id=1, **at("02:00.0")).pack(1),
        Slot("B", slot_id=2, usage=4, **at("00:00.0")).pack(2),
        Slot("C", slot_id=3, **at("03:00.0")).pack(3),
    )
    found = by_label(seen)
    assert [bool(found[name].parts) for name in "ABC"] == [False, True, True]
    assert any("the port's number is believed" in note.text for note in seen.notes)


def test_numbers_that_mostly_contradict_the_addresses_are_not_the_tables_numbers() -> None:
    """The chipset counts its ports from 1 for itself, and the table its slots another way round."""
    bus = [
        port("00:1c.0", 1, number=1, lanes=4), port("00:1c.1", 2, number=2, lanes=4),
        port("00:1c.2", 3, number=3, lanes=4), endpoint("01:00.0"), endpoint("02:00.0"),
    ]  # fmt: skip
    records = [
        Slot("A", slot_id=2, width=0x0A, usage=4, **at("01:00.0")),
        Slot("B", slot_id=1, width=0x0A, usage=4, **at("02:00.0")),
        Slot("C", slot_id=3, width=0x0A, usage=3, **at("00:00.0")),
    ]
    seen = machine(bus, *(slot.pack(number) for number, slot in enumerate(records, 1)))
    found = {one.label: [str(p.address) for p in one.ports] for one in seen.receptacles}
    assert [found[name] for name in "ABC"] == [["0000:00:1c.0"], ["0000:00:1c.1"], []]


def test_a_number_alone_does_not_fill_a_slot_that_the_table_calls_free() -> None:
    """The drive sits in a socket that the table leaves out; the chipset's port 1 is no slot 1."""
    bus = [port("00:01.0", 1, number=1, lanes=4), endpoint("01:00.0")]
    seen = machine(bus, Slot("PCIEX16_2", slot_id=1, usage=3, **at("00:1f.7")).pack(1))
    assert [(one.label, bool(one.parts)) for one in seen.receptacles] == [
        ("PCIEX16_2", False),
        ("0000:00:01.0", True),
    ]
    assert any("not tied" in note.text for note in seen.notes)


def test_a_number_does_not_take_the_port_of_a_socket_that_has_only_an_address() -> None:
    """A desktop: M.2 sockets have no number, and the chipset numbers its ports for itself."""
    bus = [
        port("00:01.0", 1, number=1, lanes=4), endpoint("01:00.0"),
        port("00:05.0", 5, number=5, lanes=1),
    ]  # fmt: skip
    records = [
        Slot("PCIEX16_2", slot_id=1, width=0x0A, usage=3, **at("00:1f.7")),
        Slot("M.2_2", slot_id=0, kind=0x17, width=0x0A, usage=4, **at("00:01.0")),
        Slot("PCIEX1_1", slot_id=5, kind=0xB9, width=8, usage=3, **at("00:05.0")),
    ]
    seen = machine(bus, *(slot.pack(number) for number, slot in enumerate(records, 1)))
    found = {one.label: [str(p.address) for p in one.ports] for one in seen.receptacles}
    assert found == {"PCIEX16_2": [], "M.2_2": ["0000:00:01.0"], "PCIEX1_1": ["0000:00:05.0"]}


def test_two_slots_with_one_address_are_not_both_believed() -> None:
    bus = [port("00:01.0", 1), endpoint("01:00.0", lanes=16)]
    seen = machine(
        bus,
        Slot("A", slot_id=1, usage=4, **at("01:00.0")).pack(1),
        Slot("B", slot_id=2, usage=3, **at("01:00.0")).pack(2),
    )
    assert [bool(one.parts) for one in seen.receptacles] == [True, False]
    assert any("all point to port" in note.text for note in seen.notes)
    even = machine(
        bus,
        Slot("A", slot_id=1, **at("01:00.0")).pack(1),
        Slot("B", slot_id=2, **at("01:00.0")).pack(2),
    )
    assert not any(one.joined_by for one in even.receptacles[:2])
    # Its port still shows that a slot is there, and the part is not lost.
    assert [one.label for one in even.receptacles if one.parts] == ["0000:00:01.0"]


def test_functions_of_one_card_are_one_part() -> None:
    (part,) = by_label(machine(BUS, Slot(**at("01:00.0")).pack(1)))["SLOT1"].parts
    assert (part.kind, len(part.functions)) == ("endpoint", 2)
    assert str(part.main.address) == "0000:01:00.0"


def switch(
    below: int, *, slot: bool = False, count: int = 4, vendor: int = 0x10AA
) -> list[Function]:
    """A packet switch on bus 1: upstream 01:00.0, ports on bus 2, devices from bus `below`."""
    last = below + count - 1
    up = Function(
        address="01:00.0", buses=(1, 2, last), port_type=5, slot=False, vendor=vendor, acs=None
    )
    down = [
        Function(address=f"02:{n:02x}.0", buses=(2, below + n, below + n), port_type=6,
                 slot=slot, vendor=vendor, lanes_max=4, lanes_now=4)
        for n in range(count)
    ]  # fmt: skip
    return [port("00:01.0", 1, last=last), up, *down]


def test_a_switch_with_drives_is_a_carrier() -> None:
    bus = [*switch(3), *(endpoint(f"{n:02x}:00.0") for n in range(3, 7))]
    (part,) = by_label(machine(bus, Slot(**at("01:00.0")).pack(1)))["SLOT1"].parts
    assert (part.kind, len(part.inside)) == ("carrier", 4)
    assert len(part.functions) == 5, "the switch itself: one port up and four down"


def test_a_switch_with_one_kind_of_chip_is_one_card() -> None:
    bus = [
        *switch(3, count=2),
        *(endpoint(f"{n:02x}:00.0", kind=ACCELERATOR, lanes=16) for n in (3, 4)),
    ]
    (part,) = by_label(machine(bus, Slot(**at("01:00.0")).pack(1)))["SLOT1"].parts
    assert (part.kind, part.inside) == ("endpoint", ())
    assert part.main.class_code == ACCELERATOR


def test_a_switch_with_slots_below_is_not_a_card() -> None:
    bus = [
        *switch(3, count=2, slot=True),
        *(endpoint(f"{n:02x}:00.0", kind=ACCELERATOR, lanes=16) for n in (3, 4)),
    ]
    seen = machine(bus)
    labels = {one.label: [part.kind for part in one.parts] for one in seen.receptacles}
    assert labels["0000:00:01.0"] == ["switch"]


def test_drives_under_the_ports_of_one_divided_slot_sit_in_a_passive_carrier() -> None:
    bus = [
        *(port(f"00:01.{n}", n + 1, lanes=4) for n in range(4)),
        *(endpoint(f"{n + 1:02x}:00.0") for n in range(3)),
        port("00:03.0", 9), endpoint("09:00.0", kind=ACCELERATOR, lanes=16),
    ]  # fmt: skip
    for peers in ((), [(0, 2, 0, 4), (0, 3, 0, 4), (0, 4, 0, 4)]):
        seen = machine(bus, Slot(peers=peers, **at("01:00.0")).pack(1))
        found = by_label(seen)["SLOT1"]
        (part,) = found.parts
        assert (part.kind, len(part.inside)) == ("passive carrier", 3)
        assert found.lanes.value == 16
        assert found.divided == (4, 4, 4, 4)


def test_ports_of_other_slots_are_not_taken_for_a_carrier() -> None:
    bus = [
        *(port(f"00:01.{n}", n + 1, lanes=8) for n in range(2)),
        *(endpoint(f"{n + 1:02x}:00.0") for n in range(2)),
    ]
    seen = machine(
        bus,
        Slot("A", slot_id=1, **at("01:00.0")).pack(1),
        Slot("B", slot_id=2, width=0x0B, **at("02:00.0")).pack(2),
    )
    assert [[part.kind for part in one.parts] for one in seen.receptacles] == [["endpoint"]] * 2


def test_soldered_devices_are_not_cards() -> None:
    bus = [*BUS, port("00:1c.0", 8, slot=False), endpoint("08:00.0", kind=NETWORK, lanes=1),
           port("00:1c.1", 9), endpoint("09:00.0", kind=NETWORK, lanes=1)]  # fmt: skip
    seen = machine(bus, onboard(1, "Onboard LAN", 9, 0))
    soldered = {str(part.main.address) for part in seen.onboard}
    assert {"0000:08:00.0", "0000:09:00.0"} <= soldered
    assert "0000:01:00.0" not in soldered
    assert {one.label for one in seen.receptacles} == {
        "0000:00:01.1", "0000:00:1c.5", "0000:40:03.1",
    }  # fmt: skip


def test_a_pasted_device_alone_is_not_taken_for_soldered() -> None:
    text = "65:00.0 Ethernet controller: N\n\tCapabilities: [70] Express (v2) Endpoint, MSI 00\n"
    seen = join([parse_text(text, "t")])
    assert [str(part.main.address) for part in seen.unplaced] == ["0000:65:00.0"]
    assert not seen.onboard


def test_several_records_of_one_slot_are_one_receptacle() -> None:
    seen = machine(
        [],
        *(Slot(f"PCIE_1_{letter}", kind=0xBD, width=0x0A, slot_id=n).pack(n)
          for n, letter in enumerate("ABCD", start=1)),
    )  # fmt: skip
    (found,) = seen.receptacles
    assert (len(found.records), found.lanes.value) == (4, 16)


# The widths are those of real tables: two x1 slots of a desktop, two M.2 sockets, and a slot of a
# server that lists each quarter.
@pytest.mark.parametrize(
    ("kind", "width", "count", "expected"),
    [(0xA5, 0x08, 2, [1, 1]), (0x17, 0x0A, 2, [4, 4]), (0xBD, 0x0A, 4, [16])],
)
def test_records_of_one_name_and_number_are_one_slot_only_if_they_add_up(
    kind: int, width: int, count: int, expected: list[int]
) -> None:
    records = [
        Slot(slot_id=3, designation="S", kind=kind, width=width, bus=number).pack(number)
        for number in range(1, count + 1)
    ]
    seen = machine([], *records)
    assert [one.lanes.value for one in seen.receptacles] == expected


def test_slots_that_share_a_name_stay_apart() -> None:
    seen = machine([], Slot("PCI", slot_id=1).pack(1), Slot("PCI", slot_id=2).pack(2))
    assert len(seen.receptacles) == 2


def test_doubtful_tables_are_called_so() -> None:
    seen = machine(
        [], *(Slot(f"S{n}", usage=4, slot_id=n, **at("00:00.0")).pack(n) for n in range(3))
    )
    said = " ".join(note.text for note in seen.notes)
    assert "all 3 slots say that they are in use" in said
    assert "no slot record has an address" in said


def test_sources_of_two_machines_are_noticed() -> None:
    one = [endpoint(f"{n:02x}:00.0") for n in range(1, 7)]
    other = [endpoint(f"{n:02x}:00.0", vendor=0x9999) for n in range(1, 7)]
    seen = join([parse_hex(text_of(one), "a"), parse_hex(text_of(other), "b")])
    assert any("not the same machine" in note.text for note in seen.notes)


@st.composite
def buses(draw: st.DrawFn) -> list[Function]:
    """Bridges and devices anywhere, with bus numbers that make sense or do not."""
    number = st.integers(0, 12)
    found = []
    for place in draw(st.sets(st.tuples(number, st.integers(0, 3)), min_size=1, max_size=25)):
        address = f"{place[0]:02x}:{place[1]:02x}.0"
        low, high = draw(number), draw(number)
        bridge = draw(st.booleans())
        kind = draw(st.sampled_from([4, 5, 6] if bridge else [0, 9]))
        found.append(
            Function(
                address=address, port_type=kind, slot=draw(st.booleans()) and kind in (4, 6),
                buses=(place[0], low, max(low, high)) if bridge else None,
                class_code=0x0604 if bridge else draw(st.sampled_from([0x0108, NETWORK])),
                vendor=draw(st.integers(1, 3)), slot_number=draw(st.integers(0, 3)),
            )
        )  # fmt: skip
    return found


@given(buses(), st.lists(st.tuples(st.integers(0, 13), st.integers(0, 3)), max_size=4))
def test_whatever_the_buses_every_device_is_somewhere_and_nothing_twice(
    functions: list[Function], slots: list[tuple[int, int]]
) -> None:
    records = [
        Slot(f"S{n}", slot_id=n, bus=bus, devfn=device << 3).pack(n)
        for n, (bus, device) in enumerate(slots)
    ]
    nothing_is_lost_or_doubled(machine(functions, *records))


def nothing_is_lost_or_doubled(seen: MachineSeen) -> None:
    parts = [part for one in seen.receptacles for part in one.parts]
    placed = [a for part in (*parts, *seen.onboard, *seen.unplaced) for a in all_functions(part)]
    placed += [one.address for _, below in seen.leading_out for one in below if not one.is_bridge]
    assert len(placed) == len(set(placed))
    endpoints = {f.address for f in seen.functions if f.is_bridge is False and not f.is_virtual}
    assert endpoints <= set(placed)


def all_functions(part: PartSeen) -> list[PciAddress]:
    return [seen.address for seen in part.functions] + [
        address for inner in part.inside for address in all_functions(inner)
    ]


CAPTURES = [
    path
    for folder, pattern in (
        ("dmidecode", "*.txt"), ("lspci", "*.txt"), ("sysfs", "*.bz2"), ("smbios", "*.bin"),
    )
    for path in captures(folder, pattern)
]  # fmt: skip


@pytest.mark.parametrize("path", CAPTURES, ids=name_of)
def test_captures_join_and_nothing_is_lost_or_doubled(path: Path) -> None:
    readings = readings_of(path)
    seen = join(readings)
    records = [record for one in seen.receptacles for record in one.records]
    table = max((reading.slots for reading in readings), key=len)
    assert sorted(r.where for r in records) == sorted(r.where for r in table)
    nothing_is_lost_or_doubled(seen)
