"""What a comparison of boards shows, worked out once; renderers only lay it out."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.render.view import View

UNTRIED = "stopped before it was tried"
"""What is said of a board that Ctrl-C came before, in place of a mistake."""


@dataclass(frozen=True, slots=True)
class CauseView:
    """What makes up a preference's value."""

    stage: str
    who: str
    """A part, a shared link, a fact's id."""
    amount: int
    """In the stage's unit."""
    text: str


@dataclass(frozen=True, slots=True)
class PreferenceView:
    """One preference with the plan's value in it."""

    stage: str
    value: int
    bound: int
    """Proven: no plan as good in the earlier ones comes below this."""
    unit: str


@dataclass(frozen=True, slots=True)
class MissingView:
    """A required part that has no place."""

    item: str
    rule: str
    """The rule that stands in its way at the nearest receptacle; empty: none does."""
    why: str


@dataclass(frozen=True, slots=True)
class LeftView:
    """Board receptacles that stay free, by what they could still take."""

    form: str
    gets: str
    """`16 GT/s x8`."""
    lanes: int
    """PCIe lanes of all of them together."""
    labels: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class DecidingView:
    """The first preference in which a board differs from the one it is measured against."""

    against: str
    stage: str
    """A preference, or `required-parts`."""
    value: int
    against_value: int
    only: bool
    """They differ in no other."""
    worse_too: tuple[str, ...]
    """Later preferences in which it is worse as well."""
    better: tuple[str, ...]
    """Later preferences in which it is better, which counts less."""
    proven: bool


@dataclass(frozen=True, slots=True)
class OutlookView:
    """Which of the likely futures a board takes."""

    fits: tuple[str, ...]
    fails: tuple[str, ...]
    open: tuple[str, ...]
    """Time ran out."""
    share: float
    """Weight of those that fit, out of all; those that stayed open do not count."""


@dataclass(frozen=True, slots=True)
class BoardView:
    """One board's result."""

    name: str
    board: str
    invented: bool
    fitted: int
    """Processors."""
    sockets: int
    place: int
    """1 is best; boards that tie share one; 0 if it has no answer."""
    complete: bool
    """Every required part has a seat."""
    proven: bool
    """No better plan exists there."""
    verdict: str
    """A sentence without its full stop."""
    brief: str
    """The same where there are many boards: without reasons."""
    deciding: DecidingView | None
    """Against the best board; for the best one against the next that is worse."""
    dominated_by: str | None
    """A board that is as good in every preference and better in one."""
    placed: int
    """Parts with a seat, further plugs of a part not counted."""
    parts: int
    preferences: tuple[PreferenceView, ...]
    causes: tuple[CauseView, ...]
    missing: tuple[MissingView, ...]
    left: tuple[LeftView, ...]
    lanes_left: int
    power_left_w: float | None
    """Of all supplies together; None if one of them is not described."""
    draw_unknown: tuple[str, ...]
    """Parts whose draw nobody has said, and machines without a base load: what is left is less."""
    price: float | None
    notes: tuple[str, ...]
    outlook: OutlookView | None
    seconds: float
    mistake: str
    """Why it could not be tried; empty if it was."""
    view: View | None


@dataclass(frozen=True, slots=True)
class Comparison:
    """All boards, best first."""

    schema_version: int
    build: str
    title: str
    machine: str
    """Whose board was exchanged."""
    items: tuple[tuple[str, str], ...]
    """Every part's id and what it is, in the build's order."""
    notes: tuple[str, ...]
    """What was not asked of any board."""
    stopped: bool
    """Ctrl-C came before all boards were tried."""
    boards: tuple[BoardView, ...]
