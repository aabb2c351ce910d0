"""PCI Express rates and negotiated widths, against published figures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.standards import pcie

WIDTHS = (1, 2, 4, 8, 12, 16, 32)

# The macro of Linux 6.12 drivers/pci/pci.h, compiled and run: Gb/s at each of WIDTHS.
KERNEL_GB_S = {
    1: "2.000 4.000 8.000 16.000 24.000 32.000 64.000",
    2: "4.000 8.000 16.000 32.000 48.000 64.000 128.000",
    3: "7.876 15.752 31.504 63.008 94.512 126.016 252.032",
    4: "15.753 31.506 63.012 126.024 189.036 252.048 504.096",
    5: "31.507 63.014 126.028 252.056 378.084 504.112 1008.224",
    6: "64.000 128.000 256.000 512.000 768.000 1024.000 2048.000",
}

# Rates in GT/s and encodings of Linux 6.12 drivers/pci/pci.h, worked out by hand: GB/s at
# x1, x4, x8, x16; generation 7 from the patch series of 2026.
ENCODED_GB_S = {
    1: (0.250, 1.000, 2.000, 4.000),
    2: (0.500, 2.000, 4.000, 8.000),
    3: (0.985, 3.938, 7.877, 15.754),
    4: (1.969, 7.877, 15.754, 31.508),
    5: (3.938, 15.754, 31.508, 63.015),
    6: (8.0, 32.0, 64.0, 128.0),
    7: (16.0, 64.0, 128.0, 256.0),
}

widths = st.sampled_from(WIDTHS)


def test_rates_are_those_of_the_speed_codes() -> None:
    """Linux 6.12 include/uapi/linux/pci_regs.h, LnkCap speed codes; 7 from its patch series."""
    assert [pcie.gt_s(g) for g in range(1, 8)] == [2.5, 5.0, 8.0, 16.0, 32.0, 64.0, 128.0]


@pytest.mark.parametrize("generation", KERNEL_GB_S)
def test_encodings_are_the_kernels(generation: int) -> None:
    """The macro cuts a lane's rate to whole Mb/s before it multiplies; so does this sum."""
    row = pcie.GENERATIONS[generation]
    lane_mb = row.mt_s * row.payload_bits // row.line_bits
    printed = [f"{lane_mb * lanes / 1000:.3f}" for lanes in WIDTHS]
    assert " ".join(printed) == KERNEL_GB_S[generation]


@pytest.mark.parametrize("generation", ENCODED_GB_S)
def test_encoded_rates(generation: int) -> None:
    """Whole MB/s, rounded down."""
    rates = [pcie.lane_mb_s(generation, lanes) / 1000 for lanes in (1, 4, 8, 16)]
    assert rates == pytest.approx(ENCODED_GB_S[generation], abs=0.0011)


def test_whole_megabytes_are_rounded_down_after_the_lanes() -> None:
    """8000 x 4 x 128 / 130 / 8 = 3938.46; cut per lane it would be 3936 (984 x 4)."""
    assert pcie.lane_mb_s(3, 4) == 3938
    assert pcie.lane_mb_s(1, 1) == 250
    assert pcie.lane_mb_s(5, 16) == 63015


def test_a_generation_nobody_published_is_refused() -> None:
    with pytest.raises(KeyError):
        pcie.lane_mb_s(8, 1)


def test_legal_widths_are_those_of_the_register() -> None:
    """Linux 6.12 include/linux/pci.h:278-288."""
    assert pcie.LEGAL_WIDTHS == (1, 2, 4, 8, 0xC, 0x10, 0x20)


@pytest.mark.parametrize(
    ("part", "wired", "width"),
    [
        # Product guide PG213, "Link Partner Supports Fewer Lanes": the smaller of both
        (16, 16, 16),
        (8, 16, 8),
        (16, 4, 4),
        (4, 2, 2),
        # no lanes, no link; three wired lanes make a two-lane link
        (4, 0, 0),
        (0, 4, 0),
        (4, 3, 2),
    ],
)
def test_negotiated_width(part: int, wired: int, width: int) -> None:
    assert pcie.negotiated_width(part, wired) == width


@given(widths, widths)
def test_width_is_the_smaller_of_two_legal_ones(part: int, wired: int) -> None:
    assert pcie.negotiated_width(part, wired) == min(part, wired)


@pytest.mark.parametrize(
    ("part", "wired", "promise"),
    [
        # PCI Express Base (from memory): x1 and each end's own maximum
        (4, 4, "required"),
        (16, 1, "required"),
        (1, 16, "required"),
        # in between: common practice for x4 and x8
        (16, 8, "usual"),
        (4, 16, "usual"),
        # PG213 and PG156, lane reversal table 1 (as quoted): x2 partners of x4, x8 and x16 ports
        (2, 4, "usual"),
        (2, 8, "usual"),
        (2, 16, "usual"),
        # a wider card in x2 wiring is its maker's choice, and x12 is nobody's
        (4, 2, "optional"),
        (8, 2, "optional"),
        (16, 2, "optional"),
        (16, 12, "optional"),
    ],
)
def test_how_sure_a_width_is(part: int, wired: int, promise: str) -> None:
    assert pcie.width_promise(part, wired) == promise
    assert pcie.width_is_certain(part, wired) == (promise != "optional")
