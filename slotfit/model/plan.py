"""What the solver answers."""

from dataclasses import dataclass, field
from enum import Enum

from slotfit.model.clause import Clause
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt, No
from slotfit.model.seat import Seat, Seating


class Status(Enum):
    """How far the answer is proven."""

    PROVEN = "proven"
    """A plan, and no better one exists."""
    UNPROVEN = "unproven"
    """A plan, but time ran out before every stage was proven."""
    IMPOSSIBLE = "impossible"
    """No plan exists."""
    UNKNOWN = "unknown"
    """Time ran out before a plan was found or ruled out."""


@dataclass(frozen=True, slots=True)
class StageValue:
    """One preference: what the plan costs there, and the proven bound."""

    stage: str
    value: int
    bound: int
    """No plan as good in the earlier stages comes below this."""
    unit: str

    @property
    def proven(self) -> bool:
        """No plan that is as good in the earlier stages does better here."""
        return self.value == self.bound


@dataclass(frozen=True, slots=True)
class Plan:
    """The chosen seats and arrangements, with what follows from them."""

    seats: tuple[Seat, ...] = ()
    arrangements: dict[GroupKey, str] = field(default_factory=dict)
    """Lane group -> arrangement id."""
    left_out: tuple[str, ...] = ()
    """Part ids without a seat."""
    stages: tuple[StageValue, ...] = ()
    facts: tuple[Doubt, ...] = ()
    """What it rests on."""


@dataclass(frozen=True, slots=True)
class Shortage:
    """More is needed than there is, wherever the parts go."""

    parts: tuple[str, ...]
    """Those that need it, in the order of the problem."""
    needed: int
    """In `unit`, by all of them, at the least."""
    there: int
    """In `unit`."""
    unit: str
    """As limits have it; empty for receptacles."""
    reasons: tuple[No, ...] = ()
    """The limits that are too low together; none of receptacles."""
    receptacles: tuple[str, ...] = ()
    """All that the parts could go into, where these are too few."""


@dataclass(frozen=True, slots=True)
class Placed:
    """A problem, everything that was possible in it, and the plan."""

    problem: Problem
    seating: Seating
    clauses: tuple[Clause, ...]
    status: Status
    plan: Plan | None = None
    seconds: float = 0.0
    shortages: tuple[Shortage, ...] = ()
    """Why there is no plan, where counting alone shows it."""
