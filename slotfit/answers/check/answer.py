"""What is answered: one verdict a receptacle, and what would make the part work."""

from __future__ import annotations

from dataclasses import dataclass
from enum import Enum
from typing import Literal, NamedTuple

from slotfit.answers.check.question import Question
from slotfit.model.board import Arrangement, LaneGroup, Width
from slotfit.model.part import PartSpec
from slotfit.model.problem import Receptacle
from slotfit.model.reason import Doubt, No
from slotfit.model.seat import Seat, Segment, Trained


class Word(Enum):
    """A verdict, best first."""

    WORKS = "works"
    """Every endpoint is seen with the board as it is."""
    ONCE_SET = "works once set"
    """Every endpoint is seen after a setting or jumper is changed."""
    IN_PART = "works in part"
    """Some endpoints stay dark whatever is set."""
    NOT_KNOWN = "not known"
    """Nobody has said whether every endpoint would be seen."""
    NO = "does not work"
    """It does not go in, or nothing of it is seen."""

    @property
    def rank(self) -> int:
        """0 for the best."""
        return list(Word).index(self)


class Endpoint(NamedTuple):
    """One link of the part, or one of its sockets with what is in it."""

    name: str
    """The socket's id, or `link`."""
    kind: Literal["link", "socket", "upwards"]
    """`upwards`: the link of a switch or controller that its sockets share."""
    at: int | None
    """First of its lanes on the part's plug; None where a switch makes its lanes."""
    wired: int
    """Lanes wired to it, or made for it."""
    segment: Segment | None
    """The segment of the receptacle's lanes it lies in."""
    trained: Trained | None
    """Its link after negotiation; None if it stays dark."""
    mb_s: int | None
    """What the link carries, each way; None if its generation is not known."""
    moves_mb_s: int | None
    """What the drive or card on it moves at most; None if nobody has said."""
    drive: str | None
    """Part in the socket: a drive, or a card on a riser."""
    part_class: str | None
    """What class of part that is."""
    dark: str
    """Why it stays dark, as a clause that fits after "because"; empty if it does not."""

    @property
    def alive(self) -> bool:
        """Whether it is seen."""
        return self.trained is not None


class Outcome(NamedTuple):
    """What becomes of the part in one receptacle under one arrangement."""

    seat: Seat
    group: LaneGroup | None
    way: Arrangement | None
    """None where nothing can be arranged."""
    change: bool
    """The arrangement has to be set; it is not what the board does by itself."""
    endpoints: tuple[Endpoint, ...]
    """Those that count towards "n of m", and the shared link upwards."""
    decides: tuple[Doubt, ...]
    """Facts nobody has proven on which it hangs whether this comes out so."""
    order: tuple[Doubt, ...]
    """Facts that say which lanes are the wide ones. They decide only where that changes how many
    endpoints are seen."""
    provided: tuple[Doubt, ...]
    """Further facts it rests on: of the part, of its surroundings, of its speed."""
    short_mb_s: int
    """MB/s, in and out together, that links and shared links lose of what is moved."""
    unseated: int
    """Drives that find no seat."""
    dark: int
    """Links of the part and its drives that stay dark."""
    changes: tuple[tuple[str, Trained, Trained], ...] = ()
    """Parts that sit there today and train otherwise then: part, link now, link then."""

    @property
    def counted(self) -> tuple[Endpoint, ...]:
        """The endpoints of "n of m"."""
        return tuple(one for one in self.endpoints if one.kind != "upwards")

    @property
    def total(self) -> int:
        """How many endpoints there are."""
        return len(self.counted)

    @property
    def alive(self) -> int:
        """How many of them are seen."""
        return sum(one.alive for one in self.counted)

    @property
    def whole(self) -> bool:
        """Every endpoint is seen."""
        return self.alive == self.total

    @property
    def certain(self) -> bool:
        """It hangs on nothing unproven."""
        return not self.decides


class Reason(NamedTuple):
    """Why it does not work."""

    no: No
    blockers: tuple[str, ...] = ()
    """Parts that sit there today and take the room or the power."""
    here: str = ""
    """What it comes to in the layout at hand, where that says more."""
    one_receptacle: bool = False
    """It binds what could be in one receptacle."""
    bodies: bool = False
    """It binds bodies in one place of a row."""

    @property
    def text(self) -> str:
        """A clause that fits after "because"."""
        return self.here or self.no.text


class Effect(NamedTuple):
    """Another receptacle that loses lanes: what it has today, what it has then."""

    receptacle: str
    before: tuple[Width, ...]
    after: tuple[Width, ...]


class Filled(NamedTuple):
    """How the part fares while something is plugged into other receptacles."""

    receptacles: tuple[str, ...]
    outcome: Outcome


class Verdict(NamedTuple):
    """The answer for one receptacle."""

    receptacle: Receptacle
    word: Word
    outcome: Outcome | None
    """The best there is; None if it does not work."""
    unset: Outcome | None = None
    """What happens if nothing is set, where that is something else."""
    certain: Outcome | None = None
    """The best that is certain, where the best hangs on unproven facts."""
    twin: Outcome | None = None
    """What the same setting gives if the lanes come in the other order."""
    maybe: Outcome | None = None
    """A better one that hangs on unproven facts."""
    others: tuple[Outcome, ...] = ()
    """What the other settings of the lane group come to."""
    reasons: tuple[Reason, ...] = ()
    """Every reason against, if it does not work."""
    refuted: tuple[Arrangement, ...] = ()
    """Arrangements that are listed and known not to work."""
    keep_empty: tuple[str, ...] = ()
    """Receptacles that would draw the lanes away if something were plugged into them."""
    filled: tuple[Filled, ...] = ()
    effects: tuple[Effect, ...] = ()
    covers: tuple[str, ...] = ()
    """Receptacles its body covers or stands in the way of."""

    @property
    def is_misfit(self) -> bool:
        """Whether the plug is of another form, so that no more was looked at."""
        return bool(self.reasons) and all(one.no.is_about_forms for one in self.reasons)


class OtherOrder(NamedTuple):
    """The same drives in other sockets of the part."""

    drives: tuple[tuple[str, str], ...]
    """Drive, socket."""
    verdict: Verdict


class OtherReceptacle(NamedTuple):
    """A receptacle that was not asked about."""

    verdict: Verdict


class MoveAway(NamedTuple):
    """What sits there today goes elsewhere."""

    item: str
    to: str
    verdict: Verdict


class OtherPart(NamedTuple):
    """A part of the catalog that would do: instead of this one, or between it and the board."""

    part: PartSpec
    between: bool
    verdict: Verdict


Advice = OtherOrder | OtherReceptacle | MoveAway | OtherPart


class Answer(NamedTuple):
    """Every verdict, best first, and what would make it work."""

    question: Question
    verdicts: tuple[Verdict, ...]
    advice: tuple[Advice, ...] = ()

    @property
    def word(self) -> Word:
        """The best verdict."""
        return self.verdicts[0].word if self.verdicts else Word.NO

    @property
    def good(self) -> bool:
        """It works somewhere, as it is or once something is set."""
        return self.word in (Word.WORKS, Word.ONCE_SET)


@dataclass(frozen=True)
class Told:
    """A question, and what `check` says to it."""

    question: Question
    verdicts: tuple[Verdict, ...]
    names: tuple[str, ...]
    """The parts it holds for. Where they are several, the question's part stands for each."""


@dataclass(frozen=True)
class AllTold:
    """Every part of a build in every receptacle."""

    today: tuple[Told, ...]
    """Beside what sits in the machines today."""
    carriers: tuple[Told, ...] = ()
    """In the sockets of parts that the plan brings in."""
    emptied: tuple[Told, ...] = ()
    """Where today's parts are in the way: without them."""
