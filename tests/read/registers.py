"""Builds configuration space register by register (Linux 6.12 include/uapi/linux/pci_regs.h)."""

from __future__ import annotations

from dataclasses import dataclass


@dataclass(frozen=True)
class Function:
    """One PCI Express function to be; register fields as numbers."""

    address: str = "00:01.0"
    vendor: int = 0x1234
    device: int = 0x5678
    class_code: int = 0x0604
    buses: tuple[int, int, int] | None = (0, 1, 1)
    port_type: int = 4
    slot: bool = True
    speed_max: int = 4
    lanes_max: int = 16
    speed_now: int = 4
    lanes_now: int = 16
    reports_active: bool = True
    active: bool = True
    vector: int = 0x1E
    slot_number: int = 3
    power: tuple[int, int] = (75, 0)
    hot_plug: bool = False
    present: bool = True
    acs: tuple[int, int] | None = (0x1F, 0x1D)
    version: int = 2

    def space(self) -> bytes:
        """4096 bytes: header, express capability at 40h, access control at 100h."""
        data = bytearray(4096)

        def put(at: int, value: int, size: int) -> None:
            data[at : at + size] = value.to_bytes(size, "little")

        put(0x00, self.vendor, 2)
        put(0x02, self.device, 2)
        put(0x06, 0x10, 2)
        put(0x0A, self.class_code, 2)
        put(0x34, 0x40, 1)
        if self.buses:
            put(0x0E, 1, 1)
            data[0x18:0x1B] = bytes(self.buses)
        put(0x40, 0x10, 2)
        put(0x42, self.version | self.port_type << 4 | self.slot << 8, 2)
        able = self.speed_max | self.lanes_max << 4 | self.reports_active << 20
        put(0x4C, able, 4)
        put(0x52, self.speed_now | self.lanes_now << 4 | self.active << 13, 2)
        value, scale = self.power
        put(0x54, self.hot_plug << 6 | value << 7 | scale << 15 | self.slot_number << 19, 4)
        put(0x5A, self.present << 6, 2)
        put(0x6C, self.vector, 4)
        if self.acs:
            put(0x100, 0x0001000D, 4)
            put(0x104, self.acs[0], 2)
            put(0x106, self.acs[1], 2)
        return bytes(data)

    def dump(self, size: int = 4096) -> str:
        """The hex text of -xxxx."""
        data = self.space()[:size]
        lines = [f"{self.address} PCI bridge: made for a test"]
        lines += [f"{at:02x}: {data[at : at + 16].hex(' ')}" for at in range(0, size, 16)]
        return "\n".join(lines) + "\n\n"
