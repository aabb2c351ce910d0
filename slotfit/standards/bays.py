"""Drive bays: which size of disk goes into which size of bay."""

from typing import Literal, NamedTuple

from slotfit.standards.source import COMMON_PRACTICE, FROM_MEMORY, Source

BAY_FORMS = ("u2", "u3", "u2-u3")
"""Connectors at the back of a bay, where they are no cable's end; of what size it is they
do not say: made for 2.5-inch drives, they stand behind the trays of 3.5-inch bays too (common
practice, no source)."""


class BayFit(NamedTuple):
    """A disk of a size in a bay of a size."""

    disk: Literal["2.5", "3.5"]
    bay: Literal["2.5", "3.5"]
    fits: bool
    reason: str
    source: Source


_WIDTHS = Source("SFF-8201, SFF-8301", "widths of 69.85 and 101.6 mm", FROM_MEMORY)
_FRAME = Source("", "frames and trays with holes for both", COMMON_PRACTICE)

BAY_FITS: tuple[BayFit, ...] = (
    BayFit("2.5", "2.5", True, "it is made for it", _WIDTHS),
    BayFit("2.5", "3.5", True, "a frame or the tray holds it", _FRAME),
    BayFit("3.5", "3.5", True, "it is made for it", _WIDTHS),
    BayFit("3.5", "2.5", False, "a disk 101.6 mm wide has 69.85 mm there", _WIDTHS),
)

GOES_INTO: dict[str, frozenset[str]] = {
    size: frozenset(row.bay for row in BAY_FITS if row.disk == size and row.fits)
    for size in ("2.5", "3.5")
}
"""Size of a disk -> sizes of bays."""
