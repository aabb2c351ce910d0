"""
What kinds of machines show on the bus, each on an invented listing of a few devices.

The shapes are those of public listings: small boards and servers without a slot table, laptops,
virtual functions, switches that answer themselves. Words and columns are the listing tool's.
"""

from __future__ import annotations

from slotfit.read.join import join
from slotfit.read.lspci_text import parse_text
from slotfit.read.machine import MachineSeen


def port(address: str, below: str, kind: str = "Root Port (Slot-)", *more: str) -> str:
    bus = address.split(":")[-2]
    lines = (
        f"{address} PCI bridge: A port [1111:0001]",
        f"\tBus: primary={bus}, secondary={below[:2]}, subordinate={below[-2:]}, sec-latency=0",
        f"\tCapabilities: [58] Express (v2) {kind}, MSI 00",
        "\t\tLnkCap:\tPort #0, Speed 8GT/s, Width x4, ASPM L1",
        *more,
    )
    return "\n".join(lines) + "\n"


def device(address: str, kind: str, name: str = "A chip [2222:0001]", *more: str) -> str:
    lines = (
        f"{address} {kind}: {name}",
        "\tCapabilities: [70] Express (v2) Endpoint, MSI 00",
        "\t\tLnkCap:\tPort #0, Speed 8GT/s, Width x4, ASPM L1",
        *more,
    )
    return "\n".join(lines) + "\n"


def machine(*blocks: str) -> MachineSeen:
    return join([parse_text("\n".join(blocks), "t")])


def described(seen: MachineSeen) -> dict[str, list[str]]:
    """Where each part was found, by the address of its top."""
    return {
        "slots": [str(part.top.address) for one in seen.receptacles for part in one.parts],
        "unplaced": [str(part.top.address) for part in seen.unplaced],
        "soldered": [str(part.top.address) for part in seen.onboard],
    }


DRIVE, NETWORK = "Non-Volatile memory controller", "Ethernet controller"


def test_a_bridge_of_the_older_kind_is_no_slot_for_cards() -> None:
    """A laptop's 00:1e.0: capabilities are shown, and none of them is PCI Express."""
    bridge = (
        "00:1e.0 PCI bridge: A bridge [1111:0002] (prog-if 01 [Subtractive decode])\n"
        "\tBus: primary=00, secondary=15, subordinate=16, sec-latency=32\n"
        "\tCapabilities: [50] Subsystem: A maker A bridge\n"
    )
    fire = "15:01.0 FireWire (IEEE 1394): A chip [2222:0003]\n\tCapabilities: [44] PM\n"
    seen = machine(bridge, fire)
    assert described(seen) == {"slots": [], "unplaced": ["0000:15:01.0"], "soldered": []}
    hidden = bridge.replace("[50] Subsystem: A maker A bridge", "<access denied>")
    # Without rights the same bridge may be a root port: then nothing forbids a slot.
    assert machine(hidden, fire).functions[0].port_type is None


def test_a_slot_that_the_system_names_counts_where_there_is_no_table() -> None:
    """Servers of other architectures: ports without slot registers, `Physical Slot` on devices."""
    seen = machine(
        port("0000:00:00.0", "01"),
        device("0000:01:00.0", NETWORK, "A chip [2222:0001]", "\tPhysical Slot: SLOT1"),
    )
    assert [one.label for one in seen.receptacles] == ["SLOT1"]


def test_a_drive_below_a_port_without_a_slot_is_not_called_soldered() -> None:
    """Small boards: the port says `Slot-` whether a socket is there or not."""
    seen = machine(
        port("0000:00:00.0", "01"),
        device("0000:01:00.0", DRIVE),
        port("0001:00:00.0", "01"),
        device("0001:01:00.0", NETWORK),
    )
    assert described(seen) == {
        "slots": [],
        "unplaced": ["0000:01:00.0"],
        "soldered": ["0001:01:00.0"],
    }


def test_virtual_functions_are_no_cards() -> None:
    """A text tells them by nothing but their name."""
    seen = machine(
        port("3a:00.0", "3b-3c", "Root Port (Slot+)"),
        device("3b:00.0", NETWORK),
        *(device(f"3b:02.{n}", NETWORK, "A chip Virtual Function [2222:0002]") for n in range(3)),
        device("3c:00.0", NETWORK, "A chip Virtual Function [2222:0002]"),
    )
    ((part,),) = (one.parts for one in seen.receptacles)
    assert [str(function.address) for function in part.functions] == ["0000:3b:00.0"]
    assert described(seen)["soldered"] == described(seen)["unplaced"] == []


def test_a_switch_that_answers_itself_is_still_a_carrier_of_drives() -> None:
    """The second function of the upstream port is the switch's management."""
    seen = machine(
        port("80:03.0", "81-84", "Root Port (Slot+)"),
        port("81:00.0", "82-84", "Upstream Port"),
        device("81:00.1", "System peripheral", "A switch [1111:0001]"),
        port("82:04.0", "83", "Downstream Port (Slot+)"),
        port("82:05.0", "84", "Downstream Port (Slot+)"),
        device("83:00.0", DRIVE),
    )
    ((part,),) = (one.parts for one in seen.receptacles)
    assert (part.kind, len(part.inside)) == ("carrier", 1)


def test_a_list_without_buses_places_nothing() -> None:
    """`lspci` without -v: what is on other buses may be soldered on or not."""
    seen = machine(
        "00:00.0 Host bridge: A [1111:0001]\n00:1f.2 SATA controller: B [1111:0002]\n"
        "01:00.0 VGA compatible controller: C [2222:0001]\n02:00.0 SATA controller: D\n"
        "40:00.0 Host bridge: A [1111:0001]"
    )
    found = described(seen)
    assert found["unplaced"] == ["0000:01:00.0", "0000:02:00.0"]
    assert found["slots"] == []
    assert any("no bridge shows its buses" in note.text for note in seen.notes)


def test_what_hangs_on_a_cable_out_of_the_case_is_no_part() -> None:
    """A laptop's controller: fixed ports to its own functions, one port for the dock."""
    name = "PCI bridge: A port [1111:0001]"
    bridge = "PCI bridge: A Thunderbolt 3 Bridge [1111:0009]"
    fixed, movable = ("\t\tSltCap:\tHotPlug-",), ("\t\tSltCap:\tHotPlug+",)
    blocks = (
        port("00:1c.0", "04-3f", "Root Port (Slot+)"),
        port("04:00.0", "05-3f", "Upstream Port"),
        port("05:00.0", "06", "Downstream Port (Slot+)", *fixed),
        port("05:01.0", "07-3e", "Downstream Port (Slot+)", *movable),
        port("05:02.0", "3f", "Downstream Port (Slot+)", *fixed),
        device("06:00.0", "System peripheral", "A host interface [1111:0010]"),
        device("07:00.0", NETWORK, "A dock's chip [2222:0001]"),
        device("3f:00.0", "USB controller", "A controller [1111:0011]"),
    )
    seen = machine(blocks[0], *(block.replace(name, bridge) for block in blocks[1:]))
    (leads, below) = seen.leading_out[0]
    assert (str(leads.address), [str(one.address) for one in below]) == (
        "0000:05:01.0",
        ["0000:07:00.0"],
    )
    everything = described(seen)
    assert "0000:07:00.0" not in [top for tops in everything.values() for top in tops]


def test_a_memory_card_that_answers_as_an_integrated_endpoint_is_not_soldered() -> None:
    """CXL 1.1, from memory: such a card has no port above it."""
    kind = "Root Complex Integrated Endpoint"
    seen = machine(
        "38:00.0 CXL [0502]: A card [2222:0004]\n\tCapabilities: [40] Express (v2) "
        f"{kind}, MSI 00\n",
        f"38:01.0 System peripheral: A [1111:0003]\n\tCapabilities: [40] Express (v2) {kind}\n",
        port("00:01.0", "01", "Root Port (Slot+)"),
    )
    assert described(seen)["unplaced"] == ["0000:38:00.0"]
    assert described(seen)["soldered"] == ["0000:38:01.0"]
