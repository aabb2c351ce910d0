"""What could be added: each claim proven again by `place`, each "not one more" by the oracle."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import pytest

from slotfit.answers.headroom.answer import AdditionRoom
from slotfit.answers.headroom.headroom import Baseline, baseline_of, headroom_answer, room_for
from slotfit.answers.headroom.text import as_text
from slotfit.answers.headroom.usual import card, drive, standard_probes
from slotfit.answers.place.additions import (
    Probe,
    added,
    expected,
    keeping,
    together,
    with_added,
)
from slotfit.answers.place.left_out import without
from slotfit.answers.place.plan import best_plan, state_all
from slotfit.model.part import PartSpec, Power
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Problem
from slotfit.solve.engine import Stop
from tests.builds import THEMES, small_build
from tests.choose.invented import TWO_SLOTS, build, cards, catalog
from tests.limits import SECONDS, mostly_long
from tests.oracle import best

ROOMY = """
kind: board
id: roomy
invented: true
size: atx
processors: [{id: cpu0}]
hubs: [{id: hub, from: cpu0, generation: 3, lanes: 4}]
rows: [{id: rear, positions: 5}]
lane_groups:
  - id: pe1
    from: cpu0
    generation: 4
    arrangements:
      - {gives: {slot1: [16]}, setting: "Slot 1: x16"}
      - {gives: {slot1: [4, 4, 4, 4]}, setting: "Slot 1: x4x4x4x4", proof: documented}
receptacles:
  - {id: slot1, form: cem, width: 16, open_end: false, row: rear, position: 0, power_w: 75}
  - {id: slot2, form: cem, width: 8, open_end: false, row: rear, position: 1, power_w: 75,
     from: cpu0, generation: 4, lanes: 8, splits: []}
  - {id: slot3, form: cem, width: 16, open_end: false, row: rear, position: 2, power_w: 75,
     from: hub, generation: 3, lanes: 16, splits: []}
  - {id: m2_1, form: m2-m, from: hub, generation: 3, lanes: 4, splits: [], drive_lengths: [80]}
"""

X8 = Probe("x8", ((card(8, Power(slot_w=20)), 1),), {"min_lanes": 8}, own_lanes=True)
X16 = Probe("x16", ((card(16, Power(slot_w=20)), 1),), {"min_lanes": 16}, own_lanes=True)


def there(problem: Problem) -> Baseline:
    found = baseline_of(best_plan(problem, SECONDS), SECONDS)
    assert found
    return found


def room_in(baseline: Baseline, probe: Probe) -> AdditionRoom:
    return room_for(baseline, probe, SECONDS)[0]


def plan_with(baseline: Baseline, probe: Probe) -> Plan:
    _, placed = room_for(baseline, probe, SECONDS)
    assert placed
    assert placed.plan
    return placed.plan


def small_probes() -> list[Probe]:
    """Few of each, so that the oracle can look at every plan with one more."""
    return [
        Probe("x4", ((card(4, Power(slot_w=10)), 1),), {"min_lanes": 4}, most=1),
        Probe("x8", ((card(8, Power(slot_w=20)), 1),), {"min_lanes": 8}, most=1),
        Probe("m2", ((drive("m2-m", 80), 1),), most=1),
    ]


@pytest.mark.parametrize("number", mostly_long(range(2)))
@pytest.mark.parametrize("theme", THEMES)
def test_the_oracle_says_the_same_of_every_addition(theme: str, number: int) -> None:
    """It looks at every plan with the addition, and with the parts no worse than they are."""
    problem = replace(small_build(Random(f"headroom {theme} {number}"), theme), today={})
    problem = shortened(problem)
    placed = best_plan(problem, SECONDS)
    if placed.plan is None:
        return
    start = baseline_of(placed, SECONDS)
    assert start
    for probe in small_probes():
        room = room_in(start, probe)
        there_is = (
            best(replace(with_added(start.problem, probe, 1), preferences=())).cost is not None
        )
        assert room.counted
        assert (room.fits == 1) is there_is, probe.name
        assert bool(room.why_no_more) is not there_is


def test_the_builds_above_answer_both_ways() -> None:
    """Else the oracle would have agreed with nothing."""
    answers = set()
    for theme in THEMES:
        problem = replace(small_build(Random(f"headroom {theme} 0"), theme), today={})
        start = baseline_of(best_plan(shortened(problem), SECONDS), SECONDS)
        if start:
            answers |= {bool(room_in(start, probe).fits) for probe in small_probes()}
    assert answers == {True, False}


def shortened(problem: Problem) -> Problem:
    """Three parts at most, none without its further plugs: the oracle's work grows fast."""
    cut = {part.companion_of or part.id for part in problem.parts[3:]}
    return replace(
        without(problem, {i.id for i in problem.parts if i.id in cut or i.companion_of in cut}),
        together=(),
        apart=(),
    )


@pytest.mark.parametrize("probe", standard_probes([]), ids=lambda probe: probe.name)
def test_each_claim_is_proven_again_by_place(probe: Probe) -> None:
    """In the build as it was written, with every part pinned where the claim has it."""
    problem = build(cards("nic"), ROOMY)
    room, placed = room_for(there(problem), probe, SECONDS)
    if placed is None:
        return
    plan = placed.plan
    assert plan
    with_it = with_added(problem, probe, room.fits)
    pins = {seat.part: seat.receptacle for seat in plan.seats}
    parts = tuple(
        replace(i, wish=i.wish.model_copy(update={"pin": pins[i.id], "ban": ()}))
        for i in with_it.parts
    )
    again = best_plan(replace(with_it, parts=parts), SECONDS)
    assert again.status is Status.PROVEN
    assert again.plan
    before = best_plan(problem, SECONDS).plan
    assert before
    lanes = {seat.part: [link.lanes for link in seat.links] for seat in again.plan.seats}
    for seat in before.seats:
        assert lanes[seat.part] >= [link.lanes for link in seat.links]


def test_as_many_as_fit_are_counted_and_the_next_has_a_reason() -> None:
    room = room_in(there(build(cards("nic"), ROOMY)), X8)
    assert (room.fits, room.counted) == (2, True)
    held = "slot1 (new-x8-card-1) and slot2 (new-x8-card-2)"
    assert room.why_no_more == f"no suitable slot is free: {held} are taken or covered"


def test_what_would_have_to_move_is_told() -> None:
    """A card of eight lanes that sits in the only slot of sixteen; slot2 would do as well."""
    start = there(build(cards("nic", nic=", pin: slot1"), ROOMY))
    free = tuple(
        replace(part, wish=part.wish.model_copy(update={"pin": None, "ban": ("slot3",)}))
        for part in start.problem.parts
    )
    placed = replace(start.placed, problem=replace(start.problem, parts=free))
    room = room_in(Baseline(placed, start.plan), X16)
    assert room.moves == (("nic", "slot1", "slot2"),)
    assert room.fewest_moves


def test_what_would_have_to_be_set_anew_is_told() -> None:
    carrier = catalog().load("carrier-m2x4-gen4", PartSpec)
    probe = Probe(
        "four drives", ((carrier, 1), (drive("m2-m", 80), 4)), {"endpoints": 4}, 1, inside=True
    )
    start = there(build(cards("nic", nic=", only: [slot2]"), ROOMY))
    room = room_in(start, probe)
    assert room.fits == 1
    assert room.settings == ("Slot 1: x4x4x4x4 (now Slot 1: x16)",)


def test_a_full_carrier_has_its_drives_inside() -> None:
    """Not in a socket of the board that happens to be free."""
    carrier = catalog().load("carrier-m2x4-gen4", PartSpec)
    probe = standard_probes([carrier])[-1]
    plan = plan_with(there(build(cards("nic", nic=", only: [slot2]"), ROOMY)), probe)
    inside = sorted(seat.receptacle for seat in plan.seats if seat.part.startswith("new-m2"))
    assert inside == [f"new-carrier-m2x4-gen4-1/m2{letter}" for letter in "abcd"]


def test_a_share_of_a_link_that_is_lost_is_told() -> None:
    """The hub's gen 3 x4 carries 3.5 GB/s: a drive of 3.2 beside a card of 5 is too much."""
    start = there(build(cards("nic", nic=", pin: slot3"), ROOMY))
    room = room_in(start, Probe("m2", ((drive("m2-m", 80), 1),)))
    assert room.fits == 1
    assert len(room.worse) == 1
    assert room.worse[0].startswith("hub's shared link: ")
    assert room.worse[0].endswith("beyond what it is now")


def test_lanes_of_its_own_are_not_the_chipsets() -> None:
    start = there(build(cards("nic", nic=", only: [slot1]"), ROOMY))
    plan = plan_with(start, X8)
    assert {seat.receptacle for seat in plan.seats if seat.part != "nic"} == {"slot2"}
    assert room_in(start, X8).fits == 1


def test_no_part_gets_fewer_lanes_for_an_addition() -> None:
    start = there(build(cards("nic"), TWO_SLOTS))
    assert room_in(start, X8).fits == 0


def test_further_plugs_of_an_addition_come_with_it() -> None:
    expander = catalog().load("sas-expander-24-sas3", PartSpec)
    problem = with_added(build(cards("nic")), expected(expander, 2), 1)
    assert [part.id for part in problem.parts][1:] == [
        "new-sas-expander-24-sas3-1",
        "new-sas-expander-24-sas3-1:up",
    ]


def test_new_names_are_new() -> None:
    spec = card(8, Power(slot_w=20))
    problem = build(cards("new-x8-card-1"))
    both = together([expected(spec, 1), expected(spec, 2)])
    names = [wish.id for wish, _ in added(problem, both, 1)]
    assert names == ["new-x8-card-2", "new-x8-card-3", "new-x8-card-4"]


def test_what_is_left_out_stays_out() -> None:
    parts = cards("a", "b", "c").replace("id: c,", "id: c, required: false,", 1)
    placed = best_plan(build(parts), SECONDS)
    assert placed.plan
    base = keeping(placed.problem, placed.plan)
    assert len(base.parts) == 2
    assert all(part.wish.required for part in base.parts)


def test_without_a_plan_nothing_is_tried() -> None:
    problem = build(cards("a", "b", "c"))
    answer = headroom_answer(problem, ([X8], []), SECONDS, lambda *_: None, Stop())
    assert answer.verdict.status == "impossible"
    assert (answer.plan.rooms, answer.do.try_again) == ((), ())
    assert "There is no plan to add to." in as_text(answer)


def test_once_stopped_the_rest_is_said_not_to_be_tried() -> None:
    stop = Stop()

    def tell(name: str, number: int, count: int) -> None:  # noqa: ARG001 - as it is called
        if name == "x8":
            stop.asked = True

    answer = headroom_answer(build(cards("nic"), ROOMY), ([X8, X16], []), SECONDS, tell, stop)
    assert [room.name for room in answer.plan.rooms] == ["x8"]
    assert answer.do.try_again == ("x16",)
    assert "Not tried: stopped before\n  - x16" in as_text(answer)


def test_out_of_time_is_no_no() -> None:
    start = there(build(cards("nic"), ROOMY))
    with pytest.MonkeyPatch.context() as patch:
        patch.setattr(
            "slotfit.answers.headroom.headroom.best_plan",
            lambda problem, _: replace(
                start.placed,
                problem=problem,
                seating=state_all(problem)[0],
                status=Status.UNKNOWN,
                plan=None,
            ),
        )
        room = room_in(start, X8)
    assert (room.fits, room.counted, room.why_no_more) == (0, False, "")
