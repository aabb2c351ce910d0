"""What a comparison of boards shows, worked out once; renderers only lay it out."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from slotfit.answers.names import gb_s
from slotfit.answers.place.answer import PlaceAnswer

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
    view: PlaceAnswer | None


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


SHORT_NAMES = {
    "optional-parts": "optional",
    "dark-endpoints": "dark",
    "bandwidth": "short",
    "unproven-facts": "facts",
    "locality": "far",
    "cooling": "airless",
}
"""Preferences as heads of columns."""

MEANINGS = {
    "optional-parts": "optional: weight of optional parts left out",
    "dark-endpoints": "dark: endpoints",
    "bandwidth": "short: GB/s of demand, both ways added",
    "unproven-facts": "facts: unproven",
    "locality": "far: parts on another processor",
    "cooling": "airless: gaps",
}
"""What a column counts."""


def legend(boards: Sequence[BoardView], *, zeros: bool = True) -> str:
    """What the columns count."""
    said = [MEANINGS[stage] for stage in stages_of(boards, zeros=zeros)]
    return "; ".join([*said, "lanes, W: left"])


def stages_of(boards: Sequence[BoardView], *, zeros: bool) -> list[str]:
    """The preferences, in order; without `zeros` none that all boards meet in full."""
    every = [one for board in boards for one in board.preferences]
    shown = {one.stage for one in every if zeros or one.value}
    return [stage for stage in dict.fromkeys(one.stage for one in every) if stage in shown]


def table(
    boards: Sequence[BoardView], *, zeros: bool = True
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """The head and a row a board."""
    stages = stages_of(boards, zeros=zeros)
    extra = [name for name, told in EXTRAS.items() if any(told(board) for board in boards)]
    head = (
        *("board", "placed", *(SHORT_NAMES[stage] for stage in stages)),
        *("lanes", "W", *extra),
    )
    rows = [
        (
            board.name,
            f"{board.placed}/{board.parts}",
            *values(board, stages),
            str(board.lanes_left),
            watts_left(board),
            *(EXTRAS[name](board) for name in extra),
        )
        for board in boards
    ]
    return head, rows


def values(board: BoardView, stages: Iterable[str]) -> Iterator[str]:
    """One value a stage; a value that is not proven with the one that may be possible."""
    known = {one.stage: one for one in board.preferences}
    for stage in stages:
        one = known.get(stage)
        yield (
            "-"
            if one is None
            else amount(stage, one.value)
            + (f" (or {amount(stage, one.bound)})" if one.bound < one.value else "")
        )


def amount(stage: str, value: int) -> str:
    """In the unit of its column."""
    return gb_s(value) if stage == "bandwidth" else str(value)


def watts_left(board: BoardView) -> str:
    """What the supply has left; `<` where some draw is not known."""
    if board.power_left_w is None:
        return "?"
    return ("<" if board.draw_unknown else "") + f"{board.power_left_w:g}"


def price(board: BoardView) -> str:
    """The board's price, as its file has it."""
    return "" if board.price is None else f"{board.price:g}"


def processors(board: BoardView) -> str:
    """Processors fitted, where not every socket has one."""
    return f"{board.fitted}/{board.sockets}" if board.fitted < board.sockets else ""


def futures(board: BoardView) -> str:
    """Share of the likely futures, by weight."""
    return f"{board.outlook.share:.0%}" if board.outlook else ""


EXTRAS = {"price": price, "processors": processors, "futures": futures}
"""Columns that are there only if some board has something to say in them."""
