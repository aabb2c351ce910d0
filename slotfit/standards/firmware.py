"""What parts need of firmware beside divided slots, and what its menus call it."""

from typing import NamedTuple

from slotfit.standards.source import COMMON_PRACTICE, Source


class FirmwareRow(NamedTuple):
    """A need: the entries to look for, what to set them to, what it is for, and who says so."""

    name: str
    menu: str
    value: str
    why: str
    source: Source


_MENUS = Source("", "words of firmware menus", COMMON_PRACTICE)

FIRMWARE: dict[str, FirmwareRow] = {
    row.name: row
    for row in (
        FirmwareRow(
            "large-windows",
            "Above 4G Decoding (or MMIO above 4G, 64-bit BAR)",
            "on",
            "without it a large memory window finds no room: the machine does not start, or the "
            "part is there and its driver fails",
            _MENUS,
        ),
        FirmwareRow(
            "resizable-windows",
            "Resizable BAR (or Re-Size BAR Support), with the legacy module (CSM) off",
            "on",
            "without it the part works through a small window, and slower",
            _MENUS,
        ),
        FirmwareRow(
            "nvme-boot",
            "NVMe among the boot devices, UEFI mode",
            "there",
            "older firmware sees such a drive once the system runs and cannot start from it",
            _MENUS,
        ),
        FirmwareRow(
            "legacy-rom",
            "CSM (legacy support) and Option ROM of the slot",
            "on, legacy",
            "its own start-up program is of the old kind: with UEFI alone nothing starts from it "
            "and its setup keys do nothing",
            _MENUS,
        ),
    )
}

AT_ODDS = ("resizable-windows", "legacy-rom")
"""Needs that one machine seldom meets at once: one wants the legacy module off, one on."""
