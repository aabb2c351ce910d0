"""
Links on lanes that are ports of their own, and widths that are no power of two.

Sources: SAS, from memory: each lane is a port, neighbouring lanes to one partner a wide port; SAS
technology brief p. 5 (as quoted): SAS-1 runs at 3 Gb/s as SATA-2 does, SAS-2 at 6 as SATA-3 does.
PCI Express Base (as quoted): a link trains at the widest legal width that both ends have.
"""

from __future__ import annotations

from random import Random

import pytest

from slotfit.engine.upstream import wired_through
from slotfit.hardware.training import BUS_NAMES, passed_on, train_link, why_dark
from slotfit.model.part import Link, PartReceptacle, PartSpec, Plug
from slotfit.model.seat import Segment, Upstream

PART = PartSpec(id="part", plug=Plug(form="sas"))


def ports(count: int, bus: str = "sas") -> tuple[Segment, ...]:
    """So many lanes from lane 0 on, each a port of its own."""
    return tuple(Segment(lane, 1, bus) for lane in range(count))


def lanes(link: Link, *segments: Segment) -> int:
    """How many lanes the link trains at."""
    return train_link(PART, link, Upstream("tower", segments, 3)).lanes


@pytest.mark.parametrize(
    ("wide", "arriving", "trains"),
    [(2, 4, 2), (4, 2, 2), (4, 3, 3), (3, 4, 3), (4, 4, 4), (1, 4, 1), (4, 1, 1)],
)
def test_a_wide_port_has_as_many_lanes_as_both_ends(wide: int, arriving: int, trains: int) -> None:
    assert lanes(Link(lanes=wide, bus="sas"), *ports(arriving)) == trains


def test_a_port_may_start_at_any_lane() -> None:
    assert lanes(Link(at=3, lanes=1, bus="sas"), *ports(4)) == 1
    assert lanes(Link(at=2, lanes=4, bus="sas"), *ports(4)) == 2


def test_a_port_beyond_the_wires_is_dark() -> None:
    link = Link(at=4, lanes=1, bus="sas")
    assert lanes(link, *ports(4)) == 0
    assert lanes(link, Segment(0, 4, "sas")) == 0
    assert str(why_dark(link, Upstream("tower", ports(4)))) == (
        "only lanes 0 to 3 arrive here, and it starts at lane 4"
    )


def test_a_gap_ends_a_wide_port() -> None:
    assert lanes(Link(lanes=4, bus="sas"), *ports(2), Segment(3, 1, "sas")) == 2


def test_sas_settles_the_width_that_pcie_leaves_open() -> None:
    """PCI Express Base, from memory: x2 between wider ends is optional."""
    sas = train_link(PART, Link(lanes=4, bus="sas"), Upstream("tower", ports(2), 3))
    pcie = train_link(PART, Link(lanes=4), Upstream("tower", (Segment(0, 2),), 3))
    assert (sas.lanes, sas.certain) == (2, True)
    assert (pcie.lanes, pcie.certain) == (2, False)


def test_pcie_trains_at_legal_widths_and_wires_carry_any() -> None:
    """Three wires carry three lanes; a link over them has two."""
    assert lanes(Link(lanes=4), Segment(0, 3)) == 2
    assert lanes(Link(lanes=4, to=("slot",)), Segment(0, 3)) == 3


@pytest.mark.parametrize(("sas", "sata"), [(1, 2), (2, 3), (3, 3), (4, 3)])
def test_a_sata_drive_on_sas_lanes_runs_at_the_same_rate(sas: int, sata: int) -> None:
    """3 and 6 Gb/s; no SATA is faster. The drive's own generation is not known."""
    trained = train_link(PART, Link(lanes=1, bus="sata"), Upstream("tower", ports(1), sas))
    assert trained.generation == sata


def test_the_generation_of_mixed_lanes_is_that_of_pcie() -> None:
    """An offer names one generation; of the SATA port beside PCIe lanes nothing is known."""
    upstream = Upstream("tower", (Segment(0, 4), Segment(0, 1, "sata")), 4)
    assert train_link(PART, Link(lanes=1, bus="sata"), upstream).generation is None
    assert train_link(PART, Link(lanes=4), upstream).generation == 4


def test_a_wire_hands_on_only_what_it_speaks() -> None:
    mixed = Upstream("tower", (Segment(0, 4), Segment(0, 1, "sata"), Segment(1, 1, "sata")))
    sata = passed_on(Link(at=1, lanes=3, bus="sata", to=("end",)), mixed)
    assert sata == (Segment(0, 1, "sata"),)
    assert passed_on(Link(lanes=4, to=("end",)), mixed) == (Segment(0, 4),)


def test_why_nothing_is_heard_counts_every_segment() -> None:
    upstream = Upstream("tower", (Segment(8, 4), Segment(0, 4)))
    assert str(why_dark(Link(at=12, lanes=4), upstream)) == (
        "only lanes 0 to 11 arrive here, and it starts at lane 12"
    )
    assert str(why_dark(Link(at=4, lanes=4), upstream)) == "nothing arrives at lane 4"


@pytest.mark.parametrize("seed", range(100))
def test_nothing_is_told_to_lack_lanes_where_the_lanes_are_of_another_bus(seed: int) -> None:
    """SAS and SATA lanes carry no PCIe link, however many of them arrive (SFF-8643, as quoted)."""
    dice = Random(seed)
    buses = dice.sample(("pcie", "sata", "sas"), dice.randint(1, 2))
    arriving = tuple(Segment(4 * place, 4, bus) for place, bus in enumerate(buses))
    wire = Link(at=dice.choice((0, 4)), lanes=4, bus=dice.choice(("pcie", "sas")), to=("end",))
    end = PartReceptacle(id="end", form="u2", bus=wire.bus)
    cable = PartSpec(id="cable", plug=Plug(form="sff-8643"), links=(wire,), receptacles=(end,))
    below = Upstream("tower", arriving, 3, carriers=("cable",))
    found = wired_through(cable, end, below)
    told = str(found.dark or "")
    is_other_bus = all(one.bus != wire.bus for one in arriving)
    assert (f"not {BUS_NAMES[wire.bus]}" in told) == is_other_bus
    assert not (is_other_bus and "only" in told)
