"""What links carry for data: one model for every bus, against published figures."""

import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.standards import rates, storage

# The model of "Understanding PCIe Performance for End Host Networking" (SIGCOMM 2018), run with
# 64-bit addresses: generation, lanes, payload bytes, write Gb/s. Its authors trust it to 3 %;
# it has both ways busy at once, so that either carries the acknowledgements of the other.
MODEL_WRITES_GB = [
    (3, 8, 256, 52.92),
    (3, 4, 128, 23.95),
    (3, 4, 256, 26.58),
    (3, 4, 512, 28.09),
    (4, 4, 128, 47.90),
    (4, 4, 256, 53.16),
    (4, 4, 512, 56.18),
    (4, 16, 256, 207.91),
    (5, 16, 256, 415.82),
]

# The same model's reads at 256 bytes.
MODEL_READS_GB = [(3, 8, 53.69), (4, 16, 210.92), (5, 16, 421.84)]

# Sequential reads of drives on sale over x4, the least and the most, in GB/s (as quoted, document
# not kept).
PUBLISHED_READS = {3: (3.5, 3.5), 4: (7.0, 7.4), 5: (14.0, 14.8)}

# SATA-3 and SAS-3 in practice, GB/s a lane after framing (as quoted, document not kept).
PUBLISHED_LANES = {("sata", 3): (0.55, 0.56), ("sas", 3): (1.05, 1.1)}

LINKS = [
    *(("pcie", generation) for generation in range(1, 8)),
    *(("sata", generation) for generation in range(1, 4)),
    *(("sas", generation) for generation in range(1, 5)),
]


@pytest.mark.parametrize("generation", PUBLISHED_READS)
def test_the_two_payloads_bracket_what_drives_on_sale_read(generation: int) -> None:
    """256 bytes at the lower end, 512 at the upper, 3 % either side."""
    least, most = PUBLISHED_READS[generation]
    lower = rates.usable_mb_s("pcie", generation, 4) / 1000
    upper = rates.usable_mb_s("pcie", generation, 4, rates.LARGE_PAYLOAD_BYTES) / 1000
    assert lower * 0.97 <= least
    assert most <= upper * 1.03
    assert lower == pytest.approx(least, rel=0.03)
    assert upper == pytest.approx(most, rel=0.06 if generation == 3 else 0.03)


@pytest.mark.parametrize("link", PUBLISHED_LANES, ids=str)
def test_a_storage_lane_carries_what_is_published_of_it(link: tuple[str, int]) -> None:
    least, most = PUBLISHED_LANES[link]
    assert least <= rates.usable_mb_s(*link, 1) / 1000 <= most


def test_rates_by_hand() -> None:
    """3938 x 256 / 280 x 0.985; 600 x 8192 / 8704 x 0.985; 1200 x 1024 / 1120 x 0.985."""
    assert rates.usable_mb_s("pcie", 3, 4) == 3546
    assert rates.usable_mb_s("sata", 3, 1) == 556
    assert rates.usable_mb_s("sas", 3, 1) == 1080


@pytest.mark.parametrize(("generation", "lanes", "payload", "gb"), MODEL_WRITES_GB)
def test_usable_is_what_the_model_leaves_and_a_little_more(
    generation: int, lanes: int, payload: int, gb: float
) -> None:
    """The model's writes lie 4 to 10 % lower: drives on sale read more than it leaves."""
    usable = rates.usable_mb_s("pcie", generation, lanes, payload)
    assert gb * 125 * 1.04 <= usable <= gb * 125 * 1.1


@pytest.mark.parametrize(("generation", "lanes", "gb"), MODEL_READS_GB)
def test_usable_is_what_the_models_reads_leave_and_a_little_more(
    generation: int, lanes: int, gb: float
) -> None:
    usable = rates.usable_mb_s("pcie", generation, lanes)
    assert gb * 125 * 1.04 <= usable <= gb * 125 * 1.1


def test_packet_efficiency_is_the_application_notes() -> None:
    """Payload / (payload + 24) in percent, worked out in application note AN 855 1.1.2's way."""
    encoded = rates.encoded_mb_s("pcie", 1, 32)
    share = {
        payload: rates.usable_mb_s("pcie", 1, 32, payload) / (encoded * 0.985) * 100
        for payload in (128, 256, 512, 1024, 4096)
    }
    expected = {128: 84.21, 256: 91.43, 512: 95.52, 1024: 97.71, 4096: 99.42}
    assert share == pytest.approx(expected, abs=0.02)


@given(st.sampled_from(LINKS), st.integers(1, 16))
def test_usable_lies_below_encoded_and_grows_with_lanes_and_payload(
    link: tuple[str, int], lanes: int
) -> None:
    usable = rates.usable_mb_s(*link, lanes)
    assert 0 < usable < rates.encoded_mb_s(*link, lanes)
    assert usable < rates.usable_mb_s(*link, lanes + 1)
    assert usable < rates.usable_mb_s(*link, lanes, 2 * rates.PACKETS[link[0]].payload_bytes)


@pytest.mark.parametrize(
    ("interface", "one", "four", "eight"),
    # SAS technology brief p. 5 and a published table of SAS rates, as quoted: encoded.
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
def test_encoded_storage_rates(interface: str, one: int, four: int, eight: int) -> None:
    assert [storage.lane_mb_s(interface, lanes) for lanes in (1, 4, 8)] == [one, four, eight]


def test_a_host_adapter_of_8_sas_3_lanes_is_bound_by_generation_3() -> None:
    """8.4 to 8.8 GB/s against 7.1 and 14.2 GB/s."""
    adapter = rates.usable_mb_s("sas", 3, 8)
    assert rates.usable_mb_s("pcie", 3, 8) < adapter < rates.usable_mb_s("pcie", 4, 8)


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
        assert rates.usable_mb_s("pcie", generation, lanes) >= gb * 125
        if lanes > 1:
            assert rates.usable_mb_s("pcie", generation, lanes // 2) < gb * 125
