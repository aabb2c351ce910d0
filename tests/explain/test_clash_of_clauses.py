"""Clashes and corrections of small systems, held against looking at every choice."""

from __future__ import annotations

from dataclasses import replace
from itertools import combinations

from hypothesis import given
from hypothesis import strategies as st

from slotfit.model.clause import AtMost, ExactlyOne
from slotfit.model.reason import stated
from slotfit.solve.clash import Core, Effect, Stated, corrections, holds_together, minimal_core
from slotfit.solve.engine import Clock, Manner, Model, Result, Solution
from tests.explain.clause_systems import can_hold, systems
from tests.limits import SECONDS


@given(systems())
def test_a_core_clashes_and_no_part_of_it_does(stated: Stated) -> None:
    core = minimal_core(stated, [], Clock(SECONDS))
    if can_hold(stated, stated.soft):
        assert core is None
        return
    assert core is not None
    assert core.minimal
    assert not can_hold(stated, core.names)
    for name in core.names:
        assert can_hold(stated, set(core.names) - {name})


@given(systems(), st.data())
def test_whatever_is_left_out_first_the_core_is_minimal(
    stated: Stated, data: st.DataObject
) -> None:
    names = data.draw(st.permutations(list(stated.soft)))
    core = minimal_core(stated, [names[:2], names[2:4], names[4:]], Clock(SECONDS))
    assert (core is None) == can_hold(stated, stated.soft)
    if core is not None:
        assert core.minimal
        assert not can_hold(stated, core.names)
        assert all(can_hold(stated, set(core.names) - {name}) for name in core.names)


@given(systems())
def test_the_fresh_check_agrees(stated: Stated) -> None:
    fresh = holds_together(stated, stated.soft, Clock(SECONDS))
    assert (fresh is not Result.INFEASIBLE) == can_hold(stated, stated.soft)


@given(systems(), st.data())
def test_corrections_are_all_sets_of_their_size_that_do(
    stated: Stated, data: st.DataObject
) -> None:
    names = list(stated.soft)
    some = st.frozensets(st.sampled_from(names), min_size=1, max_size=3)
    lifts = {f"change {n}": data.draw(some) for n in range(data.draw(st.integers(1, 5)))}
    table = replace(stated, atoms=(*stated.atoms, *lifts))
    for size in range(1, len(lifts) + 1):
        expected = {
            made
            for made in combinations(lifts, size)
            if can_hold(stated, set(names).difference(*(lifts[change] for change in made)))
        }
        effects = {change: Effect(lifted) for change, lifted in lifts.items()}
        found = corrections(table, effects, size, 1000, Clock(SECONDS))
        assert found.complete
        assert {tuple(sorted(one)) for one in found.sets} == {
            tuple(sorted(one)) for one in expected
        }
        assert len(found.sets) == len(expected)


class GivesOut(Clock):
    """A clock that stops after so many solves."""

    solves = 0

    def solve(self, model: Model, manner: Manner = Manner.YES_OR_NO) -> Solution:
        self.stopped = self.stopped or self.solves == 0
        self.solves -= 1
        return super().solve(model, manner)


@given(systems(), st.integers(0, 4))
def test_what_is_known_when_time_runs_out_is_true(stated: Stated, solves: int) -> None:
    clock = GivesOut(SECONDS)
    clock.solves = solves
    core = minimal_core(stated, [], clock)
    if core is None:
        assert solves == 0 or can_hold(stated, stated.soft)
        return
    assert not can_hold(stated, core.names)
    if core.minimal:
        assert all(can_hold(stated, set(core.names) - {name}) for name in core.names)


def test_a_core_cut_short_is_not_called_minimal() -> None:
    reason = stated("a reason")
    clashing = Stated(
        ("a",), (), {"on": (ExactlyOne(reason, ("a",)),), "off": (AtMost(reason, (("a", 1),), 0),)}
    )
    clock = GivesOut(SECONDS)
    clock.solves = 1
    core = minimal_core(clashing, [], clock)
    assert core == Core(("on", "off"), minimal=False)


def test_without_time_nothing_is_claimed() -> None:
    impossible = Stated((), (), {"r": (ExactlyOne(stated("a reason"), ()),)})
    assert minimal_core(impossible, [], Clock(SECONDS)) == Core(("r",), minimal=True)
    assert minimal_core(impossible, [], Clock(0)) is None
    listed = corrections(impossible, {}, 1, 10, Clock(0))
    assert listed.sets == ()
    assert not listed.complete
