"""What a part is, by its class code, and what may be assumed of it until it is measured."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.standards.cem import slot_power_limit_w
from slotfit.standards.pci_regs import CLASS_NAMES
from slotfit.standards.receptacle_power import promised_w


@dataclass(frozen=True, slots=True)
class Kind:
    """A class of parts: its word in files, and the stem of the names of its parts."""

    part_class: str
    stem: str
    pitches: int = 1
    usual_lanes: int = 1


_BY_CLASS: dict[int, Kind] = {
    0x0108: Kind("drive", "drive", usual_lanes=4),
    0x0380: Kind("other", "display"),
    0x0302: Kind("accelerator", "accelerator", 2, 16),
    0x0B40: Kind("accelerator", "accelerator", 1, 8),
    0x1200: Kind("accelerator", "accelerator", 2, 16),
    0x0401: Kind("sound-card", "sound"),
    0x0403: Kind("sound-card", "sound"),
    0x0400: Kind("capture-card", "capture"),
    0x0480: Kind("capture-card", "capture"),
    0x0C03: Kind("usb-card", "usb"),
    0x0700: Kind("serial-card", "serial"),
    0x0702: Kind("serial-card", "serial"),
    0x0C06: Kind("network-card", "fabric", usual_lanes=8),
    0x0604: Kind("other", "switch"),
}
_BY_BASE_CLASS: dict[int, Kind] = {
    0x01: Kind("host-bus-adapter", "storage", usual_lanes=8),
    0x02: Kind("network-card", "network", usual_lanes=4),
    0x03: Kind("accelerator", "graphics", 2, 16),
    0x07: Kind("serial-card", "serial"),
}
"""Base class -> kind (PCI Code and ID Assignment Specification, as in standards/pci_regs.py)."""

UNKNOWN = Kind("other", "card")
GRAPHICS_BASE_CLASS = 0x03


def kind_of(class_code: int | None) -> Kind:
    """The kind of a function; `UNKNOWN` for classes without one, such as bridges."""
    if class_code is None:
        return UNKNOWN
    return _BY_CLASS.get(class_code) or _BY_BASE_CLASS.get(class_code >> 8, UNKNOWN)


def class_words(class_code: int | None) -> str:
    """The class in words."""
    return CLASS_NAMES.get(class_code or -1, "device of an unknown class")


def is_graphics(class_code: int | None) -> bool:
    """Whether the card may be one that draws 75 W from its slot once it is configured."""
    return class_code is not None and class_code >> 8 == GRAPHICS_BASE_CLASS


def usual_draw_w(form: str, width: int | None, *, graphics: bool) -> float | None:
    """
    The most that the form lets such a part draw from its receptacle, in watts; None if unknown.

    Sources: standards/cem.py and standards/receptacle_power.py.
    """
    if form == "cem":
        return slot_power_limit_w(width, low_profile=False, graphics=graphics) if width else None
    return promised_w(form) or None
