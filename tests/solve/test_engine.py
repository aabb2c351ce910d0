"""The thin layer over the solver: helpers settle, ranges are no wider than need be, steps pack."""

from __future__ import annotations

from itertools import product

from hypothesis import given
from hypothesis import strategies as st

from slotfit.solve.engine import Model, Result, solve
from slotfit.solve.prefer import pack, worth


def test_a_helper_settles_at_the_greatest_of_its_sums() -> None:
    model = Model()
    a, b = model.variable(), model.variable()
    over = model.rise(9, [([(a, 3)], 0), ([(b, 5)], -1)])
    model.rise(18, [([(over, 2)], 0)])
    assert model.settled((1, 0, 9, 18)) == (1, 0, 3, 6)
    assert model.settled((1, 1, 9, 18)) == (1, 1, 4, 8)
    assert model.settled((0, 0, 9, 18)) == (0, 0, 0, 0)


def test_the_solver_keeps_a_helper_above_its_sums() -> None:
    model = Model()
    a, b = model.variable(), model.variable()
    over = model.rise(9, [([(a, 3)], 0), ([(b, 5)], -1)])
    model.row([(a, 1), (b, 1)], 1, 1)
    model.minimise([(over, 1)])
    found = solve(model, 60)
    assert (found.result, found.values, found.bound) == (Result.OPTIMAL, (1, 0, 3), 3)


def test_of_variables_that_exclude_each_other_one_counts() -> None:
    model = Model()
    seats = [model.variable(one_of="seat of nic") for _ in range(3)]
    other = model.variable()
    terms = [(seats[0], 4), (seats[1], -2), (seats[2], 7), (other, 10)]
    assert model.range_of(terms) == (-2, 17)
    assert model.range_of([]) == (0, 0)


def test_an_impossible_model_is_not_out_of_time() -> None:
    model = Model()
    model.row([(model.variable(), 1)], 2, 2)
    assert solve(model, 60).result is Result.INFEASIBLE


Sums = st.lists(st.lists(st.integers(-3, 5), min_size=4, max_size=4), min_size=1, max_size=4)


@given(Sums, st.integers(1, 200))
def test_a_packed_step_orders_plans_as_its_stages_do(weights: list[list[int]], most: int) -> None:
    model = Model()
    variables = [model.variable() for _ in range(4)]
    sums = [list(zip(variables, row, strict=True)) for row in weights]
    steps = pack(model, ((str(n), terms) for n, terms in enumerate(sums)), most)
    assert [name for step in steps for name in step.names] == [str(n) for n in range(len(sums))]
    assert all(step.size <= most or len(step.names) == 1 for step in steps)
    every = list(product((0, 1), repeat=4))
    in_stages = {values: tuple(worth(terms, values) for terms in sums) for values in every}
    in_steps = {
        values: tuple(worth(step.objective(), values) for step in steps) for values in every
    }
    assert sorted(every, key=in_stages.__getitem__) == sorted(every, key=in_steps.__getitem__)


@given(Sums)
def test_bounds_of_a_step_are_never_beyond_what_can_be_had(weights: list[list[int]]) -> None:
    """For each bound that an objective may have, every stage's is a true one."""
    model = Model()
    variables = [model.variable() for _ in range(4)]
    sums = [list(zip(variables, row, strict=True)) for row in weights]
    (step,) = pack(model, ((str(n), terms) for n, terms in enumerate(sums)), 1 << 40)
    every = list(product((0, 1), repeat=4))
    best = min(worth(step.objective(), values) for values in every)
    for values in every:
        for bound in range(best - 8, best + 1):
            found, kept = step.bounds(values, bound), every
            for number, terms in enumerate(step.terms):
                assert found[number] <= min(worth(terms, v) for v in kept)
                if found[number] < worth(terms, values):
                    break  # of later stages nothing is promised but their least value
                kept = [v for v in kept if worth(terms, v) == worth(terms, values)]
    optimal = min(every, key=lambda values: worth(step.objective(), values))
    assert step.bounds(optimal, best) == step.reached(optimal)
