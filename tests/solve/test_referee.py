"""The referee finds whatever is wrong with a plan, and without its nod no plan is shown."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import replace
from itertools import product

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.engine.referee import faults
from slotfit.errors import InternalError
from slotfit.model.plan import Placed, Plan
from slotfit.model.seat import Seat
from slotfit.rulebook import SEAT_RULES
from slotfit.solve import place as placing
from tests.builds import THEMES
from tests.limits import SECONDS
from tests.solve.looked_at import placed


def plans() -> list[tuple[Placed, Plan]]:
    """Builds with a plan of at least two seats."""
    answers = [placed(theme, number) for theme, number in product(THEMES, range(5))]
    return [(a, a.plan) for a in answers if a.plan and len(a.plan.seats) > 1]


def wrong(answer: Placed, plan: Plan) -> list[str]:
    """What the referee says."""
    return list(faults(answer.problem, plan, answer.clauses, SEAT_RULES))


def swap(plan: Plan, old: Seat, *new: Seat) -> Plan:
    """The plan with other seats in place of one."""
    kept = [seat for seat in plan.seats if seat.key != old.key]
    return replace(plan, seats=(*kept, *new))


def removed(answer: Placed, plan: Plan) -> Iterator[Plan]:
    """A required part taken out."""
    for seat in plan.seats:
        if answer.problem.part[seat.part].wish.required:
            yield swap(plan, seat)


def doubled(answer: Placed, plan: Plan) -> Iterator[Plan]:
    """A part in two places at once."""
    for seat in plan.seats:
        for other in answer.seating.by_part[seat.part]:
            if other.receptacle != seat.receptacle:
                yield swap(plan, seat, seat, other)


def crowded(answer: Placed, plan: Plan) -> Iterator[Plan]:
    """Two parts in one receptacle."""
    for seat, other in product(plan.seats, plan.seats):
        for there in answer.seating.by_part[seat.part]:
            if there.receptacle == other.receptacle and other.part != seat.part:
                yield swap(plan, seat, there)


def redivided(answer: Placed, plan: Plan) -> Iterator[Plan]:
    """A lane group divided so that a seat loses what it was given."""
    for seat in plan.seats:
        upstream = seat.upstream
        if not seat.arrangements or upstream.group is None:
            continue
        machine = answer.problem.machine[upstream.machine]
        group = machine.group_of[answer.problem.receptacle[seat.receptacle].spec.id]
        for way in group.arrangements:
            if str(way.id) not in seat.arrangements:
                yield replace(plan, arrangements={**plan.arrangements, upstream.group: str(way.id)})


def undivided(_: Placed, plan: Plan) -> Iterator[Plan]:
    """A lane group that nobody divides."""
    for group in plan.arrangements:
        ways = {name: way for name, way in plan.arrangements.items() if name != group}
        yield replace(plan, arrangements=ways)


def refused(answer: Placed, plan: Plan) -> Iterator[Plan]:
    """A part in a seat that a rule refuses."""
    for seat in plan.seats:
        for refusal in answer.seating.refusals:
            if refusal.seat.part == seat.part:
                yield swap(plan, seat, refusal.seat)


def lit(_: Placed, plan: Plan) -> Iterator[Plan]:
    """A link that is said to train wider than it does."""
    for seat in plan.seats:
        for number, link in enumerate(seat.links):
            links = list(seat.links)
            links[number] = replace(link, lanes=link.lanes + 4)
            yield swap(plan, seat, replace(seat, links=tuple(links)))


def flattered(_: Placed, plan: Plan) -> Iterator[Plan]:
    """A stage that is said to be better, or worse, than it is."""
    for number, stage in enumerate(plan.stages):
        for error in (-1, 1):
            stages = list(plan.stages)
            stages[number] = replace(stage, value=stage.value + error, bound=stage.bound + error)
            yield replace(plan, stages=tuple(stages))


def overpromised(_: Placed, plan: Plan) -> Iterator[Plan]:
    """A bound beyond the plan's own value."""
    for number, stage in enumerate(plan.stages):
        stages = list(plan.stages)
        stages[number] = replace(stage, bound=stage.value + 1)
        yield replace(plan, stages=tuple(stages))


def certain(_: Placed, plan: Plan) -> Iterator[Plan]:
    """A fact that is no longer told."""
    for seat in plan.seats:
        if seat.facts:
            yield swap(plan, seat, replace(seat, facts=()))
    if plan.facts:
        yield replace(plan, facts=plan.facts[1:])


def forgotten(_: Placed, plan: Plan) -> Iterator[Plan]:
    """A part that is left out and not told of, or told of and not left out."""
    if plan.left_out:
        yield replace(plan, left_out=())
    yield replace(plan, left_out=(*plan.left_out, plan.seats[0].part))


def mistaken(answer: Placed, plan: Plan) -> Iterator[Plan]:
    """A seat that says it is offered what another arrangement, or carrier, would offer."""
    for seat in plan.seats:
        for other in answer.seating.by_part[seat.part]:
            if other.receptacle == seat.receptacle and other.upstream != seat.upstream:
                yield swap(plan, seat, replace(other, key=seat.key))


TAMPERINGS = (
    certain,
    forgotten,
    mistaken,
    removed,
    doubled,
    crowded,
    redivided,
    undivided,
    refused,
    lit,
    flattered,
    overpromised,
)


def test_the_solvers_plans_stand() -> None:
    assert len(plans()) > 30
    for answer, plan in plans():
        assert wrong(answer, plan) == []


@pytest.mark.parametrize("tamper", TAMPERINGS, ids=[each.__name__ for each in TAMPERINGS])
def test_a_tampered_plan_does_not(tamper: object) -> None:
    assert callable(tamper)
    tried = 0
    for answer, plan in plans():
        for bad in tamper(answer, plan):
            tried += 1
            assert wrong(answer, bad)
    assert tried > 10


def test_the_fault_is_named() -> None:
    """Rule and reason, or the stage and both its values."""
    answer, plan = next(each for each in plans() if next(removed(*each), None))
    (fault, *_) = wrong(answer, next(removed(answer, plan)))
    assert fault.startswith("WISH007: ")
    assert fault.endswith("has to be placed")
    stage = plan.stages[0]
    (fault,) = wrong(answer, next(overpromised(answer, plan)))
    assert fault == f"{stage.stage} is {stage.value}, below its bound {stage.value + 1}"
    values = [*wrong(answer, next(flattered(answer, plan)))]
    assert values == [f"{stage.stage} is {stage.value}, not {stage.value - 1}"]


def test_a_disagreement_is_an_internal_error(monkeypatch: pytest.MonkeyPatch) -> None:
    answer, plan = next(each for each in plans() if next(removed(*each), None))
    bad = replace(answer, plan=next(removed(answer, plan)))
    monkeypatch.setattr(placing, "place", lambda *_, **__: bad)
    with pytest.raises(InternalError, match="solver and referee disagree: WISH007"):
        best_plan(answer.problem, SECONDS)
