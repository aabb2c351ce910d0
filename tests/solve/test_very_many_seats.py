"""Where there would be too many seats, parts alike are seated in order: the same plan comes out."""

from __future__ import annotations

from dataclasses import replace
from functools import cache
from itertools import product
from random import Random

import pytest

from slotfit import api
from slotfit.answers.no_plan.explain import Findings
from slotfit.answers.place.left_out import place_most
from slotfit.answers.place.plan import best_plan, state_all
from slotfit.answers.why.why import why
from slotfit.engine.seats import MANY_SEATS, seat_all
from slotfit.files import catalog_root
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Part, Problem
from slotfit.rulebook import SEAT_RULES
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

SHELF = Catalog((catalog_root(),))

BUILD = """
kind: build
id: many
machines: [{id: box, board: workstation}]
parts:
  - {id: nic, part: nic-10g-2p, count: 2}
  - {id: carrier, part: carrier-m2x4-gen4, count: 2}
  - {id: drive, part: nvme-2280-gen4, count: 6}
"""

CROWDED = BUILD.replace("count: 6", "count: 40")


def build(text: str = BUILD) -> Problem:
    return load_build_text(text, SHELF)


def twinned(problem: Problem) -> Problem:
    """The build with one more of each plain part: alike, and one of them often left out."""

    def twin(part: Part) -> Part:
        wish = part.wish.model_copy(update={"id": f"{part.id}-too", "required": False})
        return replace(part, id=f"{part.id}-too", wish=wish)

    plain = [
        replace(i, wish=i.wish.model_copy(update={"required": False}))
        for i in problem.parts
        if not i.spec.receptacles and i.companion_of is None and i.id not in problem.today
    ]
    left = {part.id for part in plain}
    others = [part for part in problem.parts if part.id not in left]
    return replace(problem, parts=(*others, *plain, *map(twin, plain)))


def told(answer: Placed) -> object:
    """The answer but for the numbers in its seats' keys, which count the seats there are."""
    plan = answer.plan
    where = plan and {
        (seat.part, seat.receptacle, seat.upstream, seat.links) for seat in plan.seats
    }
    return answer.status, where, plan and (plan.arrangements, plan.stages, set(plan.left_out))


@pytest.fixture
def few_are_many(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setattr("slotfit.answers.place.plan.MANY_SEATS", 0)


@pytest.mark.parametrize("numbers", [(0, 1), pytest.param((2, 3), marks=pytest.mark.long)])
def test_the_plan_is_the_same(numbers: tuple[int, ...], monkeypatch: pytest.MonkeyPatch) -> None:
    fewer = 0
    for theme, number in product(THEMES, numbers):
        problem = twinned(small_build(Random(f"many {theme} {number}"), theme))
        monkeypatch.setattr("slotfit.answers.place.plan.MANY_SEATS", MANY_SEATS)
        whole = best_plan(problem, SECONDS)
        monkeypatch.setattr("slotfit.answers.place.plan.MANY_SEATS", 0)
        in_order = best_plan(problem, SECONDS)
        assert told(in_order) == told(whole), (theme, number)
        fewer += len(in_order.seating.seats) < len(whole.seating.seats)
    assert fewer > 15


@pytest.mark.usefixtures("few_are_many")
def test_so_it_is_with_carriers_and_what_they_carry() -> None:
    whole = best_plan(build(), seating=seat_all(build(), SEAT_RULES), seconds=SECONDS)
    in_order = best_plan(build(), SECONDS)
    firsts = [kind.parts[0] for kind in in_order.seating.in_order]
    assert firsts == ["carrier-1", "drive-1", "nic-1"]
    assert told(in_order) == told(whole)
    assert len(in_order.seating.seats) < len(whole.seating.seats) * 0.7


@pytest.mark.usefixtures("few_are_many")
def test_the_first_of_parts_alike_has_every_seat() -> None:
    whole = seat_all(build(), SEAT_RULES)
    in_order, _ = state_all(build())
    for first in ("nic-1", "carrier-1", "drive-1"):
        receptacles = {seat.receptacle for seat in whole.by_part[first]}
        assert {seat.receptacle for seat in in_order.every(first)} == receptacles
    assert in_order.every("drive-6") == in_order.by_part["drive-1"]
    assert len(in_order.by_part["drive-6"]) < len(in_order.by_part["drive-1"])


def test_parts_that_carry_one_another_are_stacked_in_order() -> None:
    """Risers in risers: of five that may stack any way round, an earlier one carries a later."""
    riser = "{kind: part, id: riser, class: riser, plug: cem x16, generation: 4, links: "
    riser += "[{at: 0, lanes: 16, to: [slot]}], receptacles: [{id: slot, form: cem, width: 16}]}"
    problem = build(f"""
kind: build
id: stack
machines: [{{id: box, board: desktop-small}}]
parts:
  - {{id: riser, part: {riser}, count: 5}}
  - {{id: nic, part: nic-10g-2p}}
""")
    whole = best_plan(problem, seating=seat_all(problem, SEAT_RULES), seconds=SECONDS)
    few = seat_all(problem, SEAT_RULES, most=0)
    assert len(few.seats) < len(whole.seating.seats) / 5
    stacked = [seat for seat in few.seats if seat.part.startswith("riser")]
    assert all(
        [*seat.upstream.carriers] == sorted(seat.upstream.carriers)[::-1] for seat in stacked
    )
    assert all(seat.part > carrier for seat in stacked for carrier in seat.upstream.carriers)
    in_order = best_plan(problem, seating=few, seconds=SECONDS)
    assert in_order.plan
    assert whole.plan
    assert in_order.plan.stages == whole.plan.stages


@pytest.mark.usefixtures("few_are_many")
def test_what_does_not_fit_does_not_fit() -> None:
    assert best_plan(build(CROWDED), SECONDS).status is Status.IMPOSSIBLE


@pytest.mark.usefixtures("few_are_many")
def test_as_many_fit() -> None:
    """Two carriers of four and two sockets of the board take ten of forty drives."""
    most = place_most(build(CROWDED), SECONDS)
    assert most.placed.status is Status.PROVEN
    assert [one.item for one in most.missing] == [f"drive-{n}" for n in range(11, 41)]
    assert all(one.rule for one in most.missing)


@pytest.mark.usefixtures("few_are_many")
def test_what_refuses_the_first_refuses_those_alike() -> None:
    problem = build(BUILD.replace("count: 2", "count: 2, ban: [slot3]", 1))
    for name in ("nic-1", "nic-2"):
        told = why(problem, name, "slot3", SECONDS)
        assert [reason.rule for reason in told.more.reasons] == ["WISH002"]
        assert not why(problem, name, "slot4", SECONDS).more.reasons


@pytest.mark.usefixtures("few_are_many")
def test_why_is_answered_for_a_part_out_of_order() -> None:
    told = why(build(), "drive-6", "carrier-1/m2a", SECONDS)
    assert told.more.stages
    assert all(one.after.value.value == one.before.value.value for one in told.more.stages)


@cache
def explained() -> Findings:
    return api.explain(build(CROWDED), ways=1, seconds=SECONDS)


def test_clash_of_many_names_no_more_parts_than_it_needs() -> None:
    told = explained()
    (text,) = [s.says.text for s in told.clashes[0].sentences if s.says.rule == "WISH007"]
    assert text == "drive-1 to drive-11 must be placed"
    assert told.clashes[0].minimal


def test_so_many_are_left_out_as_must_be() -> None:
    told = explained()
    (step,) = told.found.ways[0].steps
    assert step.text == "leave out 30 of drive-1 to drive-40"
