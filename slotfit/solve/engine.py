"""
The only file that speaks to OR-Tools: integer variables, linear rows, one objective at a time.

It uses the solver's own protocol objects instead of the modelling layer over them, which would
load a table library for 0.2 s; docs/decisions/0002 has the figures.
"""

from __future__ import annotations

import threading
import time
from collections.abc import Iterable, Sequence
from dataclasses import dataclass, field
from enum import Enum
from functools import cache
from typing import TYPE_CHECKING, Any

if TYPE_CHECKING:
    from ortools.sat.python import cp_model_helper

FAR = 1 << 40
"""An open end of a row's range; far beyond any sum here."""

Term = tuple[int, int]
"""Variable number, weight."""


@cache
def helper() -> Any:
    """OR-Tools' protocol objects; loaded with the first model, since most answers need none."""
    from ortools.sat.python import cp_model_helper  # noqa: PLC0415 - OR-Tools

    return cp_model_helper


class Result(Enum):
    """What the solver says of one objective."""

    OPTIMAL = "optimal"
    FEASIBLE = "feasible"
    INFEASIBLE = "infeasible"
    UNKNOWN = "unknown"


@dataclass(frozen=True, slots=True)
class Solution:
    """One answer: the values by variable number, and the proven bound of the objective."""

    result: Result
    values: Sequence[int] = ()
    bound: int = 0
    interrupted: bool = False
    """Ctrl-C came before it was done."""
    core: tuple[int, ...] = ()
    """Infeasible under assumptions: some of them that clash; enough, not always the fewest."""


@dataclass
class Model:
    """A growing integer model."""

    proto: cp_model_helper.CpModelProto = field(default_factory=lambda: helper().CpModelProto())
    domains: list[tuple[int, int]] = field(default_factory=list)
    one_of: list[str | None] = field(default_factory=list)
    risen: list[tuple[int, list[Term], int]] = field(default_factory=list)
    """Helper variables in the order they were made, each with one sum it is no less than."""

    def variable(self, low: int = 0, high: int = 1, one_of: str | None = None) -> int:
        """A new variable; returns its number. Of those with one word `one_of` at most one is 1."""
        made = self.proto.variables.add()
        made.domain.extend([low, high])
        self.domains.append((low, high))
        self.one_of.append(one_of)
        return len(self.domains) - 1

    def row(
        self,
        terms: Iterable[Term],
        low: int = -FAR,
        high: int = FAR,
        only_if: int | None = None,
    ) -> None:
        """`low` <= sum of weights times variables <= `high`, perhaps only if a variable is 1."""
        made = self.proto.constraints.add()
        variables, weights = unzip(terms)
        made.linear.vars.extend(variables)
        made.linear.coeffs.extend(weights)
        made.linear.domain.extend([low, high])
        if only_if is not None:
            made.enforcement_literal.append(only_if)

    def rise(self, high: int, sums: Iterable[tuple[list[Term], int]]) -> int:
        """
        A new helper variable from 0 to `high`, no less than any of the sums (terms, plus a number).

        The solver may leave it higher than need be until it is made small; see `settled`.
        """
        made = self.variable(0, high)
        for terms, constant in sums:
            self.row([*terms, (made, -1)], high=-constant)
            self.risen.append((made, terms, constant))
        return made

    def settled(self, values: Sequence[int]) -> tuple[int, ...]:
        """The values with every helper as low as the others let it be, in the order of making."""
        low = list(values)
        for made in dict.fromkeys(made for made, _, _ in self.risen):
            low[made] = 0
        for made, terms, constant in self.risen:
            low[made] = max(low[made], constant + sum(low[v] * weight for v, weight in terms))
        return tuple(low)

    def minimise(self, terms: Iterable[Term]) -> None:
        """Replace the objective."""
        self.proto.clear_objective()
        variables, weights = unzip(terms)
        self.proto.objective.vars.extend(variables)
        self.proto.objective.coeffs.extend(weights)

    def assume(self, literals: Iterable[int]) -> None:
        """
        Replace the variables that are assumed to be 1; an infeasible answer names some of them.

        For models without an objective: with one the solver names them all.
        """
        self.proto.assumptions.clear()
        self.proto.assumptions.extend(literals)

    def range_of(self, terms: Iterable[Term]) -> tuple[int, int]:
        """The least and greatest value that the sum can have as far as the variables' ends say."""
        ends: dict[object, tuple[int, int]] = {}
        for variable, weight in terms:
            low, high = sorted(weight * end for end in self.domains[variable])
            choice = self.one_of[variable] or variable
            least, most = ends.get(choice, (0, 0)) if self.one_of[variable] else (low, high)
            ends[choice] = min(least, low), max(most, high)
        return sum(low for low, _ in ends.values()), sum(high for _, high in ends.values())


def unzip(terms: Iterable[Term]) -> tuple[list[int], list[int]]:
    """Variables and weights, each variable once."""
    summed: dict[int, int] = {}
    for variable, weight in terms:
        summed[variable] = summed.get(variable, 0) + weight
    return list(summed), list(summed.values())


class Manner(Enum):
    """How to go about it; what suits which question was measured, decision 0011 has figures."""

    BEST = "best"
    """One objective after another, on builds of 4 to 18 slots: probe first, no presolve."""
    YES_OR_NO = "yes or no"
    """Do these hold together, again and again: probing takes longer than the answer."""
    LISTING = "listing"
    """One answer after another until there are no more: presolve pays."""


def parameters(seconds: float, manner: Manner = Manner.BEST) -> cp_model_helper.SatParameters:
    """Measured best: one worker and full linearisation, whatever the question."""
    made: cp_model_helper.SatParameters = helper().SatParameters()
    made.num_workers = 1
    made.random_seed = 0
    made.linearization_level = 2
    made.cp_model_presolve = manner is Manner.LISTING
    if manner is Manner.YES_OR_NO:
        made.cp_model_probing_level = 0
    made.catch_sigint_signal = False
    made.max_time_in_seconds = seconds
    return made


STATUS = {
    "OPTIMAL": Result.OPTIMAL,
    "FEASIBLE": Result.FEASIBLE,
    "INFEASIBLE": Result.INFEASIBLE,
    "UNKNOWN": Result.UNKNOWN,
}


def solve(model: Model, seconds: float, manner: Manner = Manner.BEST) -> Solution:
    """
    Minimise, or find any answer if there is no objective, for at most so long.

    Ctrl-C stops the search and keeps its best answer. The solver runs in a thread of its own,
    because a signal only reaches Python's main thread between two of its own instructions.
    """
    wrapper = helper().SolveWrapper()
    wrapper.set_parameters(parameters(seconds, manner))
    box: list[cp_model_helper.CpSolverResponse] = []
    # A thread's own `join`, interrupted, may take the thread for finished (CPython bpo-45274).
    done = threading.Event()
    threading.Thread(target=work, args=(wrapper, model, box, done), daemon=True).start()
    interrupted = False
    try:
        while not done.wait(0.2):
            pass
    except KeyboardInterrupt:
        interrupted = True
        wrapper.stop_search()
        done.wait()
    return read(box[0], interrupted)


def work(
    wrapper: cp_model_helper.SolveWrapper,
    model: Model,
    box: list[cp_model_helper.CpSolverResponse],
    done: threading.Event,
) -> None:
    """Solve, and say when it is done, whatever happens."""
    try:
        box.append(run(wrapper, model))
    finally:
        done.set()


def run(wrapper: cp_model_helper.SolveWrapper, model: Model) -> cp_model_helper.CpSolverResponse:
    """The solver's own call, which carries no types."""
    response: cp_model_helper.CpSolverResponse = wrapper.solve(model.proto)  # type: ignore[no-untyped-call]
    return response


def read(response: cp_model_helper.CpSolverResponse, interrupted: bool = False) -> Solution:
    """The solver's response in our words."""
    name = response.status.name
    if name not in STATUS:
        raise ValueError(f"the solver rejects its model: {name}")
    result = STATUS[name]
    if result in (Result.INFEASIBLE, Result.UNKNOWN):
        core = tuple(response.sufficient_assumptions_for_infeasibility)
        return Solution(result, interrupted=interrupted, core=core)
    bound = round(response.best_objective_bound)
    return Solution(result, tuple(response.solution), bound, interrupted)


@dataclass
class Stop:
    """Set when the user has had enough: no further task is begun, and what is done counts."""

    asked: bool = False


@dataclass
class Clock:
    """Runs out after `seconds`, or at Ctrl-C."""

    seconds: float
    began: float = field(default_factory=time.monotonic)
    stopped: bool = False
    """Ctrl-C came."""

    @property
    def left(self) -> float:
        """Seconds left; 0 if there are none."""
        if self.stopped:
            return 0.0
        return max(0.0, self.seconds - (time.monotonic() - self.began))

    @property
    def spent(self) -> float:
        """Seconds since it began."""
        return time.monotonic() - self.began

    def solve(self, model: Model, manner: Manner = Manner.YES_OR_NO) -> Solution:
        """Solve within the time left; "unknown" if there is none."""
        if not self.left:
            return Solution(Result.UNKNOWN)
        found = solve(model, self.left, manner)
        self.stopped = self.stopped or found.interrupted
        return found
