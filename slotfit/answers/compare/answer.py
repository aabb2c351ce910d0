"""The answer to `slotfit compare`, as plain values: worked out, shown and printed as JSON."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.answer_word import AnswerWord
from slotfit.answers.place.additions import FuturesTaken
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.causes import Contribution, FreeGroup
from slotfit.answers.place.left_out import MissingPart
from slotfit.model.plan import StageValue

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""

UNTRIED = "stopped before it was tried"
"""What is said of a board that Ctrl-C came before, in place of a mistake."""


@dataclass(frozen=True, slots=True)
class BoardPlan:
    """The best plan on one board."""

    proven: bool
    """No better plan exists there, and no more of the required parts fit."""
    placed: int
    """Parts with a seat, further plugs of a part not counted."""
    stages: tuple[StageValue, ...]
    """What boards are compared by, in the order of the preferences."""
    missing: tuple[MissingPart, ...]
    """Required parts that have no place."""
    contributions: tuple[Contribution, ...]
    free: tuple[FreeGroup, ...]
    lanes_left: int
    power_left_w: float | None
    """Of all supplies together; None if one of them is not described."""
    draw_unknown: tuple[str, ...]
    """Parts whose draw nobody has said, and machines without a base load: what is left is less."""
    futures: FuturesTaken | None
    """None where none were asked about."""
    answer: PlaceAnswer
    """As `place` has it."""


@dataclass(frozen=True, slots=True)
class BoardTried:
    """What one board does with the parts."""

    name: str
    board: str
    invented: bool = False
    fitted: int = 0
    """Processors."""
    sockets: int = 0
    price: float | None = None
    notes: tuple[str, ...] = ()
    """What of the wishes could not be carried over."""
    seconds: float = 0.0
    impossible: bool = False
    """Not everything required fits, though time ran out before what does was known."""
    mistake: str = ""
    """Why it could not be tried; empty if it was."""
    plan: BoardPlan | None = None


@dataclass(frozen=True, slots=True)
class Difference:
    """In what a board differs from another, the first such preference and the later ones."""

    against: str
    stage: str
    """A preference, or `required-parts`."""
    value: int
    against_value: int
    only: bool
    """They differ in no other; nobody can say so where one lacks required parts."""
    worse_too: tuple[str, ...]
    """Later preferences in which it is worse."""
    better: tuple[str, ...]
    """Later preferences in which it is better."""
    proven: bool
    """Both plans are proven best; else time may have decided."""

    @property
    def loses(self) -> bool:
        """Whether it is the worse of the two."""
        return self.value > self.against_value


@dataclass(frozen=True, slots=True)
class RankedBoard:
    """One board's place among the others."""

    rank: int
    """1 is best; boards that tie share one; 0 if it has no answer."""
    verdict: str
    """A sentence without its full stop."""
    brief: str
    """The same where there are many boards: without reasons."""
    deciding: Difference | None
    """Against the best board; for the best one against the next that is worse."""
    dominated_by: str | None
    """A board that is as good in every preference and better in one."""
    tried: BoardTried


@dataclass(frozen=True, slots=True)
class CompareVerdict:
    """Whether some board does."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """fits: some board takes everything. none-fits. out-of-time. stopped. unreadable."""
    headline: str
    """Which board to take and what decides, without its full stop; empty if there is no board."""


@dataclass(frozen=True, slots=True)
class ComparePlan:
    """Every board with its plan."""

    parts: tuple[tuple[str, str], ...]
    """Every part's id and what it is, in the build's order."""
    count: int
    """Parts, further plugs of a part not counted."""
    boards: tuple[RankedBoard, ...]
    """Best first."""


@dataclass(frozen=True, slots=True)
class CompareDo:
    """What to go on with, by the names of the boards."""

    take: tuple[str, ...]
    """The best of those that take everything; several tie."""
    correct: tuple[str, ...]
    """Those that could not be tried for a mistake in them."""
    try_again: tuple[str, ...]
    """Those that Ctrl-C came before."""


@dataclass(frozen=True, slots=True)
class CompareWatch:
    """What to watch."""

    not_asked: tuple[str, ...]
    """Wishes that were dropped on every board."""
    notes: tuple[str, ...]
    """What holds for all boards, and what nobody has looked at."""


@dataclass(frozen=True, slots=True)
class CompareMore:
    """What stands behind the ranking."""

    stages: tuple[str, ...]
    """The preferences, in the order in which they count."""


@dataclass(frozen=True, slots=True)
class CompareAnswer:
    """The same parts placed on several boards."""

    schema_version: int
    build: str
    title: str
    machine: str
    """Whose board was exchanged."""
    verdict: CompareVerdict
    plan: ComparePlan
    do: CompareDo
    watch: CompareWatch
    more: CompareMore
