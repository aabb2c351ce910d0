"""
What is answered beside what `place` answers, where there is no plan or more than one.

Plain values; texts are clauses without their full stop.
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.check.answer import RuleReason
from slotfit.answers.place.answer import StageOutcome, UnprovenFact
from slotfit.answers.why.answer import StageChange
from slotfit.model.plan import Placed

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class Sentence:
    """Like reasons in one sentence."""

    number: int
    """Through all clashes, from 1."""
    says: RuleReason
    reasons: tuple[str, ...]
    """The reasons it tells, each in its rule's own words."""
    refuses: tuple[str, ...]
    """Parts of which it refuses seats."""


@dataclass(frozen=True, slots=True)
class RoomLeft:
    """Parts, and where the reasons told so far still let each of them go."""

    items: tuple[str, ...]
    """Ids of the parts."""
    sites: tuple[str, ...]
    """Receptacles that are left to each."""
    because: tuple[int, ...]
    """Numbers of the sentences that rule the others out."""


@dataclass(frozen=True, slots=True)
class Clash:
    """Requirements and facts that cannot all hold."""

    sentences: tuple[Sentence, ...]
    """What is demanded first."""
    left: tuple[RoomLeft, ...]
    """For parts from which single facts take receptacles away."""
    sums: tuple[str, ...]
    """Arithmetic on the parts above, where it shows the clash at a glance."""
    minimal: bool
    """Without any one of the reasons the rest was seen to hold."""


@dataclass(frozen=True, slots=True)
class WayOutStep:
    """One thing to give up or to buy."""

    kind: str
    """What kind of change it is."""
    text: str
    """What to do, as an order."""
    write: str = ""
    """What to change in the build file so that `place` plans with it."""
    mind: str = ""
    """What the part's description warns of."""
    others: tuple[str, ...] = ()
    """The same done with another part, not worked out."""
    doubts: tuple[str, ...] = ()
    """What must be so for the plan, and was not asked before the change: it is not proven."""


@dataclass(frozen=True)
class WayOut:
    """Steps that together make a plan possible, and the best plan they give."""

    steps: tuple[WayOutStep, ...]
    placed: Placed


@dataclass(frozen=True, slots=True)
class PlanInShort:
    """A plan in short: what it gives up, and where the parts go."""

    prices: tuple[StageOutcome, ...]
    """In the order of importance."""
    seats: tuple[tuple[str, str], ...]
    """Part, receptacle."""
    proven: bool
    """No better plan exists."""


@dataclass(frozen=True, slots=True)
class WayOutPlanned:
    """One way out, and the plan it gives."""

    steps: tuple[WayOutStep, ...]
    """All of them are needed."""
    plan: PlanInShort


@dataclass(frozen=True, slots=True)
class WaysOut:
    """What would make a plan possible."""

    ways_out: tuple[WayOutPlanned, ...]
    """What people give up most readily first."""
    size: int
    """Steps a way out, another board aside; fewer are proven impossible."""
    more: tuple[tuple[WayOutStep, ...], ...]
    """Further candidates of that size, not worked out."""
    complete: bool
    """There are no more candidates of that size than these."""
    stopped: bool
    """Time ran out, or Ctrl-C came."""


@dataclass(frozen=True, slots=True)
class NoPlanAnswer:
    """Why there is no plan, and what would make one."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    clashes: tuple[Clash, ...]
    """No two cite the same fact, but for parts that must be placed; none if time ran out first."""
    further: bool | None
    """Whether there are clashes of other facts beside these; none if nobody has looked."""
    do: WaysOut


@dataclass(frozen=True, slots=True)
class PartMoved:
    """A part that goes elsewhere in another plan; empty stands for nowhere."""

    item: str
    """Its id."""
    was: str
    """Its receptacle in the plan."""
    now: str
    """Its receptacle in the other plan."""


@dataclass(frozen=True, slots=True)
class OtherPlan:
    """Another plan, held against the best one."""

    status: str
    """proven, unproven, impossible or unknown."""
    changes: tuple[StageChange, ...]
    """Preferences that come out otherwise."""
    moved: tuple[PartMoved, ...]
    """Parts that go elsewhere."""


@dataclass(frozen=True, slots=True)
class PlanIfFalse:
    """A fact, and what becomes of the plan if it is false."""

    fact: UnprovenFact
    otherwise: OtherPlan


@dataclass(frozen=True, slots=True)
class PlanElsewhere:
    """A part, and the best plan in which it goes elsewhere."""

    item: str
    """Its id."""
    otherwise: OtherPlan | None
    """None: the best plan leaves the part out."""


@dataclass(frozen=True, slots=True)
class Way:
    """Where parts that may swap go in some of the plans."""

    places: tuple[str, ...]
    """None for those left out."""
    plans: int
    """In so many of the plans."""


@dataclass(frozen=True, slots=True)
class Goes:
    """Parts that may swap, or one part, and the ways they go."""

    items: tuple[str, ...]
    """Ids of the parts."""
    ways: tuple[Way, ...]
    """Those of most plans first."""


@dataclass(frozen=True, slots=True)
class EqualPlans:
    """Plans as good as the best one, parts that may swap counted once."""

    count: int
    """The best one among them."""
    complete: bool
    """There are no others."""
    same: tuple[Goes, ...]
    """Parts that go the same way in all of them."""
    differs: tuple[Goes, ...]
    """Parts that do not."""


@dataclass(frozen=True, slots=True)
class ChoicesAnswer:
    """All that was asked for beside the best plan."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    equal_plans: EqualPlans | None
    """None: nobody asked."""
    elsewhere: tuple[PlanElsewhere, ...]
    """In the order asked."""
    if_false: tuple[PlanIfFalse, ...] | None
    """In the order of the facts' names; none if nobody asked."""
    stopped: bool
    """Time ran out before all that was asked for was worked out."""
