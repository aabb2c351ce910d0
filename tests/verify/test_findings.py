"""Each difference between plan and machine is named, with what the machine points to first."""

from __future__ import annotations

from dataclasses import replace
from typing import Any

import pytest

from slotfit.answers.verify.causes import (
    CAUSES,
    LIMIT_SET,
    NEIGHBOUR,
    SEATING,
    SPLIT,
    Cause,
    CauseEvidence,
    causes_of,
)
from slotfit.read.machine import Claim, Fact, ReceptacleSeen
from tests.read.machines import endpoint
from tests.read.scenes import NETWORK
from tests.verify.scenes import (
    Bus,
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


def first_cause(bus: Bus, kind: str) -> str:
    return faults(held(seen_on(bus)))[kind].causes[0].text


def test_all_as_planned() -> None:
    answer = held(seen_on(planned_bus()))
    assert (answer.verdict.good, findings(answer)) == (True, ())


def test_a_missing_card() -> None:
    answer = held(seen_on(without(planned_bus(), "02:00.0")))
    assert answer.verdict.good is False
    assert {kind: one.items for kind, one in faults(answer).items()} == {"missing": ("network-1",)}


def test_a_card_in_the_wrong_slot() -> None:
    found = faults(held(seen_on(moved(planned_bus(), "02:00.0", "03:00.0"))))
    assert set(found) == {"elsewhere"}
    assert found["elsewhere"].text == (
        "network-1 answers in SLOT3 X8 (0000:03:00.0), not in SLOT2 X8"
    )


def test_two_cards_that_changed_places_are_both_named() -> None:
    bus = planned_bus()
    network, accelerator = bus["02:00.0"], bus["01:00.0"]
    swapped = changed(bus, "01:00.0", device=network.device, class_code=network.class_code)
    swapped = changed(swapped, "02:00.0", device=accelerator.device,
                      class_code=accelerator.class_code)  # fmt: skip
    (found,) = findings(held(seen_on(swapped)))
    assert found.kind == "changed-places"
    assert set(found.items) == {"network-1", "accelerator-1"}


def test_another_card_in_its_place() -> None:
    found = faults(held(seen_on(changed(planned_bus(), "02:00.0", device=0x0BAD))))
    assert found["another-part"].items == ("network-1",)
    assert "SLOT2 X8 holds network [1111:0bad]" in found["another-part"].text
    assert set(found) == {"another-part"}  # one wrong part is one fault


def test_a_slot_that_is_not_split_shows_one_drive_and_says_so() -> None:
    found = faults(held(seen_on(not_split())))["fewer-drives"]
    assert "1 of 4 drives" in found.text
    assert found.causes[0].text == SPLIT.text
    assert "x4x4x4x4" in found.causes[0].next


def test_a_drive_missing_in_a_slot_that_is_split_is_not_blamed_on_the_split() -> None:
    found = faults(held(seen_on(without(planned_bus(), "43:00.0"))))["fewer-drives"]
    assert "3 of 4 drives" in found.text
    assert SPLIT.text not in [cause.text for cause in found.causes]


def test_drives_in_each_others_sockets_are_told_where_they_differ() -> None:
    """Port numbers follow the slot's lanes (common practice): 41h is the first socket's."""
    plan = with_drives(document(), 0xD0, 0xD1, 0xD2, 0xD3)
    bus = planned_bus()
    for at, device in ((0x41, 0xD0), (0x42, 0xD2), (0x43, 0xD1), (0x44, 0xD3)):
        bus = changed(bus, f"{at:02x}:00.0", device=device)
    answer = held(seen_on(bus), plan)
    (finding,) = findings(answer)
    assert (finding.kind, finding.items) == ("other-order", ("drive-2", "drive-3"))
    assert answer.verdict.good is False
    assert "drive-3 at 0000:42:00.0 (planned in socket3)" in finding.text


def test_drives_in_the_opposite_order_cannot_be_told() -> None:
    """A board may count a slot's lanes from the other end (common practice, no source)."""
    plan = with_drives(document(), 0xD0, 0xD1, 0xD2, 0xD3)
    bus = planned_bus()
    for at, device in ((0x41, 0xD3), (0x42, 0xD2), (0x43, 0xD1), (0x44, 0xD0)):
        bus = changed(bus, f"{at:02x}:00.0", device=device)
    answer = held(seen_on(bus), plan)
    assert [(one.kind, one.weight) for one in findings(answer)] == [("other-order", "open")]
    assert answer.verdict.word == "yes, if"


def with_drives(plan: dict[str, Any], *devices: int) -> dict[str, Any]:
    """The plan with drives of these device numbers in the carrier's sockets."""
    for number, device in enumerate(devices, 1):
        seat = next(one for one in plan["plan"]["seats"] if one["item"] == f"drive-{number}")
        seat["recognise"] = [f"1111:{device:04x}"]
    return plan


def test_a_missing_drive_behind_a_switch_that_answers_is_not_the_neighbours_doing() -> None:
    causes = causes_of("fewer-drives", CauseEvidence(holder_answers=True))
    assert NEIGHBOUR.text not in [cause.text for cause in causes]
    assert causes[0].text == SEATING.text


def test_a_narrow_link_of_two_able_ends_is_seating() -> None:
    bus = changed(changed(planned_bus(), "02:00.0", lanes_now=4), "00:02.0", lanes_now=4)
    assert first_cause(bus, "narrower") == SEATING.text


def test_a_narrow_port_is_a_neighbours_doing() -> None:
    bus = changed(planned_bus(), "00:02.0", lanes_max=4, lanes_now=4)
    bus = changed(bus, "02:00.0", lanes_now=4)
    assert first_cause(bus, "narrower") == NEIGHBOUR.text


def over_a_riser(plan: dict[str, Any], part: str, generation: int) -> dict[str, Any]:
    """The plan with a riser of a generation between a part and its slot."""
    (seat,) = (one for one in plan["plan"]["seats"] if one["item"] == part)
    for link in seat["links"]:
        link["trains"]["generation"] = generation
    through = [dict(link, to=["slot"]) for link in seat["links"]]
    riser = dict(seat, item="riser-1", part_class="riser", recognise=[], links=through)
    seat |= {"site": "riser-1/slot", "owner": "riser-1", "depth": 1}
    plan["plan"]["seats"].append(riser)
    return plan


def not_split() -> Bus:
    """The first drive of four answers, on a port that still has all of the slot's lanes."""
    bus = without(planned_bus(), *(f"40:01.{n}" for n in (1, 2, 3)),
                  *(f"{0x41 + n:02x}:00.0" for n in (1, 2, 3)))  # fmt: skip
    return changed(bus, "40:01.0", lanes_max=16)


def both_ends(port: dict[str, int], card: dict[str, int]) -> Bus:
    """The network card and its port changed."""
    return changed(changed(planned_bus(), "00:02.0", **port), "02:00.0", **card)


# A port's own register says how wide and how fast it is (PCI Express Base 7.5.3.6, Link
# Capabilities): no riser below it changes that, while a long one costs generations 4 and up first.
@pytest.mark.parametrize(
    ("kind", "part", "generation", "bus", "cause"),
    [
        ("fewer-drives", "carrier-1", 4, not_split(), SPLIT),
        (
            "narrower", "network-1", 4,
            both_ends({"lanes_max": 4, "lanes_now": 4}, {"lanes_now": 4}), NEIGHBOUR,
        ),
        (
            "slower", "network-1", 3,
            both_ends({"speed_max": 2, "speed_now": 2}, {"speed_now": 2}), LIMIT_SET,
        ),
    ],
)  # fmt: skip
def test_what_a_port_says_of_itself_is_looked_at_before_the_riser(
    kind: str, part: str, generation: int, bus: Bus, cause: Cause
) -> None:
    found = faults(held(seen_on(bus), over_a_riser(document(), part, generation)))[kind]
    said = [one.text for one in found.causes]
    assert said[0] == cause.text
    assert any("riser or cable is too long" in one for one in said[1:])


def test_a_slow_link() -> None:
    bus = changed(planned_bus(), "02:00.0", speed_now=3)
    assert "gen 3 x8, planned gen 4 x8" in faults(held(seen_on(bus)))["slower"].text


def test_a_port_that_is_limited_is_named_first() -> None:
    bus = changed(planned_bus(), "00:02.0", speed_max=3, speed_now=3)
    assert first_cause(changed(bus, "02:00.0", speed_now=3), "slower") == LIMIT_SET.text


def test_a_link_at_rest_is_no_fault() -> None:
    answer = held(seen_on(changed(planned_bus(), "01:00.0", speed_now=1)))
    (note,) = findings(answer)
    assert (answer.verdict.good, note.kind, note.weight) == (True, "resting", "note")
    assert "read once more while it works" in note.causes[0].next


def test_the_lowest_rate_is_a_fault_where_the_port_can_do_no_more() -> None:
    bus = changed(planned_bus(), "00:02.0", speed_max=1, speed_now=1, vector=2)
    found = faults(held(seen_on(changed(bus, "02:00.0", speed_now=1))))
    assert set(found) == {"slower"}


def test_something_nobody_planned() -> None:
    bus = planned_bus() | {"03:00.0": endpoint("03:00.0", kind=NETWORK, device=0x0EEE)}
    found = faults(held(seen_on(bus)))
    assert set(found) == {"extra"}
    assert "[1111:0eee] at 0000:03:00.0 answers in SLOT3 X8" in found["extra"].text


def test_links_that_do_not_show_leave_it_open() -> None:
    hidden = {f"a_{bus}_00_0": {"link": None} for bus in ("01", "02", "41", "42", "43", "44")}
    answer = held(seen_on(planned_bus(), **hidden))
    (one,) = findings(answer)
    assert (answer.verdict.good, one.kind, one.weight, len(one.items)) == (
        False,
        "not-known",
        "open",
        6,
    )


def guests(**of: str) -> dict[str, Any]:
    plan = document()
    for seat in plan["plan"]["seats"]:
        seat["guest"] = of.get(seat["item"].replace("-", "_"))
    return plan


def test_two_guests_in_one_isolation_group() -> None:
    seen = seen_on(planned_bus(), a_01_00_0={"iommu_group": 9}, a_02_00_0={"iommu_group": 9})
    found = findings(held(seen, guests(accelerator_1="one", network_1="two")))
    assert [one.kind for one in found] == ["shared-isolation"]  # one group, one fault
    assert "with network-1" in found[0].text
    assert found[0].items == ("accelerator-1", "network-1")
    assert held(seen, guests(accelerator_1="one", network_1="one")).verdict.good


def test_a_guest_without_a_known_group_is_left_open() -> None:
    (one,) = findings(held(seen_on(planned_bus()), guests(network_1="two")))
    assert (one.kind, one.weight) == ("not-known", "open")


def test_another_processor_than_planned() -> None:
    plan = document()
    plan["plan"]["machines"][0]["processors"] = [["cpu0", "CPU 1", True], ["cpu1", "CPU 2", True]]
    for seat in plan["plan"]["seats"]:
        if seat["item"] == "network-1":
            seat["processor"] = "cpu1"
        else:
            seat["processor"] = None
    seen = seen_on(planned_bus())
    assert held(seen, plan).verdict.good  # nothing that was read says which one it is
    told = tuple(on_processor(one, 0) for one in seen.receptacles)
    found = faults(held(replace(seen, receptacles=told), plan))
    assert set(found) == {"other-processor"}
    assert "is attached to cpu0" in found["other-processor"].text


def on_processor(one: ReceptacleSeen, index: int) -> ReceptacleSeen:
    return replace(one, processor=Fact((Claim(index, "node 0 of the port", one.ports[0].where),)))


@pytest.mark.parametrize("kind", sorted(CAUSES))
def test_every_kind_has_a_cause_and_something_to_try(kind: str) -> None:
    found = causes_of(kind, CauseEvidence(setting="Slot 7: x4x4x4x4", split=True, passive=True))
    assert found
    assert all(cause.text and cause.next and "{" not in cause.next for cause in found)


def test_another_machines_listing_is_told_first_and_alone() -> None:
    bus: Bus = {"00:00.0": planned_bus()["00:00.0"]}
    answer = held(seen_on(bus | {"00:1f.0": endpoint("00:1f.0", kind=NETWORK, vendor=0x7777)}))
    assert [one.kind for one in findings(answer)] == ["another-machine"]
    assert "this is another machine" in answer.verdict.headline
