"""How links, rates and watts are written, everywhere alike."""

from __future__ import annotations

from collections.abc import Iterable

from slotfit.standards import pcie


def link_text(bus: str, generation: int | None, lanes: int) -> str:
    """`8 GT/s x8`; `? GT/s x8` if the generation is not known; `SAS-3 x4`."""
    if bus != "pcie":
        return f"{bus.upper()}-{generation or '?'}" + (f" x{lanes}" if lanes > 1 else "")
    speed = f"{pcie.gt_s(generation):g}" if generation else "?"
    return f"{speed} GT/s x{lanes}"


def segments_text(widths: Iterable[int | str]) -> str:
    """`x8+x8`, `SATA`, `nothing`."""
    texts = [f"x{width}" if isinstance(width, int) else width.upper() for width in widths]
    return "+".join(texts) or "nothing"


def gb_s(mb_s: int) -> str:
    """`6.2` gigabytes per second from megabytes per second."""
    return f"{mb_s / 1000:.1f}"


def watts(value: float | None) -> str:
    """`13 W`, `? W`."""
    return "? W" if value is None else f"{value:g} W"
