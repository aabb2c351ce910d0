"""On-board devices as the board's file lists them."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.read.yaml_text import Places, YamlBlock, YamlField, YamlList
from slotfit.model.words import DeviceKind
from slotfit.read.machine import MachineSeen
from slotfit.read.seen import FunctionSeen
from slotfit.standards.pci_regs import CLASS_USB

OF_BASE_CLASS: dict[int, DeviceKind] = {
    0x01: "storage",
    0x02: "network",
    0x03: "graphics",
    0x04: "sound",
}
"""Base class of a function -> what it is (PCI Code and ID Assignment, base classes, as quoted)."""


def device_kind(class_code: int | None) -> DeviceKind | None:
    """What a function is to whoever hands it over; None for bridges and the like."""
    if class_code is None:
        return None
    return "usb" if class_code == CLASS_USB else OF_BASE_CLASS.get(class_code >> 8)


@dataclass(frozen=True, slots=True)
class DeviceRead:
    """One device of the board with the function that shows it."""

    id: str
    kind: DeviceKind
    function: FunctionSeen


def devices_of(seen: MachineSeen) -> tuple[DeviceRead, ...]:
    """Soldered controllers that a host or a guest may want, by their address."""
    found: dict[tuple[object, ...], FunctionSeen] = {}
    for part in seen.onboard:
        for one in part.functions:
            kind = None if one.is_bridge or one.is_virtual else device_kind(one.class_code)
            if kind is not None:
                place = (one.address.domain, one.address.bus, one.address.device)
                found.setdefault((*place, kind, one.iommu_group), one)
    return tuple(numbered(sorted(found.values(), key=lambda one: one.address)))


def numbered(functions: list[FunctionSeen]) -> Iterator[DeviceRead]:
    """`usb`, `usb-2` and so on."""
    count: dict[DeviceKind, int] = {}
    for one in functions:
        kind = device_kind(one.class_code)
        if kind is not None:
            number = count[kind] = count.get(kind, 0) + 1
            yield DeviceRead(kind if number == 1 else f"{kind}-{number}", kind, one)


def devices_block(devices: tuple[DeviceRead, ...], places: Places) -> YamlList:
    """The list in the board's file; groups are named as those of receptacles are."""
    return YamlList(tuple(device_block(one, places) for one in devices))


def device_block(device: DeviceRead, places: Places) -> YamlBlock:
    seen = device.function
    basis = f"{seen.address}, {places.at(seen.where)}"
    fields = [YamlField("id", device.id), YamlField("kind", device.kind, basis)]
    if seen.iommu_group is not None:
        group = f"group{seen.iommu_group}"
        fields.append(YamlField("isolation", group, f"group of {seen.address}"))
    return YamlBlock(tuple(fields))
