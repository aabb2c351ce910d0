"""Who is to blame for parts that fail: what they share and healthy ones do not, and which swaps."""

from __future__ import annotations

import json
import random
from collections.abc import Sequence
from functools import cache
from typing import Any

import pytest

from slotfit.answers.verify.planned import MachinePlan, plan_in, planned_machine
from slotfit.answers.verify.suspects import blames, changes_of, wiring_of
from slotfit.answers.verify.swaps import Branch, SwapChoice, plan_swaps
from slotfit.errors import InputError
from tests.verify.fen import bus_as_planned, document, held, read_as

Row = dict[str, Any]


class Tree:
    """An invented machine: adapters in slots, cables with several ends or one, drives on them."""

    def __init__(self, dice: random.Random) -> None:
        self.dice = dice
        self.plan = document()
        self.seat: Row = self.plan["plan"]["seats"][0] | {"links": [], "recognise": []}
        self.place: Row = self.plan["plan"]["receptacles"][0]
        self.seats: list[Row] = []
        self.places: list[Row] = []
        for number in range(dice.randint(1, 3)):
            self.adapter(number)
        self.socket("spare-slot", self.seat["machine"], "cem", None, on_board=True)

    def socket(
        self, site: str, owner: str, form: str, item: str | None, *, on_board: bool = False
    ) -> None:
        name = site.rpartition("/")[2]
        self.places.append(
            self.place | {"site": site, "id": name, "label": name, "owner": owner, "form": form,
                          "item": item, "on_board": on_board, "state": "taken" if item else "free"}
        )  # fmt: skip

    def put(self, item: str, kind: str, site: str, owner: str, depth: int) -> None:
        self.seats.append(
            self.seat | {"item": item, "part": kind, "part_class": kind, "site": site,
                         "label": site, "owner": owner, "depth": depth}
        )  # fmt: skip

    def adapter(self, number: int) -> None:
        name, slot = f"adapter-{number}", f"slot{number}"
        self.socket(slot, self.seat["machine"], "cem", name, on_board=True)
        self.put(name, "host-bus-adapter", slot, self.seat["machine"], 0)
        for port in range(self.dice.randint(1, 3)):
            site = f"{name}/port{port}"
            cable = f"cable-{number}-{port}"
            filled = self.dice.random() < 0.8
            self.socket(site, name, "sff-8643", cable if filled else None)
            if filled:
                self.cable(cable, site, name)

    def cable(self, name: str, site: str, owner: str) -> None:
        self.put(name, "cable", site, owner, 1)
        for end in range(self.dice.choice((1, 2, 4))):
            drive = f"drive{name.removeprefix('cable')}-{end}"
            self.socket(f"{name}/end{end}", name, "sas", drive)
            self.put(drive, "drive", f"{name}/end{end}", name, 2)

    def planned(self) -> MachinePlan:
        self.plan["plan"] |= {"seats": self.seats, "receptacles": self.places}
        return planned_machine(plan_in(json.dumps(self.plan), "plan.json"), "plan.json")


def best_steps(left: frozenset[str], changes: Sequence[SwapChoice[str]]) -> tuple[int, int, int]:
    """By trying every order: left together, most steps, steps in all."""

    @cache
    def best(rest: frozenset[str]) -> tuple[int, int, int]:
        found = (len(rest) - 1, 0, 0)
        for split in {rest & one.takes for one in changes}:
            if split and split != rest:
                a, b = best(split), best(rest - split)
                found = min(found, (a[0] + b[0], 1 + max(a[1], b[1]), a[2] + b[2] + len(rest)))
        return found

    return best(left)


def in_trees(seeds: range) -> tuple[int, int, int]:
    """Faults in random trees; how many, our steps in all, and the best there could be."""
    cases = ours = least = 0
    for seed in seeds:
        dice = random.Random(seed)
        planned = Tree(dice).planned()
        wiring = wiring_of(planned)
        drives = [seat.item for seat in planned.seats if seat.part_class == "drive"]
        things = sorted({thing for drive in drives for thing in wiring.ways[drive]})
        if not things:
            continue
        broken = dice.choice(things)
        failing = [drive for drive in drives if broken in wiring.ways[drive]]
        (blame,) = blames(wiring.ways, failing, drives)
        assert broken in blame.suspects, seed
        changes = changes_of(wiring, blame, [one for one in drives if one not in failing])
        tree = plan_swaps(frozenset(blame.suspects), changes)
        assert broken in tree.left(broken), seed  # never cleared
        left, _, steps = best_steps(frozenset(blame.suspects), changes)
        assert len({tree.left(one) for one in blame.suspects}) == len(blame.suspects) - left
        cases += 1
        ours += sum(map(tree.steps, blame.suspects))
        least += steps
        assert max(map(tree.steps, blame.suspects)) <= len(blame.suspects)
    return cases, ours, least


def test_the_cause_is_never_cleared_and_the_swaps_are_few() -> None:
    cases, ours, least = in_trees(range(40))
    assert cases > 30
    assert ours <= 1.3 * least


@pytest.mark.long
def test_nor_is_it_in_any_of_many_trees() -> None:
    cases, ours, least = in_trees(range(1000, 1300))
    assert cases > 250
    assert ours <= 1.3 * least


def test_a_fault_that_not_all_parts_show_is_not_cleared_either() -> None:
    """One drive behind a bad adapter fails today, the others still work."""
    for seed in range(15):
        dice = random.Random(seed)
        planned = Tree(dice).planned()
        ways = wiring_of(planned).ways
        drives = [seat.item for seat in planned.seats if seat.part_class == "drive"]
        for broken in {thing for drive in drives for thing in ways[drive]}:
            shown = [drive for drive in drives if broken in ways[drive]]
            (blame, *others) = blames(ways, dice.sample(shown, dice.randint(1, len(shown))), drives)
            if not others:
                assert broken in (*blame.suspects, *blame.works_for_others)
            else:
                assert broken in blame.works_for_others


WAYS = {
    f"disk-{number}": (f"disk-{number}", f"end{number % 4}", f"cable-{number // 4}",
                       f"port{number // 4}", "adapter", "slot")
    for number in range(8)
}  # fmt: skip
DISKS = list(WAYS)


@pytest.mark.parametrize(
    ("failing", "suspects"),
    [
        (DISKS[:4], [("cable-0", "port0")]),
        (DISKS, [("adapter", "slot")]),
        (["disk-3"], [("disk-3",)]),
        (["disk-3", "disk-7"], [("disk-3",), ("disk-7",)]),
        ([*DISKS[:4], "disk-7"], [("cable-0", "port0"), ("disk-7",)]),
    ],
)
def test_suspected_is_what_the_failing_share_and_no_healthy_one_has(
    failing: list[str], suspects: list[tuple[str, ...]]
) -> None:
    ways = {part: tuple(one for one in way if "end" not in one) for part, way in WAYS.items()}
    assert [one.suspects for one in blames(ways, failing, DISKS)] == suspects


def test_what_works_for_others_is_not_cleared() -> None:
    (one, other) = blames(WAYS, ["disk-3", "disk-6"], DISKS)
    assert one.works_for_others == other.works_for_others == ("adapter", "slot")


def test_the_cheaper_of_two_ways_that_tell_as_much_is_taken() -> None:
    both = frozenset("ab")
    dear, cheap = (
        SwapChoice("dear", frozenset("a"), 6, ""),
        SwapChoice("cheap", frozenset("b"), 1, ""),
    )
    for changes in ((dear, cheap), (cheap, dear)):
        assert plan_swaps(both, changes) == Branch(
            both, cheap, Branch(frozenset("b")), Branch(frozenset("a"))
        )


def test_what_no_change_tells_apart_stays_together() -> None:
    assert plan_swaps(frozenset("ab"), []) == Branch(frozenset("ab"))


def test_failing_parts_are_blamed_beside_what_was_found() -> None:
    answer = held(read_as(bus_as_planned()), failing=["drive-8"])
    (one,) = answer.do.suspects
    assert one.parts == ("drive-8",)
    assert one.suspects == ("drive drive-8", "socket2 of carrier-2")
    assert [cause.cause for cause in one.first] == ["link-power-saving", "old-firmware"]
    assert [(swap.goes.suspects, swap.stays.suspects) for swap in one.swaps] == [
        (("drive drive-8",), ("socket2 of carrier-2",))
    ]
    assert ["spare" in swap.do for swap in one.swaps] == [False]  # other sockets are at hand
    assert answer.verdict.word == "yes"
    assert answer.do.cautions


def test_a_lost_disk_does_not_make_the_others_of_its_adapter_suspect() -> None:
    """Three of four answer, and the fourth is named: the others are healthy."""
    answer = held(read_as(bus_as_planned(), letters="abd"), failing=["disk-3"])
    (one,) = answer.do.suspects
    assert "storage-1" in one.not_cleared
    assert "storage-1" not in one.suspects
    (two,) = held(read_as(bus_as_planned(), letters="ad"), failing=["disk-3"]).do.suspects
    assert "storage-1" in two.suspects  # which other one is lost, nothing tells


def test_parts_that_err_are_blamed_by_themselves() -> None:
    errors = {"53:00.0": [["corrected", "RxErr", 500]], "54:00.0": [["corrected", "RxErr", 900]]}
    answer = held(read_as(bus_as_planned(), errors=errors))
    assert [one.parts for one in answer.do.suspects] == [("drive-8",), ("drive-9",)]
    alone = held(read_as(bus_as_planned(), errors={"53:00.0": errors["53:00.0"]}))
    assert alone.do.suspects == ()


def test_every_name_that_is_no_part_is_told() -> None:
    with pytest.raises(InputError) as raised:
        held(read_as(bus_as_planned()), failing=["drive-8", "drive-88", "nobody"])
    said = str(raised.value)
    assert "drive-88" in said
    assert "nobody" in said
    assert "drive-8:" not in said
