"""Parts without numbers are told apart by class and width; drives on an adapter are counted."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

from slotfit.read.machine import MachineSeen
from slotfit.read.seen import DriveSeen, Where
from tests.read.machines import endpoint
from tests.read.scenes import NETWORK
from tests.verify.scenes import (
    changed,
    document,
    faults,
    findings,
    held,
    moved,
    planned_bus,
    seen_on,
    without,
)

ADAPTER = 0x0107


def nameless() -> dict[str, Any]:
    """The plan as a catalog part gives it: no PCI numbers."""
    plan = document()
    for seat in plan["plan"]["seats"]:
        seat["recognise"] = []
    return plan


def test_all_as_planned_by_class_alone() -> None:
    assert held(seen_on(planned_bus()), nameless()).verdict.good


def test_a_moved_card_is_found_by_its_class() -> None:
    found = faults(held(seen_on(moved(planned_bus(), "02:00.0", "03:00.0")), nameless()))
    assert set(found) == {"elsewhere"}
    assert "or a part like it" in found["elsewhere"].text


def test_a_card_of_another_class_is_not_taken_for_it() -> None:
    bus = without(planned_bus(), "02:00.0") | {"02:00.0": endpoint("02:00.0", kind=0x0403, lanes=1)}
    assert faults(held(seen_on(bus), nameless()))["another-part"].items == ("network-1",)


def with_disks(count: int) -> MachineSeen:
    """The second slot holds an adapter with so many drives; the source lists drives."""
    bus = changed(planned_bus(), "02:00.0", class_code=ADAPTER)
    seen = seen_on(bus)
    where = Where("sys/block")
    disks = tuple(DriveSeen(where, f"sd{letter}", "disk", "sas") for letter in "abcd"[:count])
    receptacles = tuple(
        replace(one, parts=tuple(replace(part, drives=disks) for part in one.parts))
        if one.label.startswith("SLOT2")
        else one
        for one in seen.receptacles
    )
    return replace(seen, receptacles=receptacles, sources=(*seen.sources, ("sysfs", "sys")))


def plan_with_disks(count: int) -> dict[str, Any]:
    plan = nameless()
    adapter = next(seat for seat in plan["plan"]["seats"] if seat["item"] == "network-1")
    adapter["part_class"] = "host-bus-adapter"
    link = dict(adapter["links"][0], bus="sas", lanes=1, generation=3)
    for number in range(count):
        plan["plan"]["seats"].append(
            dict(adapter, item=f"disk-{number}", part_class="drive", owner="network-1", depth=1,
                 site=f"network-1/port{number}", links=[link])
        )  # fmt: skip
    return plan


def test_as_many_disks_as_planned() -> None:
    assert held(with_disks(4), plan_with_disks(4)).verdict.good


def test_a_disk_too_few() -> None:
    found = faults(held(with_disks(3), plan_with_disks(4)))
    assert found["fewer-drives"].text == "network-1: 3 of 4 drives answer"


def test_disks_that_no_source_lists_are_left_open() -> None:
    seen = replace(with_disks(4), sources=(("lspci text", "bus"),))
    (one,) = findings(held(seen, plan_with_disks(4)))
    assert (one.kind, one.weight) == ("not-known", "open")


def test_a_further_drive_of_the_same_kind_is_extra() -> None:
    bus = planned_bus() | {"03:00.0": endpoint("03:00.0", device=0x00D0)}
    assert set(faults(held(seen_on(bus)))) == {"extra"}


def test_a_second_network_card_is_extra_by_class_too() -> None:
    bus = planned_bus() | {"03:00.0": endpoint("03:00.0", kind=NETWORK, lanes=8)}
    assert set(faults(held(seen_on(bus), nameless()))) == {"extra"}
