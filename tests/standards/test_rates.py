"""Storage and network rates, and the slots they need."""

import pytest

from slotfit.standards import network, pcie, storage


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


def test_kernel_words_for_sas_rates() -> None:
    """Linux 6.12 drivers/scsi/scsi_transport_sas.c:153-157."""
    words = [storage.kernel_rate_text(f"sas-{generation}") for generation in (1, 2, 3, 4)]
    assert words == ["3.0 Gbit", "6.0 Gbit", "12.0 Gbit", "22.5 Gbit"]
    assert storage.kernel_rate_text("sata-1") == "1.5 Gbit"


def test_eight_disks_stay_below_one_sas_2_port() -> None:
    """8 x 280 = 2240 MB/s, against 2400."""
    assert 8 * storage.DRIVE_RATES["hdd-7200"].high_mb_s == 2240
    assert storage.usable_mb_s("sas-2", 4) > 2240


def test_a_host_adapter_of_8_sas_3_lanes_is_bound_by_generation_3() -> None:
    """9.6 GB/s against 6.6 and 13.3 GB/s (the SIGCOMM 2018 model, 256-byte payload)."""
    assert pcie.usable_mb_s(3, 8) < storage.usable_mb_s("sas-3", 8) < pcie.usable_mb_s(4, 8)


@pytest.mark.parametrize("generation", [3, 4, 5])
def test_drive_figures_lie_between_usable_and_encoded(generation: int) -> None:
    """Common practice; encoded 3.94, 7.88 and 15.75 GB/s."""
    drive = storage.DRIVE_RATES[f"nvme-gen{generation}-x4"].high_mb_s
    assert 0.85 < drive / pcie.lane_mb_s(generation, 4) < 0.92


def test_drive_figures() -> None:
    """Common practice, no source: MB/s in sequence, from and to."""
    figures = {row.kind: (row.low_mb_s, row.high_mb_s) for row in storage.DRIVE_RATES.values()}
    assert figures == {
        "hdd-7200": (150, 280),
        "hdd-10k-sas": (180, 270),
        "hdd-5400": (100, 160),
        "ssd-sata": (550, 550),
        "nvme-gen3-x4": (3_500, 3_500),
        "nvme-gen4-x4": (7_000, 7_000),
        "nvme-gen5-x4": (14_000, 14_000),
    }


def test_a_port_is_one_lane_unless_said() -> None:
    assert storage.usable_mb_s("sata-3") == 600
    assert network.need_mb_s(10) == 1250


# Line rate in Gb/s, need in MB/s, least links (generation, lanes): worked out from the SIGCOMM
# 2018 model's writes at a 256-byte payload.
ETHERNET = [
    (1, 125, [(1, 1)]),
    (10, 1250, [(3, 2), (2, 4)]),
    (25, 3125, [(3, 4), (4, 2)]),
    (40, 5000, [(3, 8)]),
    (50, 6250, [(4, 4), (3, 8)]),
    (100, 12500, [(3, 16), (4, 8)]),
    (200, 25000, [(4, 16), (5, 8)]),
    (400, 50000, [(5, 16)]),
]


@pytest.mark.parametrize(("gb", "need", "links"), ETHERNET)
def test_ethernet_needs(gb: int, need: int, links: list[tuple[int, int]]) -> None:
    assert network.need_mb_s(gb) == need
    assert network.need_gb_s(gb) == need / 1000
    assert gb * 1000 in network.LINE_RATES_MB
    for generation, lanes in links:
        assert pcie.usable_mb_s(generation, lanes) >= need
        if lanes > 1:
            assert pcie.usable_mb_s(generation, lanes // 2) < need


def test_a_card_of_two_ports_needs_the_sum() -> None:
    assert network.need_mb_s(100, ports=2) == 25000


def test_need_is_rounded_up() -> None:
    assert network.need_mb_s(0.01) == 2


def test_line_rates_are_the_kernels() -> None:
    """Linux 6.12 include/uapi/linux/ethtool.h:2155-2170."""
    speeds = "10 100 1000 2500 5000 10000 14000 20000 25000 40000 50000 56000 100000"
    assert " ".join(map(str, network.LINE_RATES_MB)) == speeds + " 200000 400000 800000"
