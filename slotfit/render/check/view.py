"""What `check` shows, worked out once: names, whole numbers with their unit, and sentences."""

from typing import NamedTuple

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


class EndpointView(NamedTuple):
    """One link or socket of the part."""

    name: str
    kind: str
    """link | socket | upwards (shared by the sockets)"""
    lanes_text: str
    """Lanes of the part's plug, such as `4-7`."""
    segment: str | None
    """The segment of the receptacle's lanes they lie in: `x8 from lane 0`."""
    text: str
    """`16 GT/s x4`, `dark`."""
    lanes: int
    generation: int | None
    able_text: str | None
    """What the part's end of it could do; none for an empty socket."""
    mb_s: int | None
    """Usable, each way; none if the speed is not known."""
    moves_mb_s: int | None
    drive: str | None
    """Part id of what is in the socket."""
    dark: str


class UnprovenView(NamedTuple):
    """Something nobody has proven."""

    statement: str
    find_out: str
    where: str


class ReasonView(NamedTuple):
    """Why it does not work."""

    rule: str
    text: str
    where: tuple[str, ...]


class VerdictView(NamedTuple):
    """One receptacle."""

    receptacle: str
    name: str
    """What to call it in a sentence."""
    label: str
    """With the name printed beside it, where that is spelt otherwise."""
    about: str
    word: str
    summary: str
    """`2 of 4 sockets are seen`; empty if it does not work."""
    alive: int
    total: int
    setting: str | None
    """What to choose or do; none if nothing is to be set."""
    how: str | None
    """setting | jumper | presence | fixed"""
    gives: str | None
    """What the receptacle then gets: `x4+x4`."""
    short_mb_s: int
    endpoints: tuple[EndpointView, ...]
    unknown: tuple[UnprovenView, ...]
    """What decides, and nobody has said."""
    open: tuple[UnprovenView, ...]
    """What nobody has said and what changes only which endpoints are seen, not how many."""
    provided: tuple[UnprovenView, ...]
    """Further conditions."""
    reasons: tuple[ReasonView, ...]
    notes: tuple[str, ...]


class AdviceView(NamedTuple):
    """What would make it work."""

    kind: str
    """order | receptacle | move | part"""
    text: str
    part: str | None
    receptacle: str
    word: str


class CheckView(NamedTuple):
    """A whole answer."""

    schema_version: int
    part: str
    part_name: str
    board: str
    board_name: str
    invented: bool
    around: tuple[str, ...]
    """Chassis and supplies that count."""
    today: tuple[tuple[str, str], ...]
    """What is in the machine already: item, receptacle."""
    drives: tuple[tuple[str, str], ...]
    """Socket, part id of what is in it."""
    word: str
    """The best verdict."""
    headline: str
    verdicts: tuple[VerdictView, ...]
    advice: tuple[AdviceView, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]
