"""A problem with everything that was possible in it, and the answer."""

from typing import NamedTuple

from slotfit.model.clause import Clause
from slotfit.model.plan import Answer
from slotfit.model.problem import Problem
from slotfit.model.seat import Seating


class Placed(NamedTuple):
    """A problem, everything that was possible in it, and the answer."""

    problem: Problem
    seating: Seating
    clauses: tuple[Clause, ...]
    answer: Answer
