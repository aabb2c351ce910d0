"""Listings of the bus: wordings, captures, our register decoding against the tool's."""

from __future__ import annotations

import re
from pathlib import Path

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.read.lspci_other import parse_hex, parse_records, parse_tree
from slotfit.read.lspci_text import parse_text
from slotfit.read.pasted import decode
from slotfit.read.seen import FunctionSeen, LinkSeen
from tests.read.outside import captures, lspci_prints, real_captures
from tests.read.wordings import WORDINGS

HEADER = "65:00.0 Non-Volatile memory controller [0108]: A drive [1234:5678] (rev 01)"


def function_of(*lines: str, header: str = HEADER) -> FunctionSeen:
    (seen,) = parse_text("\n".join((header, *(f"\t{line}" for line in lines))), "t").functions
    return seen


# The three wordings of the marks: up to 3.5, 3.6 to 3.7, since 3.8 (the tool's change log).
@pytest.mark.parametrize(
    ("line", "generation", "lanes"),
    [
        ("LnkSta:\tSpeed 8GT/s, Width x4, TrErr- Train- SlotClk+ DLActive-", 3, 4),
        ("LnkSta:\tSpeed 8GT/s (ok), Width x4 (ok)", 3, 4),
        ("LnkSta:\tSpeed 8GT/s, Width x4", 3, 4),
        ("LnkSta:\tSpeed 8GT/s (downgraded), Width x1 (downgraded)", 3, 1),
        ("LnkSta:\tSpeed 16GT/s (downgraded), Width x2", 4, 2),
        ("LnkSta: Speed 8GT/s (strange), Width x4 (overdriven)", 3, 4),
        ("LnkSta:\tSpeed unknown, Width x0", None, 0),
        ("LnkSta:\tSpeed 5GT/s, Width x0", 2, 0),
        ("LnkSta:\tSpeed 2.5GT/s (downgraded), Width x16 (strange)", 1, 16),
    ],
)
def test_link_states_in_every_wording(line: str, generation: int | None, lanes: int) -> None:
    seen = function_of("LnkCap:\tPort #0, Speed 16GT/s, Width x4, ASPM L1", line)
    assert seen.link
    assert (seen.link.generation_now, seen.link.lanes_now) == (generation, lanes)
    assert (seen.link.generation_max, seen.link.lanes_max) == (4, 4)


# Hexadecimal up to 3.1.6, printed with a padded field; decimal since 3.1.7.
@pytest.mark.parametrize(
    ("line", "number", "power_w"),
    [
        ("Slot # 40, PowerLimit 0.000000; Interlock+ NoCompl-", 64, None),
        ("Slot #  2, PowerLimit 6.500000; Interlock- NoCompl-", 2, 6.5),
        ("Slot #40, PowerLimit 75.000W; Interlock- NoCompl-", 40, 75.0),
        ("Slot #40, PowerLimit 75W; Interlock- NoCompl+", 40, 75.0),
        ("Slot #0, PowerLimit 0W; Interlock- NoCompl+", 0, None),
        ("Slot: Number 1, PowerLimit 25.000000", 1, 25.0),
    ],
)
def test_slot_numbers_and_power_in_every_wording(
    line: str, number: int, power_w: float | None
) -> None:
    seen = function_of(line)
    assert (seen.slot_number, seen.slot_power_w) == (number, power_w)


def test_the_words_of_2007() -> None:
    seen = function_of(
        "Link: Supported Speed 2.5Gb/s, Width x4, ASPM L0s L1, Port 0",
        "Link: Speed 2.5Gb/s, Width x4",
    )
    assert seen.link == LinkSeen(lanes_max=4, lanes_now=4, generation_max=1, generation_now=1)


@pytest.mark.parametrize(
    "line",
    [
        "Function Dependency Link: 00",
        "Link Control 0: Speed 8GT/s, Width x8",
        "LnkSta2: Current De-emphasis Level: -6dB",
        "LnkCtl3: LnkEquIntrruptEn- PerformEqu-",
        "ExtTag+ AttnBtn- RBE+ FLReset+ SlotPowerLimit 75W",
        "[V0] Vendor specific: PCIeGen5 x16",
    ],
)
def test_lines_that_only_look_like_a_link(line: str) -> None:
    seen = function_of(line)
    assert (seen.link, seen.slot_number, seen.slot_power_w) == (None, None, None)


@pytest.mark.parametrize(
    ("header", "address", "class_code", "ids"),
    [
        ("00:1f.2 SATA controller: A name (rev 05)", "0000:00:1f.2", 0x0106, None),
        ("0002:01:00.0 SATA controller: A name", "0002:01:00.0", 0x0106, None),
        ("10000:e1:00.0 Non-Volatile memory controller: N", "10000:e1:00.0", 0x0108, None),
        (HEADER, "0000:65:00.0", 0x0108, (0x1234, 0x5678)),
        ("00:1f.2 0106: 8086:2822 (rev 05)", "0000:00:1f.2", 0x0106, (0x8086, 0x2822)),
        ("05:01.0 Class 0604: Device 10b5:9716", "0000:05:01.0", 0x0604, (0x10B5, 0x9716)),
        (
            "pcilib: cannot open: No such device06:00.0 Ethernet controller: N",
            "0000:06:00.0",
            0x0200,
            None,
        ),
        ('00:1f.2 "SATA controller" "A maker" "A name" -r05', "0000:00:1f.2", 0x0106, None),
    ],
)
def test_headers(header: str, address: str, class_code: int, ids: tuple[int, int] | None) -> None:
    seen = function_of(header=header)
    assert (str(seen.address), seen.class_code) == (address, class_code)
    assert (seen.vendor_id, seen.device_id) == (ids or (None, None))


def test_what_rights_hid_is_noted() -> None:
    reading = parse_text(f"{HEADER}\n\tCapabilities: <access denied>\n", "t")
    assert reading.functions[0].link is None
    assert [note.kind for note in reading.notes] == ["not-read"]


def test_devices_of_another_machine_are_left_out_and_said() -> None:
    """Two listings in one paste: the addresses repeat, and what answers there differs."""
    one = "00:00.0 Host bridge: A [1111:0001]\n01:00.0 Ethernet controller: B [1111:0002]\n"
    other = "00:00.0 Host bridge: C [2222:0001]\n02:00.0 SATA controller: D [2222:0002]\n"
    reading = parse_text(one + "me@other:~$ lspci -nn\n" + other, "t")
    assert [seen.vendor_id for seen in reading.functions] == [0x1111, 0x1111]
    assert "2 devices from here on are another machine's" in reading.notes[0].text
    assert reading.notes[0].where.line == 4
    assert len(parse_text(one + one, "t").functions) == 2


def test_link_lines_without_devices_are_noted() -> None:
    reading = parse_text("LnkCap: Port #0, Speed 8GT/s, Width x4\n" * 3, "t")
    assert not reading.functions
    assert "3 link lines" in reading.notes[0].text


@pytest.mark.parametrize("path", captures("lspci"), ids=lambda path: path.stem)
def test_texts_give_as_many_devices_and_links_as_a_plain_search(path: Path) -> None:
    data = path.read_bytes()
    functions = parse_text(decode(data), path.name).functions
    header = rb"^(?:[0-9a-f]{4,5}:)?[0-9a-f]{2}:[0-9a-f]{2}\.[0-7] "
    devices = re.findall(header, data, re.MULTILINE)
    links = re.findall(rb"^\s+LnkCap:.*Width x(\d+)", data, re.MULTILINE)
    assert len(functions) == len(devices)
    assert [f.link.lanes_max for f in functions if f.link and f.link.lanes_max] == [
        int(lanes) for lanes in links if lanes != b"0"
    ]
    slots = re.findall(rb"^\s+Slot ?#", data, re.MULTILINE)
    assert sum(f.slot_number is not None for f in functions) == len(slots)
    assert sum(f.secondary_bus is not None for f in functions) == data.count(b"secondary=")


def said_in(path: Path) -> list[tuple[object, ...]]:
    """What a listing says of each function."""
    return [
        (f.address, f.class_code, f.port_type, f.slot_implemented, f.secondary_bus,
         f.slot_number, f.slot_power_w, f.card_present,
         f.link and (f.link.lanes_max, f.link.lanes_now, f.link.generation_max,
                     f.link.generation_now, f.link.active))
        for f in parse_text(decode(path.read_bytes()), path.name).functions
    ]  # fmt: skip


def test_every_wording_of_one_machine_says_the_same() -> None:
    said = [said_in(path) for path in captures("lspci", "loom-[0-9]*.txt")]
    assert len(said) == len(WORDINGS)
    assert all(rendering == said[0] for rendering in said)
    ports = {str(row[0]): row[5:7] for row in said[0]}
    assert (ports["0000:00:01.0"], ports["0000:80:03.0"]) == ((1, 75), (9, 25))


def test_renderings_of_one_real_machine_say_the_same() -> None:
    real_captures("lspci")
    said = [said_in(real_captures("lspci", f"0{number}.txt")[0]) for number in range(17, 25)]
    # The oldest did not know 5 GT/s in every place; all others agree on everything.
    assert all(rendering == said[-1] for rendering in said[1:])
    assert [row[:2] for row in said[0]] == [row[:2] for row in said[-1]]


# The forms are those of the tool's manual page: -vmm, -vmmn, -vmmnn, and the older -vm.
@pytest.mark.parametrize(
    ("start", "numbers"),
    [
        ("Slot:\t65:00.0\nClass:\tEthernet controller\nVendor:\tA maker\nDevice:\tA chip", None),
        ("Slot:\t65:00.0\nClass:\t0200\nVendor:\t1111\nDevice:\t2222", (0x1111, 0x2222)),
        (
            "Slot:\t0000:65:00.0\nClass:\tX [0200]\nVendor:\tM [1111]\nDevice:\tN [2222]",
            (0x1111, 0x2222),
        ),
        ("Device:\t65:00.0\nClass:\tEthernet controller\nVendor:\tMaker\nDevice:\tA chip", None),
    ],
)
def test_records_for_programs(start: str, numbers: tuple[int, int] | None) -> None:
    more = "\nSVendor:\tA maker\nSDevice:\tA card\nPhySlot:\t7-1\nNUMANode:\t1\nIOMMUGroup:\t14\n"
    other = "\nSlot:\t66:00.0\nClass:\tPCI bridge\n"
    first, second = parse_records(start + more + other, "t").functions
    assert (str(first.address), first.class_code) == ("0000:65:00.0", 0x0200)
    assert (first.physical_slot, first.numa_node, first.iommu_group) == ("7-1", 1, 14)
    assert (first.vendor_id, first.device_id) == (numbers or (None, None))
    assert (str(second.address), second.is_bridge) == ("0000:66:00.0", True)


TREE = r"""-+-[10000:e0]---02.0-[e1]----00.0
 +-[0000:80]-+-00.0
 |           \-02.0-[81-85]----00.0-[82-85]--+-01.0-[83]----00.0
 |                                           +-02.0-[84]--
 |                                           \-03.0-[85]--+-00.0
 |                                                        \-00.1
 \-[0000:00]-+-00.0  Some maker Host bridge [1234:5678]
             \-1f.2
"""


def test_a_tree_gives_buses_below_bridges() -> None:
    found = {str(f.address): f.secondary_bus for f in parse_tree(TREE, "t").functions}
    assert found == {
        "10000:e0:02.0": 0xE1, "10000:e1:00.0": None,
        "0000:80:00.0": None, "0000:80:02.0": 0x81, "0000:81:00.0": 0x82,
        "0000:82:01.0": 0x83, "0000:83:00.0": None, "0000:82:02.0": 0x84,
        "0000:82:03.0": 0x85, "0000:85:00.0": None, "0000:85:00.1": None,
        "0000:00:00.0": None, "0000:00:1f.2": None,
    }  # fmt: skip


def test_a_tree_that_lost_its_columns_is_not_guessed() -> None:
    reading = parse_tree(re.sub(r"(?m)^[ |]+", "", TREE), "t")
    # The lines that name a root bus are whole; of the others nothing can be said.
    assert {str(f.address) for f in reading.functions} == {
        "10000:e0:02.0", "10000:e1:00.0", "0000:80:00.0", "0000:00:00.0",
    }  # fmt: skip
    assert "5 lines of the tree do not line up" in reading.notes[0].text


def test_a_piece_of_a_tree_that_starts_at_a_root_bus_is_read() -> None:
    """Cut out of the middle, the first line trimmed: `+-[` has stood one column further in."""
    piece = (
        "+-[0000:16]-+-00.0  A host bridge\n"
        " |           +-01.0-[17]----00.0  A drive\n"
        " |           \\-03.0-[18]--\n"
        "...\n"
    )
    reading = parse_tree(piece, "t")
    assert {str(f.address): f.secondary_bus for f in reading.functions} == {
        "0000:16:00.0": None, "0000:16:01.0": 0x17, "0000:17:00.0": None, "0000:16:03.0": 0x18,
    }  # fmt: skip
    assert not reading.notes


@pytest.mark.parametrize(
    "path",
    [*captures("lspci", "*-registers.txt"), *captures("lspci", "002.txt")],
    ids=lambda path: path.stem,
)
@pytest.mark.parametrize("options", [("-t",), ("-tv",), ("-tvnn",)])
def test_the_tools_tree_of_dumps_is_read_back(options: tuple[str, ...], path: Path) -> None:
    text = decode(path.read_bytes())
    tree = parse_tree(lspci_prints(text, *options), "t").functions
    listed = parse_hex(text, "t").functions
    assert {f.address for f in tree} == {f.address for f in listed}
    bridges = {f.address: f.secondary_bus for f in listed if f.secondary_bus}
    assert {f.address: f.secondary_bus for f in tree if f.secondary_bus} == bridges


@given(st.text(alphabet="0123456789abcdef:. \t\n[]()xWidthSpeed-+\\|>=", max_size=600))
def test_any_text_gives_readings(noise: str) -> None:
    for parse in (parse_text, parse_hex, parse_tree):
        reading = parse(f"{HEADER}\n{noise}", "t")
        assert len(reading.functions) <= 1 + len(noise) // 4
