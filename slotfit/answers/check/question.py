"""What is asked: one part held to receptacles one by one; and layouts tried to answer it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Iterable, Iterator, Mapping, Sequence
from copy import copy
from dataclasses import dataclass, field
from functools import cached_property
from typing import Self

from slotfit.engine.seats import Held, hold, judge, seat_by
from slotfit.engine.upstream import Opening
from slotfit.model.clause import Clause, arrangement, atoms_of, holds
from slotfit.model.keys import GroupKey, LinkKey
from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.reason import No
from slotfit.model.seat import Refusal, Seat
from slotfit.rule import PlanRule, SeatRule, trial_of
from slotfit.rulebook import keeps_out
from slotfit.standards.forms import WITHOUT_LANES


@dataclass(frozen=True, slots=True)
class Question:
    """
    A part, the drives on it, and the machine as it is today.

    The problem holds as parts what sits in the machine today, the part and its drives, and nothing
    else; none of them has a wish about where it goes.
    """

    problem: Problem
    part_id: str
    """Part id of the part asked about."""
    receptacles: tuple[str, ...]
    """Receptacles it is held to."""
    drives: Mapping[str, str] = field(default_factory=dict)
    """Part id of a drive (or whatever sits on the part) -> the part's socket it sits in."""
    today: Mapping[str, str] = field(default_factory=dict)
    """Part id of what is in the machine already -> its receptacle."""
    sat_in: str | None = None
    """Receptacle the part itself is in today, where it is one of the build's."""
    unconnected: tuple[str, ...] = ()
    """Further plugs of the part that must be connected too, and that nobody looked at."""

    @property
    def part(self) -> Part:
        """The part asked about."""
        return self.problem.part[self.part_id]


def is_lane_socket(spec: PartSpec, name: str) -> bool:
    """Whether a receptacle of a part takes a drive or card, not an air mover or a power lead."""
    return any(one.id == name and one.form not in WITHOUT_LANES for one in spec.receptacles)


Sits = Mapping[str, str]
"""Part -> receptacle."""
Ways = Mapping[GroupKey, str]
"""Lane group -> arrangement id."""


def is_on(problem: Problem, sits: Sits, receptacle_id: str, name: str) -> bool:
    """Whether a receptacle is on a part, or on what is on it."""
    receptacle = problem.receptacle.get(receptacle_id)
    while receptacle is not None and not receptacle.on_board:
        if receptacle.owner == name:
            return True
        receptacle = problem.receptacle.get(sits.get(receptacle.owner, ""))
    return False


@dataclass(frozen=True, slots=True)
class SeatedParts:
    """Every part in its receptacle under one arrangement of each lane group."""

    seats: Mapping[str, Seat]
    """What is there, at work or not: it has its body, its plugs and its watts."""
    ways: Ways
    against: Mapping[str, tuple[No, ...]]
    """Parts that do not work where they were put, each with every reason."""
    broken: tuple[Clause, ...]
    """Clauses that do not hold, of those that the part asked about has to do with."""

    def works(self, part: str) -> bool:
        """Whether a part is there and at work."""
        return part in self.seats and part not in self.against

    @property
    def working(self) -> dict[str, Seat]:
        """The seats of what is at work."""
        return {part: seat for part, seat in self.seats.items() if part not in self.against}


class LayoutModel:
    """
    Tries layouts on what the rules say.

    The rules are those by which `place` solves, so the two cannot disagree. But a part that is not
    seen is seated here too, and so is whatever a file or the question says is there.
    """

    def __init__(
        self, question: Question, seat_rules: Sequence[SeatRule], plan_rules: Sequence[PlanRule]
    ) -> None:
        self.question = question
        self.problem = question.problem
        self.seat_rules = seat_rules
        self.plan_rules = plan_rules
        self.seating = seat_by(self.held, self.problem)
        self.clauses = [c for rule in plan_rules for c in rule.clauses(self.problem, self.seating)]
        self.groups = self.problem.lane_groups
        self.set_today = dict(settings_said(self.problem))
        """Lane group -> the arrangement that the build file says is chosen now."""
        self.suited: dict[tuple[GroupKey, tuple[tuple[str, str], ...]], str] = {}
        """Lane group and what sits there -> its best arrangement; the same is asked often."""
        self.short: dict[int, tuple[SeatedParts, Mapping[LinkKey, int]]] = {}
        """A layout's identity -> the layout, and the MB/s it falls short, by link."""
        self.objections: dict[str, tuple[No, ...]] = {}
        """A seat's key -> all that its rules have against it."""
        self.about: defaultdict[str, list[Clause]] = defaultdict(list)
        for clause in self.clauses:
            for atom in dict.fromkeys(atoms_of(clause)):
                self.about[atom].append(clause)
        self.seats_at: defaultdict[tuple[str, str], list[Seat]] = defaultdict(list)
        for seat in self.seating.seats:
            self.seats_at[seat.part, seat.receptacle].append(seat)
        self.refusals_at: defaultdict[tuple[str, str], list[Refusal]] = defaultdict(list)
        for refusal in self.seating.refusals:
            self.refusals_at[refusal.seat.part, refusal.seat.receptacle].append(refusal)

    def held(self, problem: Problem, receptacle: Receptacle, part: Part, way: Opening) -> Held:
        """The seat, and every objection where these keep the part out and it is not there."""
        seat, objections = hold(self.seat_rules, problem, receptacle, part, way)
        there = self.is_there(part.id, receptacle) or not any(map(keeps_out, objections))
        return seat, () if there else objections

    def is_there(self, part: str, receptacle: Receptacle) -> bool:
        """Whether it sits there today, or is to be on the part asked about, whatever rules say."""
        question = self.question
        if part in question.drives and receptacle.owner in self.asked():
            return True
        today = question.today.get(part, self.problem.today.get(part))
        return today == receptacle.id

    def group_at(self, receptacle_id: str, sits: Sits) -> GroupKey | None:
        """The lane group that feeds a receptacle, through whatever it is on."""
        receptacle = self.problem.receptacle[receptacle_id]
        while not receptacle.on_board:
            if receptacle.owner not in sits:
                return None
            receptacle = self.problem.receptacle[sits[receptacle.owner]]
        group = self.problem.machine[receptacle.owner].group_of.get(receptacle.spec.id)
        return GroupKey(receptacle.owner, group.id) if group else None

    def asking(self, question: Question) -> Self:
        """The same machine and parts, asked otherwise; seats and clauses are kept."""
        other = copy(self)
        other.question = question
        return other

    def lay(
        self,
        sits: Sits,
        fixed: Ways,
        before: SeatedParts | None = None,
        also: Sequence[str] = (),
        *,
        as_set: bool = True,
    ) -> SeatedParts:
        """
        Everything where `sits` says; lane groups that are not fixed are chosen to suit it.

        `also` names parts whose clauses are looked at beside those of the part asked about, and of
        what is otherwise than `before`. `as_set`: what is said to be set today stays so in groups
        that are not fixed.
        """
        said = {**(self.set_today if as_set else {}), **fixed}
        suited = {
            name: self.best_way(name, here)
            for name, here in self.by_group(sits).items()
            if name is not None and name not in said
        }
        ways = {**self.of_empty, **suited, **said}
        seats, against = self.seated(sits, ways)
        chosen = self.atoms(seats.values(), ways)
        mine = [seats[part].key for part in (*self.asked(), *also) if part in seats]
        mine += [arrangement(name, way) for name, way in fixed.items()]
        broken = dict.fromkeys(self.broken_by(mine, chosen))
        if before is not None:
            was = self.atoms(before.seats.values(), before.ways)
            now = self.broken_by(sorted(chosen - was), chosen)
            broken |= dict.fromkeys(clause for clause in now if holds(clause, was))
        return SeatedParts(seats, ways, against, tuple(broken))

    def broken_by(self, atoms: Iterable[str], chosen: set[str]) -> Iterator[Clause]:
        """Clauses about any of these that do not hold."""
        return (one for atom in atoms for one in self.about[atom] if not holds(one, chosen))

    def asked(self) -> tuple[str, ...]:
        """The part asked about and what sits on it."""
        return (self.question.part_id, *self.question.drives)

    @cached_property
    def of_empty(self) -> Ways:
        """What each lane group is set to where nothing sits on it."""
        return {name: self.best_way(name, {}) for name in self.groups}

    def by_group(self, sits: Sits) -> Mapping[GroupKey | None, dict[str, str]]:
        """Lane group -> what it feeds, and where that sits."""
        found: defaultdict[GroupKey | None, dict[str, str]] = defaultdict(dict)
        for part, receptacle in sits.items():
            found[self.group_at(receptacle, sits)][part] = receptacle
        return found

    def best_way(self, group: GroupKey, here: Sits) -> str:
        """The arrangement that suits what sits there; the board's own if several do."""
        ways = [str(way.id) for way in self.groups[group].arrangements]
        if len(ways) == 1:
            return ways[0]
        key = (group, tuple(here.items()))
        if key not in self.suited:
            self.suited[key] = min(ways, key=lambda way: self.misfit(group, way, here))
        return self.suited[key]

    def misfit(self, group: GroupKey, way: str, here: Sits) -> tuple[int, int, int]:
        """How badly an arrangement suits: parts that do not work, clauses broken, links dark."""
        seats, against = self.seated(here, {group: way})
        chosen = self.atoms(seats.values(), {group: way})
        broken = sum(not holds(clause, chosen) for clause in self.about[arrangement(group, way)])
        dark = sum(seat.dark for part, seat in seats.items() if part not in against)
        return len(against), broken, dark

    def seated(self, sits: Sits, ways: Ways) -> tuple[dict[str, Seat], dict[str, tuple[No, ...]]]:
        """Each part's seat where it can have one, and the objections where it does not work."""
        seats: dict[str, Seat] = {}
        against: dict[str, tuple[No, ...]] = {}
        for part in self.owners_first(sits):
            receptacle = sits[part]
            owners = {seat.key for seat in seats.values()}
            found = next(fitting(self.seats_at[part, receptacle], owners, ways), None)
            if found is None:
                refused = [refusal.seat for refusal in self.refusals_at[part, receptacle]]
                tried = tuple(fitting(refused, owners, ways))
                against[part] = tuple(dict.fromkeys(no for one in tried for no in self.judged(one)))
                continue
            objections = self.judged(found)
            if objections:
                against[part] = objections
            if part != self.question.part_id or not any(map(keeps_out, objections)):
                seats[part] = found
        return seats, against

    def judged(self, seat: Seat) -> tuple[No, ...]:
        """Every objection to a seat."""
        known = self.objections.get(seat.key)
        if known is None:
            verdicts = judge(trial_of(self.problem, seat), self.seat_rules)
            known = tuple(one for one in verdicts if isinstance(one, No))
            self.objections[seat.key] = known
        return known

    def owners_first(self, sits: Sits) -> list[str]:
        """Parts so that what carries another comes before it."""

        def depth(part: str) -> int:
            receptacle = self.problem.receptacle[sits[part]]
            return (
                0
                if receptacle.on_board or receptacle.owner not in sits
                else 1 + depth(receptacle.owner)
            )

        return sorted(sits, key=depth)

    @staticmethod
    def atoms(seats: Iterable[Seat], ways: Ways) -> set[str]:
        """What is chosen, as clauses speak of it."""
        return {seat.key for seat in seats} | {arrangement(g, way) for g, way in ways.items()}


def settings_said(problem: Problem) -> Iterator[tuple[GroupKey, str]]:
    """Lane groups with what somebody has set; what is plugged in decides the others afresh."""
    for group, id_ in problem.settings_today.items():
        way = problem.arrangement(group, problem.settings_today)
        if way.id == id_ and way.chosen_by in ("setting", "jumper"):
            yield group, id_


def ousted(layout: SeatedParts, today: SeatedParts) -> tuple[str, ...]:
    """Parts that work today and do not in a layout."""
    return tuple(part for part in layout.against if today.works(part))


def stands(layout: SeatedParts, today: SeatedParts) -> bool:
    """Whether nothing forbids a layout: no clause, and whatever works today still does."""
    return not layout.broken and not ousted(layout, today)


def layouts(model: LayoutModel, receptacle: str, today: SeatedParts) -> Iterator[SeatedParts]:
    """The part in one receptacle, once for each arrangement of the lanes below it."""
    question = model.question
    sits = {**question.today, question.part_id: receptacle, **question.drives}
    group = model.group_at(receptacle, sits)
    if group is None:
        yield model.lay(sits, {}, today)
        return
    for way in model.groups[group].arrangements:
        yield model.lay(sits, {group: str(way.id)}, today)


def fitting(seats: Iterable[Seat], owners: set[str], ways: Ways) -> Iterator[Seat]:
    """Seats that hold with these owners' seats and these arrangements."""
    for seat in seats:
        if seat.parents:
            if owners.intersection(seat.parents):
                yield seat
        elif not seat.arrangements or (
            seat.upstream.group and ways.get(seat.upstream.group) in seat.arrangements
        ):
            yield seat
