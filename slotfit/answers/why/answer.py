"""What `why` answers: one value, which is the JSON; the text draws from it."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.answer_word import AnswerWord
from slotfit.answers.check.answer import RuleReason
from slotfit.answers.place.answer import StageOutcome, UnprovenFact

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class WhyVerdict:
    """How the question comes out."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """
    there, forbidden (whatever else is done), crowds-out (some required part has no place left),
    costs (the plan is worse), as-good, no-plan (to begin with) or out-of-time.
    """
    headline: str
    """With its full stops."""


@dataclass(frozen=True, slots=True)
class PartChange:
    """One part that sits or trains otherwise with the part there."""

    item: str
    """Its id."""
    goes_from: str | None
    """Where it sits; none: nowhere."""
    goes_to: str | None
    """Where it would sit."""
    link_before: str
    """As `place` tells it: `gen 3 x8`, `2 of 4 links: gen 4 x4`; or `no place`."""
    link_after: str
    """The same with the part there."""
    mb_s_before: int
    """What the links that end in it carry, one way."""
    mb_s_after: int
    """The same with the part there."""


@dataclass(frozen=True, slots=True)
class OtherSetting:
    """A lane group that has to be divided otherwise, by a setting or a jumper."""

    lane_group: str
    """`machine/group`."""
    before: str
    """What the menu or the manual calls it, or its id."""
    after: str
    """The same with the part there."""


@dataclass(frozen=True, slots=True)
class WhyPlan:
    """The best plan with the part there, against the best of all."""

    parts: tuple[PartChange, ...]
    """Parts that sit or train otherwise, the one asked about first."""
    settings: tuple[OtherSetting, ...]
    """What somebody has to set otherwise."""
    rests_on: tuple[UnprovenFact, ...]
    """Unproven facts that only the plan with the part there rests on."""


@dataclass(frozen=True, slots=True)
class StageChange:
    """One preference: as it is, and in another plan."""

    stage: str
    """Its name."""
    before: StageOutcome
    """What the plan comes to."""
    after: StageOutcome
    """The same of the other plan."""
    decides: bool
    """The first that differs: it outweighs all that follow."""


@dataclass(frozen=True, slots=True)
class CrowdedOut:
    """A part that would have no place."""

    item: str
    """Its id."""
    reasons: tuple[RuleReason, ...]
    """What stands against the nearest seat."""
    with_it: tuple[str, ...]
    """What sits on it, and goes out with it."""


@dataclass(frozen=True, slots=True)
class WhyMore:
    """What stands behind the answer."""

    reasons: tuple[RuleReason, ...]
    """What forbids it."""
    left: tuple[CrowdedOut, ...]
    """Parts that would have no place."""
    stages: tuple[StageChange, ...]
    """Every preference in order, where it could be there."""


@dataclass(frozen=True, slots=True)
class WhyAnswer:
    """Why a part is not in a receptacle: what forbids it, or what it would cost."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    build: str
    """The build's id."""
    item: str
    """The part asked about."""
    receptacle: str
    """What to call the receptacle asked about."""
    verdict: WhyVerdict
    plan: WhyPlan
    more: WhyMore
