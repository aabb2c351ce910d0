"""
What is told when there is no plan, or when there is more than one: plain values.

Texts are clauses without their full stop; a renderer lays them out.
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.model.entity import Span
from slotfit.model.plan import Placed
from slotfit.model.reason import Doubt


@dataclass(frozen=True, slots=True)
class Sentence:
    """Like reasons in one sentence."""

    rule: str
    text: str
    spans: tuple[Span, ...]
    reasons: tuple[str, ...]
    """The reasons it tells, each in its rule's own words."""
    refuses: frozenset[str] = frozenset()
    """Parts of which it refuses seats."""


@dataclass(frozen=True, slots=True)
class Left:
    """Parts, and where the reasons told so far still let each of them go."""

    items: tuple[str, ...]
    sites: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class Clash:
    """Requirements and facts that cannot all hold."""

    sentences: tuple[Sentence, ...]
    left: tuple[Left, ...]
    sums: tuple[str, ...]
    """Arithmetic on the parts above, where it shows the clash at a glance."""
    minimal: bool
    """Without any one of the reasons the rest was seen to hold."""


@dataclass(frozen=True, slots=True)
class Step:
    """One thing to give up or to buy."""

    kind: str
    text: str
    """What to do, as an order."""
    write: str = ""
    """What to change in the build file so that `place` plans with it."""
    mind: str = ""
    """What the part's description warns of."""
    others: tuple[str, ...] = ()
    """The same done with another part, not worked out."""
    doubts: tuple[str, ...] = ()
    """What must be so for the plan, and was not asked before the change: nobody has proven it."""


@dataclass(frozen=True, slots=True)
class Moved:
    """A part that goes elsewhere in another plan; "" stands for nowhere."""

    item: str
    was: str
    now: str


@dataclass(frozen=True)
class WayOut:
    """Steps that together make a plan possible, and the best plan they give."""

    steps: tuple[Step, ...]
    placed: Placed


@dataclass(frozen=True)
class Explanation:
    """Why there is no plan, and what would make one."""

    clashes: tuple[Clash, ...]
    """Clashes no two of which share a fact; none if time ran out before one was known."""
    further: bool | None
    """Whether there are clashes beside these; None if nobody has looked."""
    ways: tuple[WayOut, ...] = ()
    size: int = 0
    """Steps a way out, another board aside; fewer do not do."""
    more: tuple[tuple[Step, ...], ...] = ()
    """Further candidates of that size, not worked out."""
    complete: bool = True
    """There are no more candidates of that size than these."""
    stopped: bool = False
    """Time ran out, or Ctrl-C came."""


@dataclass(frozen=True)
class Otherwise:
    """What becomes of the plan if something is otherwise."""

    placed: Placed
    """The best plan then, if there is one."""
    moved: tuple[Moved, ...]


@dataclass(frozen=True)
class IfFalse:
    """What becomes of the plan if an unproven fact turns out false."""

    fact: Doubt
    otherwise: Otherwise


@dataclass(frozen=True, slots=True)
class Way:
    """Where parts that may swap go in some of the plans; nowhere for those left out."""

    places: tuple[str, ...]
    plans: int
    """In so many of the plans."""


@dataclass(frozen=True, slots=True)
class Goes:
    """Parts that may swap, or one part, and the ways they go."""

    items: tuple[str, ...]
    ways: tuple[Way, ...]


@dataclass(frozen=True, slots=True)
class EqualPlans:
    """Plans as good as the best one, parts that may swap counted once."""

    count: int
    complete: bool
    """There are no others."""
    same: tuple[Goes, ...]
    """Parts that go the same way in all of them."""
    differs: tuple[Goes, ...]
    """Parts that do not."""
