"""
What `check` and `carriers` answer: each one value, which is the JSON; text and page draw from it.

Plain values: names, numbers with their unit in the field's name, texts that are clauses or
sentences. None is not known, never zero.
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.answers.answer_word import AnswerWord
from slotfit.answers.place.answer import UnprovenFact

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class Endpoint:
    """One link of the part, or one of its sockets with what is in it."""

    name: str
    """The socket's id, or `link`."""
    kind: str
    """link, socket, or upwards: the link of a switch or controller that its sockets share."""
    lanes_text: str
    """Lanes of the part's plug, such as `4-7`; empty where a switch makes its lanes."""
    segment: str | None
    """The segment of the receptacle's lanes they lie in: `x8 from lane 0`."""
    text: str
    """`gen 4 x4`, `not detected`."""
    lanes: int
    """0: it is not detected."""
    generation: int | None
    able_text: str | None
    """What the part's end of it could do; none for an empty socket."""
    mb_s: int | None
    """Usable, each way; none if the speed is not known."""
    moves_mb_s: int | None
    """What the drive or card on it moves at most; none if nobody has said."""
    drive: str | None
    """Part id of what is in the socket: a drive, or a card on a riser."""
    drive_class: str | None
    """What class of part that is."""
    dark: str
    """Why it is not detected, as a clause; empty if it is."""


@dataclass(frozen=True, slots=True)
class RuleReason:
    """What a rule has against it."""

    rule: str
    """The rule's id."""
    text: str
    """A clause that fits after "because"."""
    where: tuple[str, ...]
    """`file:line:column` of the facts behind it."""


@dataclass(frozen=True, slots=True)
class ReceptacleVerdict:
    """One receptacle."""

    receptacle: str
    """Its id in files."""
    name: str
    """What to call it in a sentence."""
    label: str
    """With the name printed beside it, where that is spelt otherwise."""
    about: str
    """What is known of it: `x16 slot, wired x8, gen 4, CPU1`."""
    status: str
    """works, works once set, works in part, not known, or does not work."""
    summary: str
    """`2 of 4 sockets are seen`; empty if it does not go in."""
    alive: int
    """Endpoints that are seen."""
    total: int
    """Endpoints that there are."""
    setting: str | None
    """What to choose or do; none if nothing is to be set."""
    how: str | None
    """setting, jumper, presence or fixed."""
    gives: str | None
    """What the receptacle then gets: `x4+x4`."""
    short_mb_s: int
    """What links and shared links lose of what is moved, in and out together."""
    endpoints: tuple[Endpoint, ...]
    """In the part's order."""
    unknown: tuple[UnprovenFact, ...]
    """What decides, and nobody has said."""
    open: tuple[UnprovenFact, ...]
    """What nobody has said and what changes only which endpoints are seen, not how many."""
    provided: tuple[UnprovenFact, ...]
    """Further conditions."""
    reasons: tuple[RuleReason, ...]
    """Every reason why it does not work."""
    other_form: bool
    """Its plug is of another form, and no more is known of the two."""
    notes: tuple[str, ...]
    """What else belongs to it, in sentences."""


@dataclass(frozen=True, slots=True)
class CheckVerdict:
    """The answer in a sentence or two."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """That of the best receptacle."""
    headline: str
    """With its full stops."""


@dataclass(frozen=True, slots=True)
class CheckPlan:
    """Where it could go."""

    receptacles: tuple[ReceptacleVerdict, ...]
    """Best first."""


@dataclass(frozen=True, slots=True)
class Advice:
    """What would make it work."""

    kind: str
    """order, receptacle, move, bracket, part, supply, processors or chassis."""
    text: str
    """A sentence or two."""
    part: str | None
    """The catalog's other part, supply or chassis, if it takes one."""
    receptacle: str
    """Where it then works."""
    status: str
    """How it then works there."""


@dataclass(frozen=True, slots=True)
class CheckToDo:
    """What to do."""

    advice: tuple[Advice, ...]
    """What costs least first; none where it works."""
    cautions: tuple[str, ...]
    """What to watch at the open case once it goes in."""


@dataclass(frozen=True, slots=True)
class CheckToWatch:
    """What was not looked at, and where such a part goes if not onto a board."""

    notes: tuple[str, ...]
    """In sentences."""


@dataclass(frozen=True, slots=True)
class CheckMore:
    """What was taken as given."""

    around: tuple[str, ...]
    """Chassis and supplies that count."""
    today: tuple[tuple[str, str], ...]
    """What is in the machine already: part, receptacle."""
    drives: tuple[tuple[str, str], ...]
    """Socket, part id of what is in it."""


@dataclass(frozen=True, slots=True)
class CheckAnswer:
    """Whether a part works in each receptacle of a machine, and what would make it work."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    part: str
    """The part's id."""
    part_name: str
    """Its name, or its id."""
    board: str
    """The board's id, or the build's if it has several."""
    board_name: str
    """Its name, or its id."""
    invented: bool
    """A board is of no maker."""
    verdict: CheckVerdict
    plan: CheckPlan
    do: CheckToDo
    watch: CheckToWatch
    more: CheckMore

    @property
    def good(self) -> bool:
        """It works somewhere, as it is or once something is set."""
        return self.verdict.status in ("works", "works once set")


@dataclass(frozen=True, slots=True)
class CarrierKind:
    """One kind of carrier in one receptacle."""

    part: str
    """The best of its kind in the catalog."""
    kind: str
    """How it is wired, its connector, and the sockets such carriers come with."""
    has_switch: bool
    """Its drives share its link through a switch."""
    seen: int
    """Drives that are seen."""
    total: int
    """Drives that it holds."""
    status: str
    """works, works once set, works in part or not known."""
    each_mb_s: int | None
    """What a drive has while the others rest; none if the speed is not known."""
    together_mb_s: int | None
    """What all drives have together where they share a link; none if they share none."""
    setting: str | None
    """What to choose or do; none if nothing is to be set."""


@dataclass(frozen=True, slots=True)
class SlotCarriers:
    """One receptacle, and the carriers that show drives in it."""

    slot: str
    """The receptacle's id in files."""
    label: str
    """What to call it, with the name printed beside it where that is spelt otherwise."""
    wiring: str
    """What is known of it: `x16 slot, wired x8, gen 4, CPU1`."""
    carriers: tuple[CarrierKind, ...]
    """Those that show most first."""
    recommended: CarrierKind
    """Of those without a switch the one that shows most for certain; or else the first."""


@dataclass(frozen=True, slots=True)
class CarriersVerdict:
    """Whether any carrier shows a drive."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """works, or does not work: no receptacle takes any."""
    headline: str
    """The answer in a sentence, with its full stop."""


@dataclass(frozen=True, slots=True)
class CarriersPlan:
    """Where carriers show drives."""

    slots: tuple[SlotCarriers, ...]
    """As they stand in the row; those that take none are left out."""


@dataclass(frozen=True, slots=True)
class CarriersToWatch:
    """What the answer is worth."""

    invented: bool
    """A board is of no maker."""


@dataclass(frozen=True, slots=True)
class CarriersAnswer:
    """Which kinds of drive carrier show how many drives in which slot."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    board: str
    """The board's id, or the build's if it has several."""
    title: str
    """Its name, or its id."""
    verdict: CarriersVerdict
    plan: CarriersPlan
    watch: CarriersToWatch
