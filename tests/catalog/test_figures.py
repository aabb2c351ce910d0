"""
Class figures against the published tables.

The expectations are typed out here with their source, not taken from `slotfit.standards`, so that
a slip in one of both shows.
"""

import re

import pytest

from slotfit.model.part import PartSpec
from tests.catalog.entries import lanes_of, of_class, parts

LANE_GB_S = {1: 2.0 / 8, 2: 4.0 / 8, 3: 7.876923 / 8, 4: 15.753846 / 8, 5: 31.507692 / 8}
"""Encoded rate of a lane, each way: Linux 6.12 drivers/pci/pci.h (worked out)."""

USABLE_X4_GB_S = {3: 3.32, 4: 6.64, 5: 51.98 / 4}
"""At 256 bytes: "Understanding PCIe Performance for End Host Networking", its model run."""

ETHERNET_GB_S = {1: 0.125, 10: 1.25, 25: 3.125, 40: 5.0, 50: 6.25, 100: 12.5, 200: 25, 400: 50}
"""Line rate / 8, nothing deducted (worked out)."""

LEAST_LINK = {
    1: [(1, 1)],
    10: [(3, 2), (2, 4)],
    25: [(3, 4), (4, 2)],
    40: [(3, 8)],
    50: [(4, 4), (3, 8)],
    100: [(3, 16), (4, 8)],
    200: [(4, 16), (5, 8)],
    400: [(5, 16)],
}
"""Smallest sensible links of one port: generation, lanes (worked out from the model above)."""


def encoded(generation: int, lanes: int) -> float:
    return LANE_GB_S[generation] * lanes


def is_wired(part: PartSpec) -> bool:
    return part.id != "wireless-m2"


@pytest.mark.parametrize(
    "name", [name for name, part in of_class("network-card").items() if is_wired(part)]
)
def test_a_network_card_asks_for_the_sum_of_its_ports(name: str) -> None:
    part = parts()[name]
    found = re.search(r"([\d.]+)g-(\d)p", name)
    assert found
    rate, ports = float(found[1]), int(found[2])
    a_port = ETHERNET_GB_S.get(int(rate), 0) if rate.is_integer() else 0
    wanted = (a_port or rate / 8) * ports
    assert part.demand
    assert part.demand.in_gb_s == part.demand.out_gb_s == pytest.approx(wanted)
    assert f"{rate:g} Gb/s" in (part.name or "")


@pytest.mark.parametrize(
    "name", [name for name, part in of_class("network-card").items() if is_wired(part)]
)
def test_a_network_cards_link_carries_one_port(name: str) -> None:
    part = parts()[name]
    found = re.search(r"([\d.]+)g-", name)
    assert found
    assert part.generation
    mine = encoded(part.generation, lanes_of(part))
    rows = LEAST_LINK.get(int(float(found[1])), [])
    least = min((encoded(*row) for row in rows), default=float(found[1]) / 8)
    assert mine >= least * 0.999


def test_two_ports_of_25_g_are_the_documented_example() -> None:
    """25 Gb/s needs 3.125 GB/s, and cards with two ports need the sum."""
    demand = parts()["nic-25g-2p"].demand
    assert demand
    assert demand.out_gb_s == 6.25


SAS_LANE_GB_S = {1: 0.3, 2: 0.6, 3: 1.2, 4: 2.4}
"""SAS technology brief p. 5; published table of SAS rates; SAS-4 twice SAS-3 (as quoted)."""

SAS_AT_MOST = {"sff-8087": 2, "sff-8088": 2, "sff-8643": 3, "sff-8644": 3, "slimsas-8": 4}
"""Connector -> SAS generation it is for: gallery of server connectors (as quoted)."""


def sas_ports(part: PartSpec) -> list[tuple[str, int, int]]:
    return [
        (one.form, one.lanes or 0, one.generation or 0)
        for one in part.receptacles
        if one.bus == "sas"
    ]


def test_host_bus_adapters_have_the_ports_that_their_name_says() -> None:
    checked = 0
    for name, part in of_class("host-bus-adapter").items():
        if part.ports is not None:
            assert sas_ports(part) == [], name  # Fibre Channel: its ports are for optics
            checked += 1
        elif found := re.fullmatch(r"hba-(\d+)i-trimode-.*", name):
            assert sum(one.lanes or 0 for one in part.receptacles) == int(found[1]), name
            assert {one.bus for one in part.receptacles if one.lanes} == {"sas", "pcie"}, name
            checked += 1
        elif found := re.fullmatch(r"hba-(\d+)[ie](?:(\d)e)?-sas(\d)(-.*)?", name):
            ports = sas_ports(part)
            assert sum(lanes for _, lanes, _ in ports) == int(found[1]) + int(found[2] or 0), name
            assert {generation for *_, generation in ports} == {int(found[3])}, name
            assert all(generation <= SAS_AT_MOST[form] for form, _, generation in ports), name
            checked += 1
        elif found := re.fullmatch(r"sata-(\d+)p-.*", name):
            assert [one.bus for one in part.receptacles].count("sata") == int(found[1]), name
            checked += 1
    assert checked == len(of_class("host-bus-adapter")) >= 16


def test_the_sas_3_example_is_bound_by_its_slot_and_says_so() -> None:
    """8 SAS-3 lanes carry 9.6 GB/s, PCIe 3 x8 about 6.6 (model run at 256 bytes)."""
    part = parts()["hba-8i-sas3"]
    behind = sum(lanes * SAS_LANE_GB_S[generation] for _, lanes, generation in sas_ports(part))
    assert behind == pytest.approx(9.6)
    assert behind > 2 * USABLE_X4_GB_S[3]
    assert "9.6 GB/s" in (part.about or "")


def test_eight_disks_stay_below_one_sas_2_cable() -> None:
    """8 x 280 MB/s = 2.24 GB/s, below 2.4 (common practice; published table of SAS rates)."""
    demand = parts()["hba-8i-sas2"].demand
    assert demand
    assert demand.out_gb_s == pytest.approx(8 * 0.28)
    assert demand.out_gb_s < 4 * SAS_LANE_GB_S[2]


def test_expanders_take_no_lanes_from_a_slot() -> None:
    for name, part in of_class("sas-expander").items():
        assert part.links == (), name
        up, *more = part.extra_plugs
        assert {link.bus for plug in part.extra_plugs for link in plug.links} == {"sas"}, name
        assert {plug.joins for plug in more} <= {up.id}, name
        assert set(up.feeds) == {one.id for one in part.receptacles}, name
        assert part.power, name
        assert bool(part.power.slot_w) != bool(part.power.aux), name
        assert (part.plug.form == "cem") == bool(part.power.slot_w), name


FIBRE_CHANNEL_GB_S = {16: 14.025 * 64 / 66 / 8, 32: 28.05 * 64 / 66 / 8}
"""Line rate of a port, less its code: adapter page (as quoted) for 16 Gb/s; 32 from memory."""


@pytest.mark.parametrize("rate", FIBRE_CHANNEL_GB_S)
def test_a_fibre_channel_adapter_asks_for_both_ports(rate: int) -> None:
    part = parts()[f"hba-fc-{rate}g-2p"]
    assert part.demand
    assert part.demand.out_gb_s == pytest.approx(2 * FIBRE_CHANNEL_GB_S[rate], rel=0.01)
    assert part.generation
    assert part.demand.out_gb_s < encoded(part.generation, lanes_of(part))


MULTIPLIED = [name for name in of_class("host-bus-adapter") if "-multiplied-" in name]


@pytest.mark.parametrize("name", MULTIPLIED)
def test_many_sata_ports_hang_on_a_narrow_link(name: str) -> None:
    """Cards of eight ports and more are narrower than their drives (common practice, no source)."""
    part = parts()[name]
    assert part.generation
    assert len(part.receptacles) * 0.28 > encoded(part.generation, lanes_of(part))


DISK_GB_S = {
    # typical, common practice, no source
    "hdd-sata-3.5-7200": (0.15, 0.28),
    "hdd-sas-3.5-7200": (0.15, 0.28),
    "hdd-sas-2.5-10k": (0.18, 0.27),
    "hdd-sata-3.5-5400": (0.1, 0.16),
    "hdd-sata-2.5": (0.1, 0.16),
    "ssd-sata-2.5": (0.5, 0.55),
    "sata-m2-2280": (0.5, 0.55),
}


@pytest.mark.parametrize("name", DISK_GB_S)
def test_disks_run_at_typical_rates(name: str) -> None:
    low, high = DISK_GB_S[name]
    demand = parts()[name].demand
    assert demand
    assert low <= demand.out_gb_s <= high
    assert low <= demand.in_gb_s <= high


NVME = [
    name
    for name, part in of_class("drive").items()
    if {link.bus for link in part.links} == {"pcie"}
]


@pytest.mark.parametrize("name", NVME)
def test_an_nvme_drive_asks_a_little_less_than_its_link_carries(name: str) -> None:
    part = parts()[name]
    assert part.generation
    assert part.demand
    usable = USABLE_X4_GB_S[part.generation] * lanes_of(part) / 4
    assert part.demand.in_gb_s <= part.demand.out_gb_s <= usable
    assert part.demand.out_gb_s >= usable * 0.7


@pytest.mark.parametrize(
    ("name", "reaches"),
    [("nvme-2280-gen3", 3.5), ("nvme-2280-gen4", 7.0), ("nvme-2280-gen5", 14.0)],
)
def test_fast_drives_are_near_what_drives_reach(name: str, reaches: float) -> None:
    """~3.5, ~7 and ~14 GB/s for long reads (common practice, no source)."""
    demand = parts()[name].demand
    assert demand
    assert reaches * 0.85 <= demand.out_gb_s <= reaches


@pytest.mark.parametrize(
    ("name", "frame"),
    [
        ("capture-hd-1p", 1920 * 1080),
        ("capture-hd-4p", 4 * 1920 * 1080),
        ("capture-4k-1p", 3840 * 2160),
        ("capture-4k-4p", 4 * 3840 * 2160),
    ],
)
def test_capture_cards_move_their_pictures(name: str, frame: int) -> None:
    """Two bytes a dot, sixty pictures a second."""
    part = parts()[name]
    assert part.demand
    assert part.demand.out_gb_s == pytest.approx(frame * 2 * 60 / 1e9, rel=0.02)
    assert part.generation
    assert part.demand.out_gb_s < encoded(part.generation, lanes_of(part))


@pytest.mark.parametrize("name", of_class("accelerator"))
def test_an_accelerator_asks_at_most_half_of_its_link(name: str) -> None:
    part = parts()[name]
    assert part.generation
    assert part.demand
    assert 0 < part.demand.in_gb_s <= encoded(part.generation, lanes_of(part)) / 2


NAMED = re.compile(r"PCIe (\d)(?: x(\d+))?(?: and x(\d+))?")


def test_names_say_generation_and_lanes_as_the_figures_do() -> None:
    checked = 0
    for name, part in parts().items():
        found = NAMED.search(part.name or "")
        if found is None:
            continue
        assert part.generation == int(found[1]), name
        if found[2]:
            assert lanes_of(part) == int(found[2]) + int(found[3] or 0), name
        checked += 1
    assert checked > 150


@pytest.mark.parametrize("name", of_class("carrier"))
def test_carriers_hold_as_many_drives_as_they_say(name: str) -> None:
    part = parts()[name]
    found = re.search(r"(?:m2|u2|u3|e1s|e3s)x(\d)", name)
    if found is None:
        assert name in {
            "carrier-m2x2-mixed",
            "carrier-switch-mcio-gen5",
            "carrier-switch-8644-x16-gen3",
        }
        return
    drives = sum((one.lanes or 4) // 4 or 1 for one in part.receptacles)
    assert drives == int(found[1])
    if part.wiring == "passive" and not part.extra_plugs:
        assert [link.lanes for link in part.links] == [4] * drives
    if part.wiring == "switch":
        assert len(part.links) == 1


NEIGHBOURS = [
    # two of a kind, and what a buyer has to look at to tell them (common practice, no source)
    ("accel-passive-twin-gen3", "accel-passive-twin-switch-gen3", "wiring"),
    ("cable-8087-4sata-500", "cable-4sata-8087-reverse-500", "direction"),
    ("backplane-4-sata-8087", "backplane-4-sata-reverse", "plug"),
    ("backplane-8-sas3", "backplane-24-sas3-expander", "wiring"),
    ("hba-16i-sas3", "hba-16i-sas3-two-chips", "power"),
    ("hba-16i-sas3-gen4", "hba-16i-trimode-gen4", "receptacles"),
    ("sas-expander-32-sas3", "sas-expander-36-sas3-two-up", "extra_plugs"),
    ("sata-6p-gen3-x2", "sata-8p-multiplied-gen3-x2", "receptacles"),
    ("nic-100g-2p-gen4", "nic-smart-100g-2p-75w", "power"),
    ("nvme-e3s-gen5", "nvme-e3s-2t-gen5", "power"),
    ("carrier-switch-u2x4-gen3", "carrier-switch-8644-x16-gen3", "receptacles"),
]


@pytest.mark.parametrize(("one", "other", "field"), NEIGHBOURS)
def test_neighbours_differ_in_what_decides(one: str, other: str, field: str) -> None:
    assert parts()[one].part_class == parts()[other].part_class
    assert getattr(parts()[one], field) != getattr(parts()[other], field)
