"""Storage rates, and the slots they need."""

import pytest

from slotfit.standards import pcie, storage


@pytest.mark.parametrize(
    ("interface", "one", "four", "eight"),
    # SAS technology brief p. 5 and a published table of SAS rates, as quoted.
    [
        ("sata-1", 150, 600, 1200),
        ("sata-2", 300, 1200, 2400),
        ("sata-3", 600, 2400, 4800),
        ("sas-1", 300, 1200, 2400),
        ("sas-2", 600, 2400, 4800),
        ("sas-3", 1200, 4800, 9600),
        ("sas-4", 2400, 9600, 19200),
    ],
)
def test_storage_rates(interface: str, one: int, four: int, eight: int) -> None:
    assert [storage.usable_mb_s(interface, lanes) for lanes in (1, 4, 8)] == [one, four, eight]


@pytest.mark.parametrize("row", storage.RATES.values(), ids=lambda row: row.name)
def test_usable_is_line_rate_times_encoding(row: storage.Rate) -> None:
    """8b/10b, and 128 data bits in 150 for SAS-4, as quoted."""
    assert row.usable_mb_s == row.line_mb * row.payload_bits / row.line_bits / 8


def test_a_host_adapter_of_8_sas_3_lanes_is_bound_by_generation_3() -> None:
    """9.6 GB/s against 6.6 and 13.3 GB/s (the SIGCOMM 2018 model, 256-byte payload)."""
    assert pcie.usable_mb_s(3, 8) < storage.usable_mb_s("sas-3", 8) < pcie.usable_mb_s(4, 8)


def test_a_port_is_one_lane_unless_said() -> None:
    assert storage.usable_mb_s("sata-3") == 600


# Line rate in Gb/s and the links (generation, lanes) that carry it both ways: worked out from the
# SIGCOMM 2018 model's writes at a 256-byte payload; half as many lanes do not.
ETHERNET = [
    (1, [(1, 1)]),
    (10, [(3, 2), (2, 4)]),
    (25, [(3, 4), (4, 2)]),
    (40, [(3, 8)]),
    (50, [(4, 4), (3, 8)]),
    (100, [(3, 16), (4, 8)]),
    (200, [(4, 16), (5, 8)]),
    (400, [(5, 16)]),
]


@pytest.mark.parametrize(("gb", "links"), ETHERNET)
def test_links_that_carry_an_ethernet_port(gb: int, links: list[tuple[int, int]]) -> None:
    for generation, lanes in links:
        assert pcie.usable_mb_s(generation, lanes) >= gb * 125
        if lanes > 1:
            assert pcie.usable_mb_s(generation, lanes // 2) < gb * 125
