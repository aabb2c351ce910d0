"""The archetype boards are true to their class, and between them exercise every rule of lanes."""

from collections import defaultdict
from typing import get_args

import pytest

from slotfit.model.board import Arrangement, Board
from slotfit.model.machine import Chassis
from slotfit.model.words import ChosenBy, Proof
from tests.catalog.entries import BOARD_IDS, boards, loaded

MOST_LANES = {
    # platform lane layouts by class; from memory unless said otherwise.  Lanes of one processor for
    # slots and sockets, the link to a chipset not counted.
    "desktop-small": 20,  # mainstream desktop: 16 + 4
    "desktop-steered": 20,
    "mini-itx": 20,
    "desktop-chipset-heavy": 20,
    "desktop-uplink-x8": 20,
    "desktop-two-chipsets": 20,
    "server-open-ended": 20,  # entry server: 16 to 20
    "desktop-by-processor": 24,
    "desktop-label-order": 44,  # high-end desktop: 44, 48, 64, 88, 112, 128
    "workstation-switch": 44,
    "workstation": 112,
    "server-1p": 128,  # one-processor server: 128
    "server-storage": 128,
    "server-ruler": 96,  # others: 48, 64, 80, 88, 96, 136
    "compact-ocp": 48,
    "old-menu-lies": 40,  # older servers
    "server-2p": 64,  # two-processor server: 2 x 48, 64, 80, 128
    "server-2p-eleven": 64,
    "server-2p-risers": 80,
    "server-2p-old": 40,
    "embedded-edge": 8,  # common practice, no source
    "storage-low-power": 9,  # the same
}
"""Board -> most lanes a processor of its class has."""

TELLS_NO_WIDTHS = {"server-as-read"}
"""What a reader leaves: not all of its slots say how many lanes are wired."""


def pcie_lanes(way: Arrangement) -> int:
    return sum(lanes for given in way.gives.values() for lanes in given if isinstance(lanes, int))


def lanes_used(board: Board) -> dict[str | None, int]:
    """Processor or hub -> the most PCIe lanes that its slots, sockets and switches can take."""
    used: dict[str | None, int] = defaultdict(int)
    for group in board.lane_groups:
        if group.bus == "pcie":
            used[group.from_] += max(map(pcie_lanes, group.arrangements))
    for hub in board.hubs:
        if not hub.id.startswith("chipset"):
            used[hub.from_] += hub.lanes
    return used


@pytest.mark.parametrize("name", sorted(set(BOARD_IDS) - TELLS_NO_WIDTHS))
def test_no_processor_has_more_lanes_than_its_class(name: str) -> None:
    used = lanes_used(boards()[name])
    processors = {one.id: used[one.id] for one in boards()[name].processors}
    assert {one: lanes for one, lanes in processors.items() if lanes > MOST_LANES[name]} == {}
    assert max(processors.values()) > MOST_LANES[name] * 0.6, "a small machine of another class"


@pytest.mark.parametrize("name", BOARD_IDS)
def test_chipset_links_are_those_of_chipsets(name: str) -> None:
    """Gen 3 x4, Gen 4 x4, Gen 4 x8 (platform lane layouts, from memory); older ones Gen 2 x4."""
    links = {(one.generation, one.lanes) for one in boards()[name].hubs if "chipset" in one.id}
    assert links <= {(2, 4), (3, 4), (4, 4), (4, 8)}


def test_a_chipset_of_each_width_is_there() -> None:
    """A buyer meets four lanes and eight of generation 4 (common practice, no source)."""
    links = {
        (one.generation, one.lanes)
        for board in boards().values()
        for one in board.hubs
        if "chipset" in one.id
    }
    assert {(4, 4), (4, 8)} <= links


def arrangements(board: Board) -> list[tuple[str | None, str]]:
    return [(one.proof, one.chosen_by) for group in board.lane_groups for one in group.arrangements]


def test_every_way_to_choose_and_every_proof_occurs() -> None:
    seen = {pair for board in boards().values() for pair in arrangements(board)}
    assert {proof for proof, _ in seen} == {*get_args(Proof), None}
    assert {by for _, by in seen} == {*get_args(ChosenBy)}


EXERCISES = {
    "a card in the second slot takes half of the first": ("desktop-steered", "two-slots"),
    "a drive in a socket takes a slot's lanes": ("desktop-steered", "two-sockets"),
    "a drive darkens SATA ports": ("desktop-steered", "nvme-drive"),
    "a SATA drive darkens fewer": ("desktop-steered", "sata-drive"),
    "a card in a slot darkens a socket": ("desktop-chipset-heavy", "slot"),
    "a jumper divides": ("embedded-edge", "shared"),
    "the menu names the port's width": ("old-menu-lies", "both-split"),
    "a listed division does not work": ("old-menu-lies", "quarters"),
    "only an asymmetric label is known": ("old-menu-lies", "mixed"),
}


@pytest.mark.parametrize("what", EXERCISES)
def test_the_board_has_that_arrangement(what: str) -> None:
    board, arrangement = EXERCISES[what]
    names = {one.id for group in boards()[board].lane_groups for one in group.arrangements}
    assert arrangement in names


def test_the_menu_that_names_the_ports_width_gives_what_is_wired() -> None:
    """On a slot wired x8 a menu entry of sixteen lanes brings two links (common practice)."""
    groups = {group.id: group for group in boards()["old-menu-lies"].lane_groups}
    split = next(one for one in groups["port3"].arrangements if one.id == "split")
    assert split.setting == "Port 3 lanes: x4x4x4x4"
    assert split.gives == {"slot6": (4, 4)}


def test_an_order_nobody_knows_stands_there_both_ways() -> None:
    """EDK2-platforms IioRegs.h lists high lanes first, others low lanes first (as read there)."""
    groups = {group.id: group for group in boards()["desktop-label-order"].lane_groups}
    ways = [one for one in groups["slot2"].arrangements if one.order == "unknown"]
    assert {one.gives["slot2"] for one in ways} == {(8, 4, 4), (4, 4, 8)}


def test_slots_hang_on_either_processor() -> None:
    for name in ("server-2p", "server-2p-eleven", "server-2p-risers", "server-2p-old"):
        assert {group.from_ for group in boards()[name].lane_groups} >= {"cpu0", "cpu1"}


def test_power_without_a_processor_is_said_denied_and_left_open() -> None:
    server = {one.id: one.powered_without_processor for one in boards()["server-2p"].receptacles}
    assert (server["slot2"], server["slot4"], server["slot6"]) == (True, False, None)


def test_open_ends_have_room_behind_little_or_nobody_knows() -> None:
    slots = {one.id: one for one in boards()["server-open-ended"].receptacles}
    rooms = [slots[name].behind_mm for name in ("slot1", "slot2", "slot3")]
    assert all(slots[name].open_end for name in ("slot1", "slot2", "slot3"))
    assert rooms == [20, 90, None]


def test_hubs_hang_on_one_another() -> None:
    hubs = {one.id: one.from_ for one in boards()["desktop-two-chipsets"].hubs}
    assert hubs == {"chipset1": "cpu0", "chipset2": "chipset1"}


def test_the_read_board_knows_neither_divisions_nor_power() -> None:
    slots = [one for one in boards()["server-as-read"].receptacles if one.form == "cem"]
    assert all(one.splits is None and one.power_w is None for one in slots)
    assert all(one.row is None for one in slots)
    assert any(one.lanes is None for one in slots)
    assert any(one.generation is None for one in slots)


@pytest.mark.parametrize("name", BOARD_IDS)
def test_ids_say_where_one_finds_them(name: str) -> None:
    """Labels are what is printed on the board: no two alike."""
    labels = [one.label for one in boards()[name].receptacles if one.label]
    assert len(set(labels)) == len(labels)


def test_every_board_has_a_chassis_that_takes_it() -> None:
    chassis = [one for one in loaded().values() if isinstance(one, Chassis)]
    sizes = {size for one in chassis for size in one.sizes or ()}
    assert {board.size for board in boards().values() if board.size} <= sizes
