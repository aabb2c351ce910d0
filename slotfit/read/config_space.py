"""
Decodes one function's configuration space; sysfs and hex dumps share it.

Reads what is there: 64 bytes give the header only (what a user without rights gets), 256 the
capabilities, 4096 the extended ones. Capability chains are bounded, so a looping one ends.
Source of the layout: `standards.pci_regs`.
"""

from __future__ import annotations

from dataclasses import dataclass, replace

from slotfit.read.seen import FunctionSeen, LinkSeen, PciAddress, Where
from slotfit.standards import pci_regs as regs

HEADER_BYTES, FULL_BYTES = 64, 4096
_MAX_CAPABILITIES = 48
_MAX_EXTENDED = (FULL_BYTES - regs.FIRST_EXTENDED) // 8


@dataclass(frozen=True, slots=True)
class Registers:
    """Bytes of configuration space; a field beyond what was read is None."""

    data: bytes

    def u8(self, at: int) -> int | None:
        """One byte."""
        return self.data[at] if 0 <= at < len(self.data) else None

    def u16(self, at: int) -> int | None:
        """Two bytes, little-endian."""
        return self._number(at, 2)

    def u32(self, at: int) -> int | None:
        """Four bytes, little-endian."""
        return self._number(at, 4)

    def _number(self, at: int, size: int) -> int | None:
        if at < 0 or at + size > len(self.data):
            return None
        return int.from_bytes(self.data[at : at + size], "little")


def capabilities(space: Registers) -> dict[int, int]:
    """Capability identity -> offset of the first with it."""
    found: dict[int, int] = {}
    if not (space.u16(regs.STATUS) or 0) & regs.STATUS_HAS_CAPABILITIES:
        return found
    at = (space.u8(regs.CAPABILITY_LIST) or 0) & 0xFC
    for _ in range(_MAX_CAPABILITIES):
        identity, following = space.u8(at), space.u8(at + 1)
        if at < HEADER_BYTES or identity is None or following is None or identity == 0xFF:
            break
        found.setdefault(identity, at)
        at = following & 0xFC
    return found


def extended_capabilities(space: Registers) -> dict[int, int]:
    """Extended capability identity -> offset of the first with it."""
    found: dict[int, int] = {}
    at = regs.FIRST_EXTENDED
    for _ in range(_MAX_EXTENDED):
        header = space.u32(at)
        if at < regs.FIRST_EXTENDED or not header or header == 0xFFFFFFFF:
            break
        found.setdefault(header & 0xFFFF, at)
        at = (header >> 20) & 0xFFC
    return found


def decode(data: bytes, address: PciAddress, where: Where) -> FunctionSeen | None:
    """
    What the registers say; None if there is no function behind them (all ones, or too short).

    Unlike the attributes of a running system, current link values are those at the time of dump.
    """
    space = Registers(data[:FULL_BYTES])
    vendor, class_code = space.u16(regs.VENDOR_ID), space.u16(regs.CLASS)
    if len(data) < regs.HEADER_TYPE + 1 or vendor == 0xFFFF:
        return None
    header = (space.u8(regs.HEADER_TYPE) or 0) & 0x7F
    bridge = header == regs.HEADER_BRIDGE
    listed = capabilities(space)
    seen = FunctionSeen(
        where=where,
        address=address,
        class_code=class_code,
        prog_if=space.u8(regs.PROG_IF),
        vendor_id=vendor,
        device_id=space.u16(regs.DEVICE_ID),
        revision=space.u8(regs.REVISION),
        is_bridge=header in (regs.HEADER_BRIDGE, regs.HEADER_CARDBUS),
        primary_bus=space.u8(regs.PRIMARY_BUS) if bridge else None,
        secondary_bus=space.u8(regs.SECONDARY_BUS) if bridge else None,
        subordinate_bus=space.u8(regs.SUBORDINATE_BUS) if bridge else None,
    )
    seen = _with_subsystem(seen, space, header, listed)
    if regs.CAP_EXPRESS in listed:
        seen = _with_express(seen, space, listed[regs.CAP_EXPRESS])
        seen = _with_acs(seen, space)
    elif bridge and _shows_capabilities(space):
        seen = replace(seen, port_type=regs.CONVENTIONAL)
    return seen


def _shows_capabilities(space: Registers) -> bool:
    """Whether a capability that is not found is not there: none at all, or more than the header."""
    status = space.u16(regs.STATUS)
    has_any = status is None or bool(status & regs.STATUS_HAS_CAPABILITIES)
    return not has_any or len(space.data) > HEADER_BYTES


def _with_subsystem(
    seen: FunctionSeen, space: Registers, header: int, listed: dict[int, int]
) -> FunctionSeen:
    at = None
    if header == regs.HEADER_ENDPOINT:
        at = regs.SUBSYSTEM_VENDOR
    elif regs.CAP_BRIDGE_SUBSYSTEM in listed:
        at = listed[regs.CAP_BRIDGE_SUBSYSTEM] + 4
    if at is None or not space.u16(at) or space.u16(at) == 0xFFFF:
        return seen
    return replace(seen, subsystem_vendor_id=space.u16(at), subsystem_id=space.u16(at + 2))


def _with_express(seen: FunctionSeen, space: Registers, at: int) -> FunctionSeen:
    flags = space.u16(at + regs.EXP_FLAGS)
    if flags is None:
        return seen
    port = regs.PORT_TYPES.get(flags >> 4 & 0xF)
    status = space.u16(at + regs.EXP_DEVSTA)
    seen = replace(seen, port_type=port, flagged=None if status is None else _flags(status))
    if port not in regs.PORTS_WITHOUT_LINK:
        seen = replace(seen, link=_link(space, at, version=flags & 0xF))
    if port in regs.PORTS_WITH_SLOT_REGISTERS:
        seen = replace(seen, slot_implemented=bool(flags & regs.EXP_FLAG_SLOT))
        if flags & regs.EXP_FLAG_SLOT:
            seen = _with_slot(seen, space, at)
    return seen


def _link(space: Registers, at: int, version: int) -> LinkSeen | None:
    able, now = space.u32(at + regs.EXP_LNKCAP), space.u16(at + regs.EXP_LNKSTA)
    if not able or now is None:
        return None
    vector = (space.u32(at + regs.EXP_LNKCAP2) or 0) >> 1 & 0x7F if version >= 2 else 0
    active = bool(now & regs.LNKSTA_ACTIVE) if able & regs.LNKCAP_ACTIVE_REPORTING else None
    return LinkSeen(
        lanes_max=able >> 4 & 0x3F or None,
        lanes_now=now >> 4 & 0x3F,
        generation_max=regs.GENERATION_OF_SPEED_CODE.get(able & 0xF),
        generation_now=regs.GENERATION_OF_SPEED_CODE.get(now & 0xF),
        generation_supported=vector.bit_length() or None,
        active=active,
    )


def _with_slot(seen: FunctionSeen, space: Registers, at: int) -> FunctionSeen:
    able, now = space.u32(at + regs.EXP_SLTCAP), space.u16(at + regs.EXP_SLTSTA)
    if able is None or now is None:
        return seen
    return replace(
        seen,
        slot_number=able >> 19,
        slot_power_w=regs.slot_power_w(able >> 7 & 0xFF, able >> 15 & 3),
        hot_plug=bool(able & regs.SLTCAP_HOT_PLUG),
        card_present=bool(now & regs.SLTSTA_PRESENT),
    )


def _with_acs(seen: FunctionSeen, space: Registers) -> FunctionSeen:
    """Access control services; None where the extended space was not read or it is not there."""
    at = extended_capabilities(space).get(regs.EXT_CAP_ACS)
    able = space.u16(at + 4) if at is not None else None
    on = space.u16(at + 6) if at is not None else None
    if able is None or on is None:
        return seen
    return replace(seen, acs_capable=_acs_words(able), acs_enabled=_acs_words(on))


def _flags(bits: int) -> tuple[str, ...]:
    return tuple(word for bit, word in regs.DEVICE_STATUS.items() if bits & bit)


def _acs_words(bits: int) -> tuple[str, ...]:
    return tuple(word for bit, word in regs.ACS_BITS.items() if bits & bit)
