"""Decoded text: every wording, every capture, and the same machine read both ways."""

from __future__ import annotations

import re
import tempfile
from collections.abc import Callable
from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slotfit.read import smbios
from slotfit.read.dmidecode_text import parse
from slotfit.read.pasted import decode
from slotfit.read.seen import SlotSeen
from slotfit.standards.smbios import SLOT_TYPES
from tests.read.outside import captures, need, real_captures, run
from tests.read.tables import Slot, dump
from tests.read.test_smbios import slots

RECORD = """Handle 0x0016, DMI type 9, 17 bytes
System Slot Information
\tDesignation: SLOT1
{lines}
\tCurrent Usage: In Use
\tLength: Long
\tID: 7
\tCharacteristics:
\t\t3.3 V is provided
\t\tPME signal is supported
\tBus Address: 0000:65:00.0
"""


def slot_of(*lines: str) -> SlotSeen:
    body = "\n".join(f"\t{line}" for line in lines)
    (slot,) = parse(RECORD.format(lines=body), "t").slots
    return slot


# Wordings: the tool's source and change notes; the second value is lanes, type lanes, base byte.
@pytest.mark.parametrize(
    ("lines", "expected"),
    [
        (["Type: x8 PCI Express 3 x16"], (8, 16, 3, None)),
        (["Type: x8 PCI Express 4 x16", "Data Bus Width: 8"], (8, 16, 4, 8)),
        (
            ["Type: PCI Express 5 x16", "Data Bus Width: 16x or x16", "Data Bus Width (Base): 0"],
            (16, 16, 5, 0),
        ),
        (["Type: x16 PCI Express"], (16, None, None, None)),
        (["Type: PCI Express 3 x16", "Data Bus Width: Unknown"], (None, 16, 3, None)),
        (["Type: x4 PCI Express Gen 4 x8"], (4, 8, 4, None)),
        (["Type: x4 PCI Express 4 SFF-8639"], (4, None, 4, None)),
        (["Type: x16 <OUT OF SPEC>"], (16, None, None, None)),
        (["Type: 32-bit PCI"], (None, None, None, None)),
    ],
)
def test_width_type_and_base_byte_in_every_wording(
    lines: list[str], expected: tuple[int | None, ...]
) -> None:
    slot = slot_of(*lines)
    assert (slot.lanes, slot.type_lanes, slot.generation, slot.base_width) == expected


def test_a_misread_physical_width_is_not_used() -> None:
    # What version 3.4 prints for a table of the later layout (the synthetic dump shows it).
    text = RECORD.format(lines="\tType: x8 PCI Express 4 x16") + (
        "\tSlot Physical Width: 16-bit\n\tPitch: 614.53 mm\n\tHeight: <OUT OF SPEC>\n"
    )
    reading = parse(text, "t")
    slot = reading.slots[0]
    assert (slot.physical_lanes, slot.pitch_mm, slot.height) == (None, None, None)
    assert "misread" in reading.notes[0].text


@pytest.mark.parametrize(
    ("name", "change"),
    [
        ("windows line ends", lambda text: text.replace("\n", "\r\n")),
        ("no indentation", lambda text: re.sub(r"(?m)^\s+", "", text)),
        ("quoted", lambda text: re.sub(r"(?m)^", "> ", text)),
        ("blank lines inside", lambda text: text.replace("\tLength", "\n\tLength")),
        ("in a fence with a prompt", lambda text: f"# sudo dmidecode\n```\n{text}```\n"),
        ("quiet, without handles", lambda text: re.sub(r"Handle .*\n", "", text)),
        ("handle and type apart", lambda text: text.replace(", DMI type", "\n\tDMI type")),
        ("other end of bytes", lambda text: text.encode("utf-16")),
    ],
)
def test_pasting_changes_nothing(name: str, change: Callable[[str], str | bytes]) -> None:
    text = RECORD.format(lines="\tType: x8 PCI Express 3 x16")
    text += "\nHandle 0x0017, DMI type 8, 9 bytes\nPort Connector Information\n"
    text += "\tInternal Reference Designator: SLOT1\n"
    expected = parse(text, "t").slots[0]
    changed = change(text)
    (slot,) = parse(decode(changed) if isinstance(changed, bytes) else changed, "t").slots
    for field in ("designation", "lanes", "type_lanes", "usage", "slot_id", "traits", "address"):
        assert getattr(slot, field) == getattr(expected, field), name


def test_without_rights_slots_were_not_read() -> None:
    reading = parse("# dmidecode 3.4\nScanning /dev/mem for entry point.\n", "t")
    assert reading.slots_read is False
    assert reading.notes[0].kind == "not-read"


def test_no_record_is_dropped_for_an_unknown_word() -> None:
    slot = slot_of("Type: x4 Some Future Thing")
    assert (slot.type_name, slot.form, slot.lanes) == ("Some Future Thing", None, 4)
    text = RECORD.format(lines="\tType: x4 PCI Express").replace("In Use", "<OUT OF SPEC>")
    assert parse(text, "t").slots[0].usage == "code ?"


@pytest.mark.parametrize("path", captures("dmidecode"), ids=lambda path: path.stem)
def test_texts_give_as_many_records_as_a_plain_search(path: Path) -> None:
    data = path.read_bytes()
    reading = parse(decode(data), path.name)
    for pattern, found in (
        (rb"^System Slot Information", reading.slots),
        (rb"^Processor Information", reading.processors),
        (rb"^(?:System|Base Board) Information", reading.boards),
        (rb"^(?:Onboard Device$|On Board Device.*Information)", reading.onboard),
    ):
        assert len(found) == len(re.findall(pattern, data, re.MULTILINE))
    plain = re.findall(rb"^\tDesignation: (.*)\n\tType: (?:x(\d+) )?(.*?)\r?$", data, re.MULTILINE)
    if b" or x" not in data:  # up to 3.5 the wired width stands before the type
        widths = [int(lanes) if lanes else None for _, lanes, _ in plain]
        assert [slot.lanes for slot in reading.slots] == widths
    names = [re.sub(r"^\d+-bit ", "", name.decode()) for _, _, name in plain]
    known = [None if "OUT OF SPEC" in name else name for name in names]
    assert [slot.type_name for slot in reading.slots] == known


def test_the_collection_is_large_enough_to_mean_something() -> None:
    assert len(real_captures("dmidecode")) >= 200


def test_the_text_and_the_table_of_one_machine_say_the_same() -> None:
    (text,), (table,) = captures("dmidecode", "kiln.txt"), captures("smbios", "kiln.bin")
    said = parse(text.read_text("utf-8"), "t").slots
    for one, other in zip(said, smbios.parse(table.read_bytes(), "t").slots, strict=True):
        for field in ("designation", "lanes", "type_lanes", "generation", "usage", "address"):
            assert getattr(one, field) == getattr(other, field), field


@given(st.lists(slots(), min_size=10, max_size=30))
@settings(max_examples=10)
def test_text_and_table_say_the_same(drawn: list[Slot]) -> None:
    tool = need("dmidecode")
    whole = dump(*(slot.pack(number) for number, slot in enumerate(drawn)))
    with tempfile.TemporaryDirectory() as folder:
        path = Path(folder) / "table.bin"
        path.write_bytes(whole)
        text = run(tool, "--from-dump", str(path))
    pairs = zip(parse(text, "t").slots, smbios.parse(whole, "t").slots, strict=True)
    for said, read in pairs:
        for field in (
            "designation", "generation", "form", "type_lanes", "lanes", "width_bits",
            "address", "base_width", "peers", "information", "physical_lanes", "pitch_mm",
        ):  # fmt: skip
            assert getattr(said, field) == getattr(read, field), field
        if said.type_code is not None:
            assert SLOT_TYPES[said.type_code] == SLOT_TYPES[read.type_code or 0]


@given(st.text(max_size=400), st.data())
def test_any_text_gives_a_reading(noise: str, data: st.DataObject) -> None:
    text = RECORD.format(lines="\tType: x8 PCI Express 3 x16")
    at = data.draw(st.integers(0, len(text)))
    reading = parse(text[:at] + noise + text[at:], "t")
    assert len(reading.slots) <= 2 + noise.count("System") + noise.count("Handle")


SLOT = "Handle 0x{0:04X}, DMI type 9, 17 bytes\nSystem Slot Information\n\tDesignation: {1}\n"
BOARD = "Handle 0x0002, DMI type 2, 15 bytes\nBase Board Information\n\tProduct Name: {0}\n"


def test_records_of_which_only_some_lines_were_kept() -> None:
    """`dmidecode -t slot | grep -E 'Designation|Usage|Bus Address'`, as people paste it."""
    one = "\tDesignation: GPU{0}\n\tCurrent Usage: Available\n\tBus Address: 0000:4{0}:00.0\n"
    reading = parse(one.format(1) + one.format(2), "t")
    assert [(slot.designation, str(slot.address)) for slot in reading.slots] == [
        ("GPU1", "0000:41:00.0"),
        ("GPU2", "0000:42:00.0"),
    ]
    quiet = (
        "System Slot Information\n" + one.format(1) + "\nSystem Slot Information\n" + one.format(2)
    )
    assert len(parse(quiet, "t").slots) == 2


def test_a_table_listed_twice_is_read_once() -> None:
    """`dmidecode -t slot` and `dmidecode` in one paste (the first line is the tool's own)."""
    slots = SLOT.format(9, "SLOT1") + SLOT.format(10, "SLOT2")
    text = f"# dmidecode 3.3\n{slots}\n# dmidecode 3.3\n{BOARD.format('B')}{slots}"
    reading = parse(text, "t")
    assert [slot.designation for slot in reading.slots] == ["SLOT1", "SLOT2"]
    assert [board.product for board in reading.boards] == ["B"]
    assert not reading.notes


def test_a_table_of_another_machine_is_left_out_and_said() -> None:
    one, other = (
        BOARD.format("B") + SLOT.format(9, "SLOT1"),
        BOARD.format("C") + SLOT.format(9, "X"),
    )
    reading = parse(f"# dmidecode 3.3\n{one}\n# dmidecode 3.5\n{other}", "t")
    assert [slot.designation for slot in reading.slots] == ["SLOT1"]
    (note,) = reading.notes
    assert "another machine's table" in note.text
    assert note.where.line == 10
