"""What a rule is."""

from collections.abc import Callable, Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from typing import Any, Literal, assert_never

from slotfit.model.board import Arrangement
from slotfit.model.clause import Clause
from slotfit.model.entity import Entity
from slotfit.model.keys import HubKey
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.model.reason import Cited, Doubt, Look, No, Verdict, Wording, plain
from slotfit.model.seat import Seat, Seating, Trained, Upstream
from slotfit.model.spread import at_typical
from slotfit.model.words import Scope
from slotfit.standards.forms import plug_fits

Severity = Literal["forbids", "darkens", "asks"]
"""
forbids: a plan that breaks it does not work. darkens: nor does it, and yet the part can be there,
draws its watts and is not seen or of no use. asks: it was wished for in the build file.
"""

Names = Mapping[str, str]
"""Role -> the id of what fills it."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One part held to one receptacle, before anything else is decided."""

    problem: Problem
    machine: Machine
    part: Part
    receptacle: Receptacle
    upstream: Upstream
    links: tuple[Trained, ...]
    arrangements: tuple[str, ...] = ()

    @property
    def air_lfm(self) -> float | None:
        """Air that moves here, in LFM; None if nobody has said."""
        machine = self.upstream.machine
        return air_over(self.problem, self.receptacle, machine, in_bay=self.in_bay)

    @property
    def in_bay(self) -> bool:
        """Whether the part sits in a drive bay, at the end of a cable."""
        return self.upstream.on_cable and self.part.spec.bay is not None

    def named(self, *roles: str) -> Names:
        """The things in these roles, by their ids."""
        return {role: ROLES[role](self)[0] for role in roles}

    def said(self, *paths: str) -> tuple[Cited, ...]:
        """Facts such as `receptacle.open_end`; none of a chassis or supply that is not there."""
        found = []
        for path in paths:
            role, _, field_path = path.partition(".")
            name, entity = ROLES[role](self)
            if entity is not None:
                found.append(Cited(role, name, entity, field_path))
        return tuple(found)


ROLES: Mapping[str, Callable[[Trial], tuple[str, Entity | None]]] = {
    "part": lambda trial: (trial.part.id, trial.part.spec),
    "kind": lambda trial: (trial.part.spec.id, trial.part.spec),
    "wish": lambda trial: (trial.part.id, trial.part.wish),
    "body": lambda trial: (trial.part.body, trial.part.spec),
    "receptacle": lambda trial: (trial.receptacle.id, trial.receptacle.spec),
    "root": lambda trial: (trial.upstream.root, trial.problem.receptacle[trial.upstream.root].spec),
    "machine": lambda trial: (trial.machine.id, trial.machine.entry),
    "board": lambda trial: (trial.machine.board.id, trial.machine.board),
    "chassis": lambda trial: named(trial.machine.chassis),
    "supply": lambda trial: named(trial.machine.power_supply),
}
"""
What a thing is to a trial.

`kind`: the part as the catalog describes it, one for all of its kind. `body`: the part whose plug
it is. `root`: the receptacle on the board below it all.
"""


def named(entity: Any) -> tuple[str, Entity | None]:
    """A thing by its id; no thing, no name."""
    return (entity.id, entity) if entity else ("", None)


def fed(part: Part, receptacle: Receptacle) -> Part:
    """The part as it is fed there: away from slots by its plugs alone."""
    spec = part.spec.fed_at(receptacle.spec.form)
    return part if spec is part.spec else replace(part, spec=spec)


def seated(problem: Problem, seat: Seat) -> Part:
    """The part of a seat as it is fed there."""
    return fed(problem.part[seat.part], problem.receptacle[seat.receptacle])


def trial_of(problem: Problem, seat: Seat) -> Trial:
    """What the rules were asked when the seat was made."""
    receptacle = problem.receptacle[seat.receptacle]
    return Trial(
        problem,
        problem.machine[seat.upstream.machine],
        fed(problem.part[seat.part], receptacle),
        receptacle,
        seat.upstream,
        seat.links,
        seat.arrangements,
    )


def arrangement_of(trial: Trial) -> Arrangement | None:
    """The arrangement the seat needs, if any; what is nested leaves that to its owner."""
    if not trial.arrangements or trial.upstream.depth:
        return None
    group, name = trial.machine.group_of[trial.receptacle.spec.id], trial.arrangements[0]
    withheld = trial.machine.as_fitted[group.id].withheld
    return next((way for way in withheld if way.id == name), group.arrangement(name))


def division(way: Arrangement) -> str:
    """How to call an arrangement: by what the menu says, else by who gets what."""
    return repr(way.setting or gets(way))


def gets(way: Arrangement) -> str:
    """
    Who gets what under an arrangement, in words.

    >>> gets(Arrangement(gives={"slot1": (8,), "slot3": (4, 4), "sata1": ("sata",)}))
    'slot1 x8, slot3 x4+x4, sata1 SATA'
    """
    given = [
        f"{name} {'+'.join(f'x{w}' if isinstance(w, int) else w.upper() for w in widths)}"
        for name, widths in way.gives.items()
        if widths
    ]
    return ", ".join(given) or "no lanes for anybody"


def opening_at(trial: Trial) -> str | None:
    """Height class of the bracket opening: the receptacle's word first, else the chassis'."""
    if trial.receptacle.spec.bracket:
        return trial.receptacle.spec.bracket
    chassis = trial.machine.chassis
    return chassis.bracket if chassis and trial.receptacle.on_board else None


def air_over(
    problem: Problem, receptacle: Receptacle, machine_id: str, *, in_bay: bool = False
) -> float | None:
    """
    Air over a receptacle, in LFM: its own figure, else the machine's, else the chassis'.

    `in_bay`: a cable leads from there to a drive bay, over which the chassis has another figure.
    """
    machine = problem.machine[machine_id]
    if receptacle.is_away:
        return receptacle.spec.airflow_lfm
    if in_bay:
        return machine.chassis.bay_airflow_lfm if machine.chassis else None
    said = (
        receptacle.spec.airflow_lfm,
        machine.entry.airflow_lfm,
        machine.chassis.airflow_lfm if machine.chassis else None,
    )
    return next((lfm for lfm in said if lfm is not None), None)


def is_function(spec: PartSpec) -> bool:
    """Whether a guest can be given the part: it answers on the bus, not only passes lanes on."""
    own = any(link.bus == "pcie" and not link.to for link in spec.links)
    return own and spec.wiring != "switch"


def on_port_of_board(part: Part, upstream: Upstream) -> bool:
    """Whether it is a drive on a port of a controller that is soldered on."""
    storage = any(link.bus in ("sata", "sas") and not link.to for link in part.spec.links)
    return storage and all(isinstance(hop, HubKey) for hop in upstream.hops)


def hangs_on(upstream: Upstream, processor: str) -> bool | None:
    """Whether the lanes come from `cpu0`, or from `machine/cpu0`; None if nobody has said."""
    if upstream.processor is None:
        return None
    return processor in (upstream.processor, f"{upstream.machine}/{upstream.processor}")


def place_in(scope: Scope, seat: Seat) -> Hashable | None:
    """Where a seat is, as far as `together` and `apart` care; None if it is in no such place."""
    upstream = seat.upstream
    match scope:
        case "machine":
            return upstream.machine
        case "processor":
            return (upstream.machine, upstream.processor) if upstream.processor else None
        case "lane-group":
            return upstream.group
        case "hub":
            return upstream.hub
        case "carrier":
            return upstream.carriers[0] if upstream.carriers else None
        case _:
            assert_never(scope)


def is_place_unknown(scope: Scope, upstream: Upstream) -> bool:
    """Whether nobody has said where in that sense it is; being in no such place is known."""
    return scope in ("processor", "hub") and upstream.processor is None


GapOf = Literal[
    "board", "receptacle", "pcie receptacle", "short receptacle", "divisible receptacle",
    "unevenly split receptacle", "far slot", "lane source", "lane group", "arrangement", "part",
    "chassis", "power supply", "machine", "build", "build part",
]  # fmt: skip
"""
What lint looks at. Receptacles: each; those with PCIe lanes; of these those in the short form, and
of these again those that are commonly divided or are said to be, unevenly. Slots that hang on any
processor but the first; whatever must say where its lanes come from.
"""

Question = Literal["place", "check", "sequence", "compare"]


@dataclass(frozen=True, slots=True)
class Gap:
    """A fact that a file may leave out, and what hangs on it."""

    of: GapOf
    field: str
    when: Callable[[Any], bool]
    """Whether the fact is missing and would matter, for the thing it is a fact of."""
    then: str
    """What is not known without it, as a sentence without its full stop."""
    find_out: str
    changes: tuple[Question, ...] = ("place", "check")
    """Questions whose answer may change once it is known."""


@dataclass(frozen=True, slots=True)
class Unheld:
    """A part and a receptacle that it was not even held to."""

    problem: Problem
    part: Part
    receptacle: Receptacle
    seated: frozenset[str] | None = None
    """What has a seat today; None: it is about any plan, not about today."""

    @property
    def fits(self) -> bool:
        """Whether the plug goes in, whatever else holds."""
        return plug_fits(self.part.spec.plug.form, self.receptacle.spec.form)

    @property
    def is_own(self) -> bool:
        """Whether the receptacle is on the part itself."""
        owner = self.problem.part.get(self.receptacle.owner)
        return owner is not None and owner.body == self.part.body

    @property
    def facts(self) -> tuple[Cited, ...]:
        """The plug and the receptacle."""
        return (
            Cited("part", self.part.id, self.part.spec, "plug"),
            Cited("receptacle", self.receptacle.id, self.receptacle.spec, ""),
        )


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class Rule:
    """What every rule has: how it judges comes with its two kinds."""

    id: str
    title: str
    """The fault, as a noun phrase."""
    why: str
    source: str
    says: Mapping[str, Wording] = field(default_factory=dict)
    """Case -> how its reason is put in words."""
    looks: Mapping[str, Look] = field(default_factory=dict)
    """Case -> how its doubt is put in words, and found out."""
    gaps: tuple[Gap, ...] = ()
    """What lint says where a fact is missing that it asks for."""
    severity: Severity = "forbids"
    unheld: Callable[[Unheld], Iterator[No]] | None = None
    """Why a part is not even held to a receptacle, as far as it is this rule's to say."""
    machine: Callable[[Machine], Iterator[No]] | None = None
    """Why a machine cannot be put together, whatever goes into it."""

    def no(
        self,
        case: str,
        names: Names,
        facts: tuple[Cited, ...],
        detail: Mapping[str, Any] | None = None,
        **values: Any,
    ) -> No:
        """A reason: the names and values of its wording, and the facts that it rests on."""
        further = tuple((detail or {}).items())
        say = self.says[case]
        return No(self.id, case, tuple(names.items()), tuple(values.items()), further, facts, say)

    def doubt(
        self,
        case: str,
        names: Names,
        facts: tuple[Cited, ...],
        detail: Mapping[str, Any] | None = None,
        settled_by: tuple[str, ...] = (),
        settled_in: str | None = None,
        **values: Any,
    ) -> Doubt:
        """A doubt about facts: what it asks of what, told with what is in `detail` besides."""
        paths = (f"{fact.role}.{fact.path}" for fact in facts)
        key = (case, *paths, *names.values(), *map(plain, values.values()))
        told = (*names.items(), *values.items(), *(detail or {}).items())
        return Doubt(key, self.id, told, facts, self.looks[case], settled_by, settled_in)


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class SeatRule(Rule):
    """Judges one seat on its own: nothing, a no, or a doubt."""

    judge: Callable[[Trial], Iterator[Verdict]]
    counts_all: bool = False
    """Looks at more than the seat names: adds up, finds what settles it, or at today's layout."""

    def verdicts(self, trial: Trial) -> Iterator[Verdict]:
        """The same, each no with whether only the worst of the part's class is refused."""
        for one in self.judge(trial):
            if isinstance(one, No) and not one.by_worst and one.spreads:
                yield self.told_by_worst(trial, one)
            else:
                yield one

    def told_by_worst(self, trial: Trial, no: No) -> No:
        """The no, held against what the rule says of what is typical."""
        part = replace(trial.part, spec=at_typical(trial.part.spec))
        again = self.judge(replace(trial, part=part))
        return replace(no, by_worst=not any(isinstance(one, No) for one in again))


@dataclass(frozen=True, slots=True, kw_only=True, eq=False)
class PlanRule(Rule):
    """States what couples the seats of a plan, as clauses."""

    state: Callable[[Problem, Seating], Iterator[Clause]]

    def clauses(self, problem: Problem, seating: Seating) -> Iterator[Clause]:
        """The same, each with whether only the worst of a class is refused."""
        stated = self.state(problem, seating)
        if problem.typical is problem:
            return stated
        return self.told_by_worst(problem, seating, [*stated])

    def told_by_worst(
        self, problem: Problem, seating: Seating, stated: Sequence[Clause]
    ) -> Iterator[Clause]:
        """The clauses, held against those about what is typical."""
        varies = {one.reason for one in stated if one.reason.spreads}
        typical = self.state(problem.typical, seating) if varies else ()
        still = {(one.reason.case, one.reason.names) for one in typical}
        for clause in stated:
            no = clause.reason
            by_worst = no in varies and (no.case, no.names) not in still
            yield replace(clause, reason=replace(no, by_worst=True)) if by_worst else clause
