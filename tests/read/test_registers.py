"""Our decoding of configuration space against the listing tool's, and against damage."""

from __future__ import annotations

from pathlib import Path

import pytest
from hypothesis import given, settings
from hypothesis import strategies as st

from slotfit.read.lspci_other import parse_hex
from slotfit.read.lspci_text import parse_text
from slotfit.read.pasted import decode
from slotfit.read.seen import FunctionSeen, PciAddress
from tests.read.outside import captures, lspci_prints, need
from tests.read.registers import Function

HEADER = "65:00.0 Non-Volatile memory controller: A drive"


COMPARED = (
    "vendor_id", "device_id", "class_code", "is_bridge", "port_type", "slot_implemented",
    "slot_number", "slot_power_w", "hot_plug", "card_present", "primary_bus", "secondary_bus",
    "subordinate_bus", "subsystem_vendor_id", "subsystem_id", "acs_capable", "acs_enabled",
)  # fmt: skip


def differences(ours: FunctionSeen, tool: FunctionSeen) -> list[str]:
    """Fields on which our decoding and the tool's text differ; what the tool leaves out is none."""
    found = [
        f"{ours.address} {name}: {getattr(ours, name)} {getattr(tool, name)}"
        for name in COMPARED
        if getattr(tool, name) is not None and getattr(ours, name) != getattr(tool, name)
    ]
    if (ours.link is None) != (tool.link is None):
        found.append(f"{ours.address} link: {ours.link} {tool.link}")
    for name in ("lanes_max", "lanes_now", "generation_max", "generation_now", "active"):
        mine, theirs = getattr(ours.link, name, None), getattr(tool.link, name, None)
        if mine != theirs:
            found.append(f"{ours.address} {name}: {mine} {theirs}")
    supported = tool.link.generation_supported if tool.link else None
    if supported is not None and ours.link and ours.link.generation_supported != supported:
        found.append(f"{ours.address} supported: {ours.link} {tool.link}")
    return found


@pytest.mark.parametrize(
    "path",
    [*captures("lspci", "*-registers.txt"), *captures("lspci", "00?.txt"),
     *captures("lspci", "01[0-6].txt")],
    ids=lambda path: path.stem,
)  # fmt: skip
def test_our_register_decoding_equals_the_tools_on_dumps(path: Path) -> None:
    text = decode(path.read_bytes())
    tool = {f.address: f for f in parse_text(lspci_prints(text), "tool").functions}
    ours = parse_hex(text, path.name).functions
    assert [f.address for f in ours] == list(tool)
    assert [line for f in ours for line in differences(f, tool[f.address])] == []


@st.composite
def functions(draw: st.DrawFn, number: int) -> Function:
    """Ports and endpoints with every field this reader uses drawn."""
    port_type = draw(st.sampled_from([0, 1, 4, 5, 6, 9]))
    bridge = port_type in (4, 5, 6)
    return Function(
        address=f"{number // 32:02x}:{number % 32:02x}.{draw(st.integers(0, 7))}",
        vendor=draw(st.integers(1, 0xFFFE)),
        device=draw(st.integers(1, 0xFFFE)),
        class_code=0x0604 if bridge else 0x0108,
        buses=draw(st.tuples(*[st.integers(0, 255)] * 3)) if bridge else None,
        port_type=port_type,
        slot=draw(st.booleans()) and port_type in (4, 6),
        speed_max=draw(st.integers(1, 6)),
        lanes_max=draw(st.sampled_from([1, 2, 4, 8, 12, 16, 32])),
        speed_now=draw(st.integers(1, 6)),
        lanes_now=draw(st.sampled_from([0, 1, 2, 4, 8, 16])),
        reports_active=draw(st.booleans()),
        active=draw(st.booleans()),
        vector=draw(st.sampled_from([0x02, 0x06, 0x0E, 0x1E, 0x3E, 0x7E])),
        slot_number=draw(st.integers(0, 0x1FFF)),
        power=draw(st.tuples(st.integers(0, 0xFE), st.integers(0, 3))),
        hot_plug=draw(st.booleans()),
        present=draw(st.booleans()),
        acs=draw(st.none() | st.tuples(st.integers(0, 0x7F), st.integers(0, 0x7F))),
    )


@given(st.data())
@settings(max_examples=10)
def test_our_register_decoding_equals_the_tools_on_drawn_registers(data: st.DataObject) -> None:
    need("lspci")
    drawn = [data.draw(functions(number)) for number in range(1, 12)]
    text = "".join(function.dump() for function in drawn)
    tool = {f.address: f for f in parse_text(lspci_prints(text), "tool").functions}
    ours = parse_hex(text, "t").functions
    assert {f.address for f in ours} == set(tool)
    assert [line for f in ours for line in differences(f, tool[f.address])] == []


def test_a_broken_line_costs_only_its_own_device() -> None:
    first, second = Function(address="00:01.0"), Function(address="00:02.0")
    text = first.dump(256).replace("40: ", "e000pcilib: sysfs_read_vpd: input/output error\n40 ")
    reading = parse_hex(text + second.dump(256), "t")
    broken, whole = reading.functions
    assert (broken.link, broken.secondary_bus) == (None, 1)
    assert whole.link
    assert any(note.kind == "damaged" for note in reading.notes)


@given(st.binary(min_size=64, max_size=4096))
def test_any_registers_are_decoded(data: bytes) -> None:
    lines = [f"{at:02x}: {data[at : at + 16].hex(' ')}" for at in range(0, len(data), 16)]
    reading = parse_hex("\n".join((HEADER, *lines)), "t")
    assert len(reading.functions) == (data[:2] != b"\xff\xff")


def test_a_looping_capability_list_ends() -> None:
    data = bytearray(Function().space())
    data[0x41] = 0x40
    data[0x100:0x104] = (0x1000000D | 0x100 << 20).to_bytes(4, "little")
    lines = [f"{at:02x}: {data[at : at + 16].hex(' ')}" for at in range(0, 4096, 16)]
    (seen,) = parse_hex("\n".join((HEADER, *lines)), "t").functions
    assert seen.link
    assert seen.address == PciAddress(0, 0x65, 0, 0)
