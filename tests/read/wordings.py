"""Writes what the decoding tool and the listing tool print, in the wordings of their versions."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import dataclass

from tests.read.registers import Function
from tests.read.tables import Slot

# DSP0134 7.10.1, 7.10.2, 7.10.3 and 7.10.4, in the decoding tool's words.
TYPES = {
    0x17: "M.2 Socket 3", 0xA5: "PCI Express", 0xB5: "PCI Express 3 x8",
    0xB6: "PCI Express 3 x16", 0xBC: "PCI Express 4 x8", 0xBD: "PCI Express 4 x16",
}  # fmt: skip
LANES = {0x08: 1, 0x09: 2, 0x0A: 4, 0x0B: 8, 0x0D: 16}
USES = {1: "Other", 2: "Unknown", 3: "Available", 4: "In Use", 5: "Unavailable"}
LENGTHS = {1: "Other", 2: "Unknown", 3: "Short", 4: "Long"}
NO_NUMBER = (0x17,)
"""Types without an ID."""


def slot_text(slot: Slot, handle: int, *, width_apart: bool = False) -> str:
    """A slot's record; since 3.6 the tool prints the width apart from the type."""
    lanes, kind = LANES[slot.width], TYPES.get(slot.kind, "<OUT OF SPEC>")
    width = [f"Type: {kind}", f"Data Bus Width: {lanes}x or x{lanes}"]
    lines = [
        f"Designation: {slot.designation}",
        *(width if width_apart else [f"Type: x{lanes} {kind}"]),
        f"Current Usage: {USES.get(slot.usage, '<OUT OF SPEC>')}",
        f"Length: {LENGTHS.get(slot.slot_length, '<OUT OF SPEC>')}",
        *([] if slot.kind in NO_NUMBER else [f"ID: {slot.slot_id}"]),
        "Characteristics:",
        "\t3.3 V is provided",
        "\tPME signal is supported",
        f"Bus Address: {slot.segment:04x}:{slot.bus:02x}:{slot.devfn >> 3:02x}.{slot.devfn & 7}",
    ]
    return record(handle, 9, 17, "System Slot Information", lines)


def record(handle: int, kind: int, length: int, title: str, lines: Sequence[str]) -> str:
    """One record as the tool prints it."""
    body = "".join(f"\t{line}\n" for line in lines)
    return f"Handle 0x{handle:04X}, DMI type {kind}, {length} bytes\n{title}\n{body}\n"


def machine_text(name: str, processors: Sequence[str]) -> str:
    """Records of the system, its board and its processors."""
    made_by = ["Manufacturer: Invented works", f"Product Name: {name}"]
    sockets = [
        record(0x10 + number, 4, 42, "Processor Information",
               [f"Socket Designation: {socket}", "Type: Central Processor",
                "Status: Populated, Enabled"])
        for number, socket in enumerate(processors)
    ]  # fmt: skip
    return (
        record(1, 1, 27, "System Information", made_by)
        + record(2, 2, 15, "Base Board Information", made_by)
        + "".join(sockets)
    )


def onboard_text(handle: int, name: str, address: str) -> str:
    """A soldered network chip."""
    lines = [f"Reference Designation: {name}", "Type: Ethernet", "Status: Enabled",
             "Type Instance: 1", f"Bus Address: {address}"]  # fmt: skip
    return record(handle, 41, 11, "Onboard Device", lines)


@dataclass(frozen=True)
class Wording:
    """How a range of versions of the listing tool words a port (its change log and source)."""

    power: str = "{:g}W"
    slot_number: str = "#{:d}"
    ok: str = ""
    """Behind a speed or width that is all the link can do."""
    less: str = " (downgraded)"
    state_apart: bool = True
    numbers: bool = False


WORDINGS = {
    "2.2": Wording("{:.6f}", "#{:3x}", less="", state_apart=False),
    "3.1.7": Wording("{:.3f}W", "#{:d}", less="", state_apart=False),
    "3.6": Wording("{:.3f}W", ok=" (ok)"),
    "3.8": Wording("{:.3f}W"),
    "3.9": Wording(numbers=True),
}
"""Version since which a port is worded so -> how."""

CLASSES = {
    0x0108: "Non-Volatile memory controller", 0x0200: "Ethernet controller",
    0x0302: "3D controller", 0x0600: "Host bridge", 0x0604: "PCI bridge",
}  # fmt: skip
PORTS = {0: "Endpoint", 4: "Root Port", 5: "Upstream Port", 6: "Downstream Port"}
SPEEDS = {1: "2.5", 2: "5", 3: "8", 4: "16", 5: "32", 6: "64"}


def listing(functions: Sequence[Function], wording: Wording) -> str:
    """What the listing tool prints of these functions at length."""
    return "\n".join("\n".join(lines_of(one, wording)) + "\n" for one in functions)


def lines_of(one: Function, wording: Wording) -> list[str]:
    """The lines of one function."""
    kind, name = CLASSES[one.class_code], "Invented device"
    if wording.numbers:
        kind += f" [{one.class_code:04x}]"
        name += f" [{one.vendor:04x}:{one.device:04x}]"
    lines = [f"{one.address} {kind}: {name} (rev 01)"]
    if one.buses:
        first, second, last = one.buses
        lines.append(f"\tBus: primary={first:02x}, secondary={second:02x}, subordinate={last:02x}, "
                     "sec-latency=0")  # fmt: skip
    slot = f" (Slot{'+' if one.slot else '-'})" if one.port_type in (4, 6) else ""
    lines.append(f"\tCapabilities: [40] Express (v2) {PORTS[one.port_type]}{slot}, MSI 00")
    lines += [f"\t\t{line}" for line in link_lines(one, wording)]
    if one.slot:
        lines += [f"\t\t{line}" for line in slot_lines(one, wording)]
    return lines


def link_lines(one: Function, wording: Wording) -> list[str]:
    """What the link can do, and does."""
    ends = ((one.speed_now, one.speed_max), (one.lanes_now, one.lanes_max))
    marks = [wording.ok if now >= most else wording.less for now, most in ends]
    now = f"Speed {SPEEDS[one.speed_now]}GT/s{marks[0]}, Width x{one.lanes_now}{marks[1]}"
    state = f"TrErr- Train- SlotClk+ DLActive{sign(one.active)} BWMgmt- ABWMgmt-"
    return [
        f"LnkCap:\tPort #0, Speed {SPEEDS[one.speed_max]}GT/s, Width x{one.lanes_max}, ASPM L1",
        f"\tClockPM- Surprise- LLActRep{sign(one.reports_active)} BwNot-",
        *(
            [f"LnkSta:\t{now}", f"\t{state}"]
            if wording.state_apart
            else [f"LnkSta:\t{now}, {state}"]
        ),
    ]


def slot_lines(one: Function, wording: Wording) -> list[str]:
    """What a port says of its slot."""
    number, power = wording.slot_number.format(one.slot_number), one.power[0]
    return [
        f"SltCap:\tAttnBtn- PwrCtrl- MRL- AttnInd- PwrInd- HotPlug{sign(one.hot_plug)} Surprise-",
        f"\tSlot {number}, PowerLimit {wording.power.format(power)}; Interlock- NoCompl+",
        f"SltSta:\tStatus: AttnBtn- PowerFlt- MRL- CmdCplt- PresDet{sign(one.present)} Interlock-",
    ]


def sign(yes: bool) -> str:
    """The tool's plus or minus."""
    return "+" if yes else "-"
