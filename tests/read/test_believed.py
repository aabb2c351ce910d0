"""
What a table says and must not be taken at its word: the kinds, and what a careful reader makes.

The kinds are from counts over some 160,000 public tables. Tables here are invented after them; the
same kinds are read in a collection of real ones, where that lies beside the checkout.
"""

from __future__ import annotations

from dataclasses import dataclass
from typing import Any

import pytest

from slotfit.answers.read.files import Description
from slotfit.read.dmidecode_text import parse
from slotfit.read.join import join
from slotfit.read.lspci_text import parse_text
from slotfit.read.machine import MachineSeen
from tests.describe.loading import described
from tests.read.machines import endpoint, port
from tests.read.outside import real_captures
from tests.read.registers import Function
from tests.read.scenes import HOST, at, machine
from tests.read.tables import Slot, processor

X1, X4, X8, X16 = 0x08, 0x0A, 0x0B, 0x0D
"""Widths, DSP0134 7.10.2."""
PCI, PCI_X, OTHER, GEN3_X8, GEN5_X8, PLAIN, PLAIN_X1, PLAIN_X4, PLAIN_X16 = (
    0x06, 0x12, 0x01, 0xB5, 0xC2, 0xA5, 0xA6, 0xA8, 0xAA,
)  # fmt: skip
"""Types, DSP0134 7.10.1."""

Read = dict[str, tuple[str, int | None, int | None, int | None]]
"""Designation -> form, width, lanes, generation."""


def read(made: Description) -> Read:
    return {
        slot.label: (
            slot.form.value,
            slot.width.value if slot.width else None,
            slot.lanes.value if slot.lanes else None,
            slot.generation.value if slot.generation else None,
        )
        for slot in made.slots
    }


def table(*slots: Slot) -> MachineSeen:
    return machine([], *(slot.pack(number) for number, slot in enumerate(slots, start=1)))


def slot(name: str, kind: int, width: int, number: int = 1, **more: Any) -> Slot:
    address = more.pop("address", "00:00.0")
    return Slot(name, kind=kind, width=width, slot_id=number, **at(address), **more)


@dataclass(frozen=True)
class Kind:
    """One kind of table; `left` are those that are not described."""

    slots: list[Slot]
    read: Read
    left: tuple[str, ...] = ()


KINDS = {
    "lanes above the connector: the fields are swapped": Kind(
        [slot("Slot 6", GEN3_X8, X16)], {"Slot 6": ("cem", 16, 8, 3)}
    ),
    "an index in a name is no generation": Kind(
        [slot("PCI-Express 5 X1", PLAIN, X1)], {"PCI-Express 5 X1": ("cem", 1, 1, None)}
    ),
    "several generations in a name": Kind(
        [slot("PEG Gen1/Gen2/Gen3 X16", PLAIN, X16)],
        {"PEG Gen1/Gen2/Gen3 X16": ("cem", 16, 16, 3)},
    ),
    "a generation that no bus has": Kind(
        [slot("RISER_SLOT_1(PCIe x32) -1(PCIe x8)", GEN5_X8, X8, information=116, physical=X8)],
        {"RISER_SLOT_1(PCIe x32) -1(PCIe x8)": ("cem", 8, 8, 5)},
    ),
    "two sockets with letters": Kind(
        [slot("M2_A", 0xB4, X4, 0, address="00:1d.0"),
         slot("M2_B", 0xB4, X4, 1, address="00:1d.4")],
        {"M2_A": ("m2-m", None, 4, 3), "M2_B": ("m2-m", None, 4, 3)},
    ),
    "ports of one slot": Kind(
        [slot("PCIe1_PortA", PLAIN_X16, X16, 1)]
        + [slot(f"PCIe1_Port{letter}", PLAIN_X4, X4, n) for n, letter in enumerate("BCD", 2)],
        {"PCIe1_PortA": ("cem", 16, 16, None)},
    ),
    "ports of two drive bays": Kind(
        [slot(f"U2_1_Port{letter}", PLAIN, X4, n) for n, letter in enumerate("AB", 1)],
        {"U2_1_PortA": ("u2", None, 4, None), "U2_1_PortB": ("u2", None, 4, None)},
    ),
    "the same record twice": Kind(
        [slot("SLOT3", PLAIN_X1, X1, 2, address="ff:1c.4")] * 2, {"SLOT3": ("cem", 1, 1, None)}
    ),
    "a record twice beside another of its slot": Kind(
        [slot("SLOT3", 0xB6, X8, 3, address="6f:00.0")] + [slot("SLOT3", 0xB6, X4, 3)] * 2,
        {"SLOT3": ("cem", 16, 8, 3)},
    ),
    "one name, two addresses": Kind(
        [slot("Slot1", PLAIN, X4, 17, address="01:00.0"), slot("Slot1", PLAIN, X1, 18)],
        {"Slot1": ("cem", 1, 1, None)},  # the second of that name
    ),
    "drive bays": Kind(
        [slot("PCIe SSD Slot 0 in Bay 2", GEN3_X8, X4)],
        {"PCIe SSD Slot 0 in Bay 2": ("u2", None, 4, 3)},
    ),
    "connectors for cables": Kind(
        [slot("OCU1", PLAIN, X4), slot("SL_SAS2", PLAIN, X4, 2), slot("MCIO3", PLAIN, X8, 3),
         slot("GENZ_022(PCIe x8) -1(PCIe x4)", GEN5_X8, X4, 4)],
        {"OCU1": ("oculink-4", None, 4, None), "SL_SAS2": ("slimsas-4", None, 4, None),
         "MCIO3": ("mcio-8", None, 8, None)},
        ("GENZ_022(PCIe x8) -1(PCIe x4)",),
    ),
    "mezzanines": Kind(
        [slot("OCP_PRI_SLOT (PCIe x16)", 0x09, X16), slot("Mezzanine 1", GEN3_X8, X8, 2)],
        {}, ("OCP_PRI_SLOT (PCIe x16)", "Mezzanine 1"),
    ),
    "a socket beside the memory": Kind([slot("DIMM.2_1", OTHER, X4)], {}, ("DIMM.2_1",)),
    "a form that nobody named": Kind([slot("GPU1", OTHER, X16)], {}, ("GPU1",)),
    "an old type beside a PCI Express name": Kind(
        [slot("PCIEX1_1", PCI_X, 0x05), slot("PCI_1", PCI, 0x05, 2)],
        {"PCIEX1_1": ("cem", 1, 1, None)}, ("PCI_1",),
    ),
    "names of a reference design": Kind(
        [slot(name, PLAIN_X16, X16, n) for n, name in enumerate(("J6B2", "J6B1", "J6D1"))],
        dict.fromkeys(("J6B2", "J6B1", "J6D1"), ("cem", None, None, None)),
    ),
    "widths without a space": Kind(
        [slot("PCH SLOT4 PCI-E 3.0 X4(IN X8)", 0xB5, X4)],
        {"PCH SLOT4 PCI-E 3.0 X4(IN X8)": ("cem", 8, 4, 3)},
    ),
}  # fmt: skip


@pytest.mark.parametrize("kind", KINDS.values(), ids=KINDS)
def test_a_table_is_not_taken_at_its_word(kind: Kind) -> None:
    made = described(table(*kind.slots))
    assert read(made) == kind.read
    assert tuple(one.label for one in made.omitted) == kind.left


def test_a_table_of_a_reference_design_is_named_and_warned_of() -> None:
    made = described(table(*KINDS["names of a reference design"].slots))
    assert any("reference design" in note.text for note in made.seen.notes)
    assert "names of a reference design" in " ".join(
        made.files["board.yaml"].replace("#", " ").split()
    )


def test_the_limit_of_an_empty_port_is_a_doubt() -> None:
    """Firmware leaves defaults there: common practice, no source."""
    host = Function(address="00:00.0", class_code=HOST, buses=None, port_type=4, slot=False)
    bare = port("00:01.0", 1, number=1, power=(25, 0), present=False, active=False, lanes_now=0)
    for bus, said in (([host, bare], None), ([host, port("00:01.0", 1, number=1, power=(75, 0)),
                                              endpoint("01:00.0", kind=0x0302)], 75)):  # fmt: skip
        (one,) = described(machine(bus)).slots
        assert (one.power_w.value if one.power_w else None) == said
        assert any("power_w: its port is set to 25 W" in text for text in one.remarks) != bool(said)


def bus_of(*nodes: int) -> MachineSeen:
    """What a listing says of ports on these nodes, with a card below the first."""
    text = ""
    for number, node in enumerate(nodes):
        first = number << 6
        text += (
            f"{first:02x}:00.0 PCI bridge: Invented port\n\tNUMA node: {node}\n"
            f"\tBus: primary={first:02x}, secondary={first + 1:02x}, subordinate={first + 1:02x}\n"
            "\tCapabilities: [40] Express (v2) Root Port (Slot+), MSI 00\n"
            f"\t\tSltCap:\t\n\t\t\tSlot #{number + 1}, PowerLimit 75W; Interlock- NoCompl-\n\n"
        )
    return join([parse_text(text, "bus")])


@pytest.mark.parametrize(("nodes", "origin"), [((0,), "cpu0"), ((0, 1), None), ((0, 0), None)])
def test_two_nodes_or_root_buses_are_never_the_only_processor(
    nodes: tuple[int, ...], origin: str | None
) -> None:
    made = described(bus_of(*nodes))
    assert {made.origins.get(one.id) for one in made.slots} == {origin}


def test_what_answers_hangs_on_the_processor_that_is_fitted() -> None:
    sockets = (processor(1, "CPU1", populated=True), processor(2, "CPU2", populated=False))
    bus = [port("00:01.0", 1, number=1), endpoint("01:00.0"), port("00:02.0", 2, number=2)]
    made = described(machine(bus, *sockets))
    assert [made.origins.get(one.id) for one in made.slots] == ["cpu0", None]


def test_a_machine_that_runs_has_a_processor() -> None:
    made = described(machine([], processor(1, "N/A", populated=False), Slot().pack(2)))
    assert [one.fitted for one in made.sockets] == [None]


REAL: dict[str, Read] = {
    "139D3C2B4A77": {"M2_A": ("m2-m", None, 4, 3), "M2_B": ("m2-m", None, 4, 3)},
    "2B155AEF2327": {"RSC-SR-68G5 SLOT2 PCIe 5.0 X8": ("cem", 16, 8, 5)},
    "F40AFD7A2D8F": {"Slot 6": ("cem", 16, 8, 2), "Slot 3": ("cem", 8, 4, 2)},
    "D318C13F05A4": {"PCI-Express 5 X4": ("cem", 4, 4, None)},
    "3BC6540442E7": {"OCU1": ("oculink-4", None, 4, None)},
    "7614C8F346EC": {"PCIEX1_1": ("cem", 1, 1, None), "PCIEX16_1": ("cem", 16, None, None)},
    "02155FC205AE": {"PCH SLOT4 PCI-E 2.0 X4(IN X8)": ("cem", 8, 4, 2)},
    "91EC907767E4": {"Slot3": ("cem", 1, 1, None), "M2_2": ("m2-m", None, 4, None)},
    "23BA3B5E78E1": {"SLOT03_X8_CPU1": ("cem", 16, 8, 4)},
    "FF6922E2D8CA": {"PCIe1_PortA": ("cem", 16, 16, None), "SL_SAS1": ("slimsas-4", None, 4, None)},
    "217CE5760BE6": {"J6B2": ("cem", None, None, None)},
    "83CEFC1D4C9C": {"J6D1": ("cem", None, None, None)},
    "C47EF5FEC5BF": {"RISER_SLOT_1(PCIe x32) -1(PCIe x8)": ("cem", 8, 8, 5)},
    "04B3B45439D3": {"U2_1_PortA": ("u2", None, 4, None), "U2_1_PortB": ("u2", None, 4, None)},
}
"""What a careful reader makes of some of the real ones."""
NOT_DESCRIBED = {
    "453214F7306F": ("DIMM.2_1", "DIMM.2_2"),
    "125A512DC57A": ("Mezzanine 1", "Mezzanine 2", "Mezzanine 3"),
    "A95D26A63919": ("OCP CONN A", "OCP CONN B"),
    "EC25EEE1271E": ("PCI", "PCI"),
}


def test_real_tables_are_read_as_a_careful_reader_would() -> None:
    for path in real_captures("dmidecode"):
        if path.stem not in REAL and path.stem not in NOT_DESCRIBED:
            continue
        made = described(join([parse(path.read_text("utf-8", "replace"), path.name)]))
        got = read(made)
        want = REAL.get(path.stem, {})
        assert {name: got.get(name) for name in want} == want, path.stem
        left = [one.label for one in made.omitted]
        assert set(NOT_DESCRIBED.get(path.stem, ())) <= set(left), path.stem
