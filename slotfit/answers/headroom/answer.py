"""The answer to `slotfit headroom`, as plain values: what is worked out, shown and printed."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.answer_word import AnswerWord
from slotfit.answers.place.additions import FuturesTaken

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class NewSeat:
    """One added part where it would go."""

    addition: str
    """The name it is given."""
    part: str
    site: str
    label: str
    """The name printed beside the receptacle."""
    link: str
    """`gen 4 x8`, `power only`."""
    hangs_on: str
    """`cpu1 via chipset`; empty if it takes no lanes."""
    inside: bool
    """It sits in another added part."""


@dataclass(frozen=True, slots=True)
class AdditionRoom:
    """What became of one addition."""

    name: str
    asked: int
    """So many were tried at most."""
    fits: int
    """How many of it fit at once."""
    counted: bool
    """One more was proven not to fit, or was not asked for; False: time ran out."""
    why_no_more: str
    """What stands in the way of one more; empty if all that were asked for fit."""
    drives: int = 0
    """NVMe drives among what fits."""
    seats: tuple[NewSeat, ...] = ()
    moves: tuple[tuple[str, str, str], ...] = ()
    """Parts that have to go elsewhere for it: part, from, to."""
    fewest_moves: bool = True
    """No way to add them moves fewer parts."""
    settings: tuple[str, ...] = ()
    """What has to be set otherwise than the plan has it."""
    worse: tuple[str, ...] = ()
    """What the parts that are there lose: shares of a link, the processor they should be near."""
    facts: tuple[str, ...] = ()
    """Unproven facts it rests on beyond those of the plan."""


@dataclass(frozen=True, slots=True)
class HeadroomVerdict:
    """The plan that things are added to."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """Of the plan: proven, unproven, impossible or unknown; with the last two nothing is tried."""
    headline: str
    """The same in a sentence without its full stop."""


@dataclass(frozen=True, slots=True)
class HeadroomPlan:
    """What could be added, each addition tried on its own beside the plan."""

    rooms: tuple[AdditionRoom, ...]


@dataclass(frozen=True, slots=True)
class HeadroomDo:
    """What to go on with."""

    try_again: tuple[str, ...]
    """Additions that were not tried because the run was stopped."""


@dataclass(frozen=True, slots=True)
class HeadroomWatch:
    """What holds for every addition."""

    notes: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class HeadroomMore:
    """What else was asked about."""

    futures: FuturesTaken | None
    """Which of the likely futures fit, if any were asked about; `rooms` has each of them."""


@dataclass(frozen=True, slots=True)
class HeadroomAnswer:
    """What a plan leaves room for."""

    schema_version: int
    build: str
    title: str
    verdict: HeadroomVerdict
    plan: HeadroomPlan
    do: HeadroomDo
    watch: HeadroomWatch
    more: HeadroomMore
