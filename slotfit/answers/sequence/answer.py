"""The answers to `slotfit sequence`: plain values, worked out, shown and printed as JSON."""

from __future__ import annotations

from collections.abc import Mapping
from dataclasses import dataclass

from slotfit.answers.answer_word import OF_STATUS, AnswerWord, answered, on_condition
from slotfit.answers.place.answer import UnprovenFact
from slotfit.model.plan import Status
from slotfit.model.windows import CopyJob, Totals

SCHEMA_VERSION = 2
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class SequenceVerdict:
    """The answer in one sentence."""

    word: AnswerWord
    """yes | yes, if (it rests on something not known) | no | out of time."""
    status: str
    """proven, unproven, impossible or unknown."""
    headline: str
    """Without its full stop."""


def verdict_with(status: Status, text: str, facts: int = 0) -> SequenceVerdict:
    """A verdict that begins with its word; `facts`: so many unproven ones decide."""
    word = on_condition(OF_STATUS[status], facts=bool(facts))
    return SequenceVerdict(word, status.value, answered(word, text, facts))


@dataclass(frozen=True, slots=True)
class PartMove:
    """One part pulled, put in or moved, with what comes along."""

    item: str
    """The part's id."""
    name: str
    """The part's name, or its catalog id."""
    from_: str | None
    """Receptacle id; None: it was in no receptacle of this build."""
    from_label: str
    """`SLOT 3`, `beside the machines`, `old/slot1`."""
    to: str | None
    """Receptacle id; None: beside the machines."""
    to_label: str
    """The same in words."""
    onto: str
    """Part whose socket it goes into; empty for a board."""
    socket: str
    """Name of that socket."""
    riders: tuple[str, ...]
    """What stays on it all the while."""
    link: str
    """What it trains at in its new place; empty if it leaves or has no links."""
    cables: tuple[str, ...]
    """What to unplug and to plug, in words."""


@dataclass(frozen=True, slots=True)
class SettingStep:
    """One lane group to be arranged otherwise."""

    machine: str
    """Its id."""
    group: str
    """The lane group's id in that machine."""
    before: str
    """What the menu says, or who gets what."""
    known: bool
    """That it is so before: the build file says so, or an earlier window set it."""
    after: str
    """The same of what it is to be."""
    chosen_by: str
    """setting, presence, jumper or fixed."""


@dataclass(frozen=True, slots=True)
class MachineWork:
    """What is done in one machine, off or running, in one window."""

    window: int
    """Its number."""
    machine: str
    """Empty: beside the machines."""
    name: str
    """The machine's name, or its id."""
    out: tuple[PartMove, ...]
    """Parts that leave it."""
    moved: tuple[PartMove, ...]
    """Parts that stay in it elsewhere."""
    in_: tuple[PartMove, ...]
    """Parts that come into it."""
    changes: tuple[SettingStep, ...]
    """Settings, before anything is taken out."""


@dataclass(frozen=True, slots=True)
class WindowNote:
    """Something to watch, and when."""

    text: str
    """A sentence."""
    windows: tuple[int, ...]
    """Their numbers."""


@dataclass(frozen=True, slots=True)
class WindowCaution:
    """What to watch at the open case, and when."""

    text: str
    """A sentence."""
    in_short: str
    """The same in a few words; empty where the sentence is of one part."""
    while_it_runs: bool
    """It is of machines that are not switched off."""
    windows: tuple[int, ...]
    """Their numbers."""


@dataclass(frozen=True, slots=True)
class SequenceDo:
    """What is done, in order."""

    work: tuple[MachineWork, ...]
    """Window by window, machine by machine."""
    cautions: tuple[WindowCaution, ...]
    """Each with the windows in which it counts."""


@dataclass(frozen=True, slots=True)
class ServiceState:
    """One service in one stretch."""

    name: str
    """The service's id."""
    machines: tuple[str, ...]
    """Where it runs; none: it does not."""
    state: str
    """up, down, or not yet up: it did not run at the beginning."""


@dataclass(frozen=True, slots=True)
class MirrorState:
    """One mirror in one stretch."""

    name: str
    """Its members, as the build file names them."""
    machine: str
    """Where its data is in service."""
    members: int
    """How many it has."""
    in_service: int
    """How many of them run in that machine."""
    missing: tuple[str, ...]
    """Parts of the members that are not in service."""
    released: bool
    """Its data is copied; it is needed no longer."""
    resyncs: bool
    """A member came back and has to catch up before the next window."""

    @property
    def lacks(self) -> bool:
        """Whether it is still needed and has lost a member."""
        return bool(self.missing) and not self.released


@dataclass(frozen=True, slots=True)
class CopyMade:
    """One copy, and when it is made."""

    job: CopyJob
    stretch: int
    """0: before window 1."""
    from_site: str
    """Board receptacle below the source then."""
    to_site: str
    """The same below the target."""


@dataclass(frozen=True, slots=True)
class StretchState:
    """How things are between two windows."""

    number: int
    """0 is today; otherwise the window before it."""
    copies: tuple[str, ...]
    """To be made now."""
    waiting: tuple[str, ...]
    """Still to be made later."""
    services: tuple[ServiceState, ...]
    """In the order of the build file."""
    mirrors: tuple[MirrorState, ...]
    """In the order of the build file."""
    beside: tuple[str, ...]
    """Parts that lie beside the machines, were in one before, and will be again."""
    slow: tuple[str, ...]
    """Parts that get less than today and at the goal."""
    out: tuple[str, ...]
    """Parts that run today and at the goal, and not now."""
    shared_loss_mb_s: int
    """More than today and at the goal; 0 if not."""
    checks: tuple[str, ...]
    """What to see to before the next machine is switched off."""
    facts: tuple[str, ...]
    """Ids of the facts that its layout rests on."""
    done: tuple[str, ...]
    """Retired machines that nothing is taken out of any more."""
    stop: str
    """What it means to stop here, as a sentence."""
    whole: bool
    """Nothing is down, missing or slow."""
    places: Mapping[str, str]
    """Part -> receptacle: what a build file says as `today` where one stops here."""
    settings: Mapping[str, str]
    """Lane group -> arrangement: what it says as `settings_today`."""


@dataclass(frozen=True, slots=True)
class PowerDown:
    """One window."""

    number: int
    """Counted from 1."""
    off: tuple[str, ...]
    """Machines that are switched off; none: what is done is done while they run."""
    on: tuple[str, ...]
    """Machines that run on."""
    down: tuple[str, ...]
    """Services that are cut off by it."""
    keep: tuple[str, ...]
    """Services that run through it."""
    waits_for: tuple[str, ...]
    """What arrives for it."""


@dataclass(frozen=True, slots=True)
class RowCell:
    """One receptacle in one stretch."""

    item: str | None
    """None: empty."""
    riders: int
    """Parts that sit on it."""


@dataclass(frozen=True, slots=True)
class PlaceRow:
    """One receptacle through all stretches, or like parts beside the machines."""

    machine: str
    """Empty: beside the machines."""
    receptacle: str
    """Receptacle id; empty: beside the machines."""
    heading: str
    """The receptacle's label, or the parts."""
    cells: tuple[RowCell, ...]
    """One a stretch."""


@dataclass(frozen=True, slots=True)
class SequencePlan:
    """The windows, and how things are before, between and after them."""

    windows: tuple[PowerDown, ...]
    """In order."""
    stretches: tuple[StretchState, ...]
    """Today, then one after each window; none where there is no sequence."""
    copies: tuple[CopyMade, ...]
    """In the order of the build file."""
    places: tuple[PlaceRow, ...]
    """Machine by machine, then parts beside the machines."""


@dataclass(frozen=True, slots=True)
class SequenceWatch:
    """What the answer takes for granted, and what is at stake."""

    facts: tuple[UnprovenFact, ...]
    """Unproven facts that some layout rests on."""
    risks: tuple[WindowNote, ...]
    """What is at stake between a window and the next."""
    taken_for_granted: tuple[str, ...]
    """In sentences without their full stops."""


@dataclass(frozen=True, slots=True)
class Figure:
    """One figure that was minimized."""

    name: str
    """windows, used, touches, reduced, facts, downs or changes."""
    reached: int
    """What it comes to."""
    no_less_than: int
    """What is proven: no sequence has less, the earlier figures being equal."""
    in_words: str
    """With what is proven."""


@dataclass(frozen=True, slots=True)
class Relief:
    """Helps that together make it possible."""

    do: tuple[str, ...]
    """What to do, as orders."""
    write: tuple[str, ...]
    """What to change in the build file for it."""
    totals: Totals
    """Of the best sequence then."""
    proven: bool
    """No sequence is better then."""


@dataclass(frozen=True, slots=True)
class EndsApart:
    """Why two ends of a copy never run in one machine."""

    copy: str
    """The copy's name."""
    machine: str
    """Where the source is today, or the target at the goal."""
    beside: tuple[str, ...]
    """Parts that services need in the machine meanwhile."""
    reasons: tuple[tuple[str, str], ...]
    """Sentence and rule."""


@dataclass(frozen=True, slots=True)
class NoWay:
    """Why there is no sequence, and what would help."""

    ruled_out: int | None
    """So many windows are proven too few; None: no number is enough."""
    demands: tuple[str, ...]
    """Demands that clash: without any one of them there is a way."""
    minimal: bool
    """That was seen for each of them."""
    apart: tuple[EndsApart, ...]
    """For copies that clash."""
    helps: tuple[Relief, ...]
    """The cheapest first; any one of them does."""
    tried: int
    """Single helps that were tried."""
    complete: bool
    """All were, to the end; no smaller help does."""


@dataclass(frozen=True, slots=True)
class SequenceMore:
    """What stands behind the answer."""

    figures: tuple[Figure, ...]
    """In the order in which they counted."""
    no_way: NoWay | None
    """None: there is a sequence, or it is not known why there is none."""


@dataclass(frozen=True, slots=True)
class SequenceAnswer:
    """The windows from today's layout to the plan, or why there are none."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    build: str
    """The build's id."""
    title: str
    """The build's name, or its id."""
    invented: bool
    """Boards of the build are invented."""
    machines: Mapping[str, str]
    """Id -> name."""
    retired: tuple[str, ...]
    """Machines and parts that are taken out of service."""
    seconds: float
    """What the search took."""
    verdict: SequenceVerdict
    plan: SequencePlan
    do: SequenceDo
    watch: SequenceWatch
    more: SequenceMore


@dataclass(frozen=True, slots=True)
class PartRoom:
    """A place for one part."""

    part: str
    """The part's id."""
    place: str
    """`SLOT 3 of lamp`."""
    trains_at: str
    """`gen 4 x8`; empty if it has no links."""
    while_it_runs: bool
    """It goes in there without the machine being switched off."""


@dataclass(frozen=True, slots=True)
class Pull:
    """What it means to pull some parts."""

    items: tuple[str, ...]
    """Ids of the parts."""
    riders: tuple[str, ...]
    """What comes out with them."""
    leaves: tuple[str, ...]
    """Those of the parts that are to leave anyway."""
    frees: tuple[str, ...]
    """`SLOT 3`, `75 W`, `1 pcie-8 from the supply`."""
    goes: PartRoom | None
    """Where the part goes then; None if it still has no room."""
    facts: tuple[UnprovenFact, ...]
    """Unproven facts on which that rests."""
    changes: tuple[SettingStep, ...]
    """Settings that the part's new place needs."""
    stops: tuple[str, ...]
    """Services that do not run while they are out."""
    risks: tuple[str, ...]
    """What is at stake for mirrors and copies."""
    elsewhere: tuple[PartRoom, ...]
    """Where what came out could live, the part being in; none: nowhere."""
    stops_then: tuple[str, ...]
    """Services that stay down even so."""


@dataclass(frozen=True, slots=True)
class PullPlan:
    """Where the part goes, and what can come out for it."""

    goes_now: PartRoom | None
    """Without anything being pulled; None if nowhere."""
    pulls: tuple[Pull, ...]
    """
    Those that make room, best first, then the others. Where nothing has to be pulled, only those
    with which the part gets more of what it moves, or rests on fewer facts.
    """


@dataclass(frozen=True, slots=True)
class PullDo:
    """What else to do."""

    moves: tuple[tuple[str, str, str], ...]
    """If moving parts is enough: part, from, to; else none."""
    cautions: tuple[str, ...]
    """What to watch at the open case."""
    cautions_in_short: tuple[str, ...] = ()
    """The same, in a few words each."""


@dataclass(frozen=True, slots=True)
class PullWatch:
    """What the place costs in which the part goes without anything being pulled."""

    short_mb_s: int
    """MB/s of what the part moves that do not get through its link there."""
    facts: tuple[UnprovenFact, ...]
    """Unproven facts on which that place rests."""


@dataclass(frozen=True, slots=True)
class PullMore:
    """How far the search came."""

    complete: bool
    """Nothing was left out for want of time."""


@dataclass(frozen=True, slots=True)
class PullFirstAnswer:
    """What to pull so that one part can go in."""

    schema_version: int
    """Raised when a field changes its meaning or goes away; new fields do not raise it."""
    build: str
    """The build's id."""
    title: str
    """The build's name, or its id."""
    part: str
    """The part that is to go in."""
    along: tuple[str, ...]
    """What goes in on the part."""
    verdict: SequenceVerdict
    plan: PullPlan
    do: PullDo
    watch: PullWatch
    more: PullMore
