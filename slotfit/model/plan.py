"""What the solver answers."""

from typing import NamedTuple

from slotfit.model.seat import Fact, Seat
from slotfit.model.status import Status


class StageValue(NamedTuple):
    """One preference: what the plan costs there, and the proven bound."""

    stage: str
    value: int
    bound: int
    unit: str

    @property
    def proven(self) -> bool:
        """No plan that is as good in the earlier stages does better here."""
        return self.value == self.bound


class Plan(NamedTuple):
    """The chosen seats and arrangements, with what follows from them."""

    seats: tuple[Seat, ...]
    arrangements: dict[str, str]
    """Lane group (`machine/group`) -> arrangement id."""
    left_out: tuple[str, ...]
    """Item ids without a seat."""
    stages: tuple[StageValue, ...]
    facts: tuple[Fact, ...]
    """What it rests on."""


class Answer(NamedTuple):
    """A plan, or the word that there is none."""

    status: Status
    plan: Plan | None
    seconds: float
