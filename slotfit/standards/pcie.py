"""
PCI Express links: rates, and the width that partners settle on.

Every figure is for one direction. Three numbers are easily mixed up, so each has its function:

- `gt_s`: the raw rate of a lane (generation 3: 8 GT/s);
- `lane_mb_s`: the rate after line encoding (generation 3 x4: 3938 MB/s);
- `rates.usable_mb_s`: what is left after packet headers and link upkeep (3546 MB/s).

Generations 6 and 7 follow the kernel's convention, which deducts nothing (64 and 128 Gb/s a lane).
"""

from typing import Literal, NamedTuple

from slotfit.standards.source import AS_QUOTED, COMMON_PRACTICE, FROM_MEMORY, READ, Source

LINUX_PCI_H = Source("Linux 6.12 drivers/pci/pci.h", "PCIE_SPEED2MBS_ENC", READ)
GENERATION_7 = Source("Linux patch series of 2026", "PCIE_SPEED_128_0GT", AS_QUOTED)


class Generation(NamedTuple):
    """One generation: raw rate a lane in MT/s, and payload bits out of line bits."""

    number: int
    mt_s: int
    payload_bits: int
    line_bits: int
    source: Source


GENERATIONS: dict[int, Generation] = {
    row.number: row
    for row in (
        Generation(1, 2_500, 8, 10, LINUX_PCI_H),
        Generation(2, 5_000, 8, 10, LINUX_PCI_H),
        Generation(3, 8_000, 128, 130, LINUX_PCI_H),
        Generation(4, 16_000, 128, 130, LINUX_PCI_H),
        Generation(5, 32_000, 128, 130, LINUX_PCI_H),
        Generation(6, 64_000, 1, 1, LINUX_PCI_H),
        Generation(7, 128_000, 1, 1, GENERATION_7),
    )
}


def gt_s(generation: int) -> float:
    """Raw rate of one lane in GT/s. KeyError for a generation outside 1 to 7."""
    return GENERATIONS[generation].mt_s / 1000


def lane_mb_s(generation: int, lanes: int) -> int:
    """
    Encoded rate in MB/s (10^6 bytes), one direction, rounded down once, at the end.

    >>> lane_mb_s(3, 4)
    3938
    """
    row = GENERATIONS[generation]
    return row.mt_s * row.payload_bits * lanes // (row.line_bits * 8)


CHANNEL_DB = {4: 28.0, 5: 36.0}
"""Most that a signal of the generation may lose from chip to chip, at 8 and at 16 GHz."""
CHANNEL_DB_SOURCE = Source("", "channel budgets of generations 4 and 5", AS_QUOTED)

LEGAL_WIDTHS = (1, 2, 4, 8, 12, 16, 32)
LEGAL_WIDTHS_SOURCE = Source("Linux 6.12 include/linux/pci.h", "enum pcie_link_width", READ)

SMALLER_WINS = Source("Product guide PG213", "Link Partner Supports Fewer Lanes", AS_QUOTED)
OWN_MAXIMUM_AND_ONE = Source("PCI Express Base", "widths a port must support", FROM_MEMORY)
FEWER_LANES = Source("Product guides PG213 and PG156", "Lane Reversal, Table 1", AS_QUOTED)
USUAL = Source("", "x4 and x8 train between wider partners", COMMON_PRACTICE)

USUAL_WIDTHS = (4, 8)
"""Widths in between that both ends met in practice support; x2 and x12 are not among them."""

USUAL_OF_PORTS = (2, *USUAL_WIDTHS)
"""
Widths in between that ports met in practice support: an x2 card trains in a wider slot.

FEWER_LANES lists x2 partners of x4, x8 and x16 ports. That processors' and chipsets' ports train
down to x2 is from memory. A wider *card* in x2 wiring is another matter: its maker chose.
"""

OF_MODULES = Source(
    "", "an M.2 module of four lanes trains in a socket wired for two", COMMON_PRACTICE
)

WidthPromise = Literal["required", "usual", "optional"]


def negotiated_width(part_lanes: int, wired_lanes: int) -> int:
    """
    Lanes the link trains at: the widest legal width both ends have (SMALLER_WINS).

    Every width up to its own is taken for supported; `width_is_certain` says where that is no
    safe guess. 0 if either end has no lanes.

    >>> negotiated_width(8, 4), negotiated_width(4, 3)
    (4, 2)
    """
    widest = min(part_lanes, wired_lanes)
    return max((width for width in LEGAL_WIDTHS if width <= widest), default=0)


def width_promise(part_lanes: int, wired_lanes: int, *, module: bool = False) -> WidthPromise:
    """
    How sure it is that the smaller of both widths trains.

    "required": x1, or the own maximum of both ends (OWN_MAXIMUM_AND_ONE).
    "usual": the standard lets the wider end leave it out, but nobody does (USUAL, FEWER_LANES).
    "optional": the wider end may fall back to a narrower width, down to x1.
    `module`: the part is an M.2 module, whose makers reckon with sockets of two lanes (OF_MODULES).

    >>> width_promise(2, 16), width_promise(4, 2), width_promise(4, 2, module=True)
    ('usual', 'optional', 'usual')
    """
    smaller = min(part_lanes, wired_lanes)
    if smaller <= 1 or part_lanes == wired_lanes:
        return "required"
    usual = USUAL_OF_PORTS if module or part_lanes < wired_lanes else USUAL_WIDTHS
    return "usual" if smaller in usual else "optional"


def width_is_certain(part_lanes: int, wired_lanes: int, *, module: bool = False) -> bool:
    """
    False where the link may train narrower than the smaller end, as for an x4 card wired x2.

    >>> width_is_certain(4, 2), width_is_certain(8, 16), width_is_certain(4, 1)
    (False, True, True)
    """
    return width_promise(part_lanes, wired_lanes, module=module) != "optional"
