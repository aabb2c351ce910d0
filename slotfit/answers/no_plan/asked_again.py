"""
All rules asked again about a changed build: which reasons are gone, and what is new.

Nothing here knows a rule. A seat's reason is gone where the seat is not refused for it any more and
no rule objects anew; a plan's reason where no rule states it any more, or not in the same way. What
is stated anew binds only if the change is made.
"""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Container, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property, partial

from slotfit.answers.no_plan.case import Case, Reason, hold_if_thought_of, objections
from slotfit.answers.no_plan.changed import with_parts
from slotfit.engine.memory import for_every_seat, names, same, things
from slotfit.engine.seats import hold, is_structure, judge, seats_of
from slotfit.engine.upstream import Opening
from slotfit.model.clause import AtMost, Clause, Needs, atoms_of
from slotfit.model.plan import Placed
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt, No, stated
from slotfit.model.seat import Seat, Seating
from slotfit.rule import trial_of
from slotfit.rulebook import PLAN_RULES
from slotfit.solve.clash import Effect
from slotfit.standards.forms import plug_fits


@dataclass(frozen=True)
class Asking:
    """A case, to be held against changes of its problem."""

    case: Case

    @cached_property
    def refused(self) -> Mapping[str, list[Reason]]:
        """Seat -> the reasons that refuse it."""
        found: dict[str, list[Reason]] = {}
        for reason in self.case.reasons.values():
            for key in reason.seats:
                found.setdefault(key, []).append(reason)
        return found

    @cached_property
    def by_name(self) -> Mapping[str, list[Seat]]:
        """Name of a part, receptacle or machine -> the seats that name it."""
        found: defaultdict[str, list[Seat]] = defaultdict(list)
        problem = self.case.problem
        for seat in self.case.seating.seats:
            every = names(
                problem.part[seat.part], problem.receptacle[seat.receptacle], seat.upstream
            )
            for name in dict.fromkeys(every):
                found[name].append(seat)
        return found

    @cached_property
    def stated(self) -> Mapping[str, Mapping[str, frozenset[Clause]]]:
        """Plan rule -> its reasons by name, with their clauses."""
        return {
            rule.id: {
                reason.name: frozenset(reason.clauses)
                for reason in self.case.by_rule.get(rule.id, ())
            }
            for rule in PLAN_RULES
        }

    @cached_property
    def demanding(self) -> frozenset[str]:
        """The plan rules that ask for something to be there, rather than bound what is."""
        return frozenset(
            rule
            for rule, reasons in self.stated.items()
            if any(not isinstance(one, AtMost) for clauses in reasons.values() for one in clauses)
        )

    @cached_property
    def things(self) -> Mapping[str, object]:
        """What has each name."""
        return dict(things(self.case.problem))

    def again(self, changed: Problem) -> Effect:
        """What all rules say of the changed problem, held against what they say of the case."""
        if not has_same_openings(self.case.problem, changed):
            return self.of_other_seats(changed)
        seats = {one.key: one for one in self.case.seating.seats if is_there(changed, one)}
        lost = self.case.seating.by_key.keys() - seats.keys()
        gone: set[str] = set()
        new: list[Clause] = []
        affected = [seat for seat in self.affected(changed) if seat.key in seats]
        for seat in affected:
            held, said = held_again(self.case, changed, seat)
            seats[seat.key] = held
            reasons = self.refused.get(seat.key, [])
            gone.update(freed(reasons, said))
            new += [nowhere(one, [seat.key]) for one in anew(reasons, said)]
        if lost:
            new.append(nowhere(stated("it is not there"), sorted(lost)))
        # What a part would take is free once it is gone: a bound on it need not be stated again.
        less = is_less(self.case.problem, changed)
        rules = self.demanding if less else self.stated.keys()
        plan_gone, plan_new = self.plan_reasons(changed, rules, seats, lost)
        return Effect(frozenset(gone | plan_gone), (*new, *plan_new))

    def knows(self, changed: Problem) -> bool:
        """Whether the changed problem has no part and no receptacle that is new."""
        old = self.case.problem.part
        return has_same_openings(self.case.problem, changed) and all(
            one.id in old and one.spec is old[one.id].spec for one in changed.parts
        )

    def may_hold(self, changed: Problem, effect: Effect) -> bool:
        """
        Whether each part that must be placed may still have a seat, and all of them what they take.

        Only what can be counted is looked at.
        """
        case = self.case
        kept = (one for name, one in case.stated.soft.items() if name not in effect.lifts)
        bounds = [one for clauses in (*kept, effect.states) for one in clauses]
        limits = [one for one in bounds if isinstance(one, AtMost)]
        closed = {key for one in limits for key, weight in one.terms if weight > one.limit}
        must = [part.id for part in changed.parts if part.wish.required]
        free = {
            name: [s.key for s in case.seating.by_part.get(name, ()) if s.key not in closed]
            for name in must
        }
        return all(free.values()) and not any(is_overrun(one, free.values()) for one in limits)

    def affected(self, changed: Problem) -> list[Seat]:
        """
        Seats of which rules may say something else.

        Of a change to what rules look at for every seat, those that are refused: what it adds to
        others is found when it is tried.
        """
        if same(for_every_seat(self.case.problem)) != same(for_every_seat(changed)):
            return [self.case.seating.by_key[key] for key in self.refused]
        now = dict(things(changed))
        others = [name for name, thing in self.things.items() if now.get(name) != thing]
        found = {seat.key: seat for name in others for seat in self.by_name.get(name, ())}
        return [*found.values()]

    def plan_reasons(
        self,
        changed: Problem,
        rules: Collection[str],
        seats: Mapping[str, Seat],
        lost: Collection[str],
    ) -> tuple[set[str], list[Clause]]:
        """Plan rules' reasons that are gone, or stated otherwise, and what is stated instead."""
        seating = Seating(tuple(seats.values()), ())
        gone: set[str] = set()
        new: list[Clause] = []
        for rule in PLAN_RULES:
            if rule.id not in rules:
                continue
            now: dict[str, set[Clause]] = {}
            for clause in rule.clauses(changed, seating):
                if not is_structure(seating, clause):
                    now.setdefault(clause.reason.key, set()).add(clause)
            for name, clauses in self.stated[rule.id].items():
                if now.get(name) != {left for one in clauses if (left := without(one, lost))}:
                    gone.add(name)
                else:
                    del now[name]
            new += [clause for clauses in now.values() for clause in clauses]
        return gone, new

    def of_other_seats(self, changed: Problem) -> Effect:
        """The same where receptacles offer something else: a seat is known by where it is."""
        seating = seats_of(changed, partial(hold_if_thought_of, ()), {}, None)
        homes: defaultdict[object, list[Seat]] = defaultdict(list)
        for seat in seating.seats if seating else ():
            homes[home(seat)].append(seat)
        gone: set[str] = set()
        for key, reasons in self.refused.items():
            was = self.case.seating.by_key[key]
            for seat in homes[home(was)]:
                if is_alike(was, seat):
                    gone.update(freed(reasons, [*objections(changed, seat, self.case.rules)]))
        return Effect(frozenset(gone))


def is_overrun(bound: AtMost, parts: Iterable[Sequence[str]]) -> bool:
    """Whether parts, each in one of its seats, take more than that even where they take least."""
    weights = dict(bound.terms)
    return sum(min(weights.get(key, 0) for key in seats) for seats in parts) > bound.limit


def is_less(old: Problem, new: Problem) -> bool:
    """Whether it is the same but for parts that are not there any more."""
    kept = tuple(part for part in old.parts if part.id in new.part)
    return new.parts == kept and same(for_every_seat(replace(old, parts=kept))) == same(
        for_every_seat(new)
    )


def has_same_openings(old: Problem, new: Problem) -> bool:
    """
    Whether receptacles offer what they did.

    That follows from boards, their processors and the chassis' places.
    """
    return all(
        (now := new.machine[one.id]).board is one.board
        and now.fitted == one.fitted
        and now.receptacles == one.receptacles
        for one in old.machines
    )


def is_there(problem: Problem, seat: Seat) -> bool:
    """Whether the part, the receptacle, and what is between it and the board are there."""
    return (
        seat.part in problem.part
        and seat.receptacle in problem.receptacle
        and all(name in problem.part for name in seat.upstream.carriers)
    )


def held_again(case: Case, changed: Problem, seat: Seat) -> tuple[Seat, list[No]]:
    """The seat as it is now, and what is said against it."""
    way = Opening(seat.upstream, seat.arrangements, seat.parents)
    receptacle, part = changed.receptacle[seat.receptacle], changed.part[seat.part]
    held, said = hold(case.rules, changed, receptacle, part, way)
    return replace(held, key=seat.key), [*said]


def freed(reasons: Sequence[Reason], said: Sequence[No]) -> Iterator[str]:
    """The reasons of one seat that are gone, while no rule objects anew."""
    still = {one.key for one in said}
    fresh = {one.rule for one in anew(reasons, said)}
    for reason in reasons:
        others = {other.no.rule for other in reasons if other.no.rule != reason.no.rule}
        if reason.name not in still and fresh <= others:
            yield reason.name


def anew(reasons: Sequence[Reason], said: Sequence[No]) -> list[No]:
    """What nobody said against the seat before."""
    before = {reason.name for reason in reasons}
    return [one for one in said if one.key not in before]


def nowhere(said: No, keys: Sequence[str]) -> Clause:
    """None of these seats is taken."""
    return AtMost(said, tuple((key, 1) for key in keys), 0)


def without(clause: Clause, lost: Collection[str]) -> Clause | None:
    """The clause once these atoms are not there; None if it then says nothing."""
    if not lost or not any(atom in lost for atom in atoms_of(clause)):
        return clause
    if isinstance(clause, AtMost):
        terms = tuple(term for term in clause.terms if term[0] not in lost)
        return replace(clause, terms=terms) if terms else None
    if isinstance(clause, Needs):
        left = tuple(atom for atom in clause.any_of if atom not in lost)
        return None if clause.atom in lost else replace(clause, any_of=left)
    left = tuple(atom for atom in clause.atoms if atom not in lost)
    return replace(clause, atoms=left) if left else None


def home(seat: Seat) -> object:
    """Where a seat is, whatever it is offered there."""
    return (seat.part, seat.receptacle, seat.upstream.carriers, seat.upstream.root)


def is_alike(one: Seat, other: Seat) -> bool:
    """Whether two seats may be had under one arrangement; none named is any."""
    ways = (one.arrangements, other.arrangements)
    return not all(ways) or not set(ways[0]).isdisjoint(ways[1])


def new_doubts(case: Case, placed: Placed) -> tuple[str, ...]:
    """What the plan of a changed build rests on, and nobody doubted of its seats before."""
    plan = placed.plan
    known = has_same_openings(case.problem, placed.problem)
    found: dict[str, None] = {}
    for seat in plan.seats if plan else ():
        before: set[tuple[str, ...]] = set()
        if known and is_there(case.problem, seat):
            said = judge(trial_of(case.problem, seat), case.rules)
            before = {one.id for one in said if isinstance(one, Doubt)}
        new = (fact for fact in seat.facts if fact.id not in before)
        found.update((fact.statement, None) for fact in new if plan and fact in plan.facts)
    return tuple(found)


Burdens = defaultdict[str, defaultdict[str, float]]
"""Seat -> rule -> by how much it is bound."""


def burdens(clauses: Iterable[Clause], every: Iterable[Seat], few: Iterable[Seat]) -> Burdens:
    """
    By how much a few seats of all that the clauses speak of are bound.

    What is enough, and no other part has a share in, is no bound.
    """
    found: Burdens = defaultdict(lambda: defaultdict(float))
    part = {seat.key: seat.part for seat in every}
    asked = {seat.key for seat in few}
    for clause in clauses:
        rule = clause.reason.rule
        if isinstance(clause, Needs):
            found[clause.atom][rule] += 1 / (1 + len(clause.any_of))
        elif isinstance(clause, AtMost):
            shared = len({part[key] for key, _ in clause.terms if key in part}) > 1
            for key, weight in clause.terms:
                if key in asked and (shared or weight > clause.limit):
                    found[key][rule] += weight
    return found


@dataclass(frozen=True)
class Against:
    """Reasons of a clash that are about one part, for something to buy to get around."""

    asking: Asking
    reasons: Sequence[Reason]

    @cached_property
    def told(self) -> frozenset[str]:
        """Their names."""
        return frozenset(reason.name for reason in self.reasons)

    @cached_property
    def clauses(self) -> tuple[Clause, ...]:
        """What those of plan rules state."""
        stated = (reason.clauses for reason in self.reasons if not reason.seats)
        return tuple(clause for clauses in stated for clause in clauses)

    @cached_property
    def refuses(self) -> frozenset[str]:
        """The seats that they refuse."""
        return frozenset(key for reason in self.reasons for key in reason.seats)

    @cached_property
    def binds(self) -> list[Seat]:
        """The seats that plan rules' reasons bind."""
        by_key = self.asking.case.seating.by_key
        atoms = dict.fromkeys(atom for clause in self.clauses for atom in atoms_of(clause))
        return [by_key[atom] for atom in atoms if atom in by_key]

    @cached_property
    def before(self) -> Burdens:
        """By how much they bind each seat."""
        return burdens(self.clauses, self.binds, self.binds)

    def helped_by(
        self, changed: Problem, names: Collection[str], only: Container[str] | None = None
    ) -> bool:
        """
        Whether what is bought for these parts gets around one of the reasons.

        It does where a seat is freed of one, or bound less, or lies where none of them reaches.
        `only`: whose receptacles the parts are held to.
        """
        few = self.seats_again(changed, names, only)
        after = self.burdens_again(changed, few)
        return any(
            self.is_gain(seat, changed, after[seat.key]) for seat in few if seat.part in names
        )

    def is_gain(self, seat: Seat, changed: Problem, bound: Mapping[str, float]) -> bool:
        """Whether this seat is one that the reasons leave alone, or more so."""
        case, refused = self.asking.case, self.asking.refused
        olds = case.seating.by_part.get(seat.part, [])
        near = [
            old for old in olds if old.upstream.root == seat.upstream.root and is_alike(old, seat)
        ]
        here = [old for old in near if home(old) == home(seat)]
        refusing = [refused.get(old.key, []) for old in here or near]
        before = [self.before[old.key] for old in here or olds]
        may_be_freed = any(one.name in self.told for each in refusing for one in each)
        is_eased = bound_less(bound, before) or (
            not near and (not any(before) or not self.refuses.isdisjoint(old.key for old in olds))
        )
        if not (may_be_freed or is_eased):
            return False
        said = [*objections(changed, seat, case.rules)]
        if any(not self.told.isdisjoint(freed(each, said)) for each in refusing):
            return True
        return is_eased and not (any(anew(each, said) for each in refusing) if here else said)

    def seats_again(
        self, changed: Problem, names: Collection[str], only: Container[str] | None
    ) -> list[Seat]:
        """The seats of a few parts, on whatever carried them and on what is new, and of that."""
        case = self.asking.case
        seats = (seat for name in names for seat in case.seating.by_part.get(name, ()))
        kept = {*names, *(carrier for seat in seats for carrier in seat.upstream.carriers)}
        new = changed.part.keys() - case.problem.part.keys()
        kept |= carrying(case, [changed.part[name].spec.plug.form for name in new])
        few = with_parts(changed, tuple(one for one in changed.parts if one.id in kept | new))
        receptacles = frozenset(
            one.id for one in few.receptacles if only is None or one.owner in only
        )
        held = partial(hold_if_thought_of, ())
        found = seats_of(few, held, {} if only is None else dict.fromkeys(names, receptacles), None)
        return [seat for seat in found.seats if seat.part in new.union(names)] if found else []

    def burdens_again(self, changed: Problem, few: Sequence[Seat]) -> Burdens:
        """What the same rules bind these seats by now, beside the others that they bind."""
        parts = {seat.part for seat in few}
        others = [
            seat
            for seat in self.binds
            if parts.isdisjoint((seat.part, *seat.upstream.carriers)) and is_there(changed, seat)
        ]
        every = [*few, *others]
        asked = {clause.reason.rule for clause in self.clauses}
        rules = [rule for rule in PLAN_RULES if rule.id in asked]
        stated = (one for rule in rules for one in rule.clauses(changed, Seating((*every,), ())))
        found = burdens(stated, every, few)
        for seat in few:  # what it sits on is bound in its stead; that comes before it
            beneath = [found[key] for key in seat.parents]
            for rule in asked:
                found[seat.key][rule] += min((each[rule] for each in beneath), default=0)
        return found


def carrying(case: Case, plugs: Sequence[str]) -> set[str]:
    """Parts that have a socket for one of these plugs, and what they may sit on themselves."""
    owners = {
        one.owner
        for one in case.problem.receptacles
        if not one.on_board and any(plug_fits(plug, one.spec.form) for plug in plugs)
    }
    seats = (seat for name in owners for seat in case.seating.by_part.get(name, ()))
    return owners.union(*(seat.upstream.carriers for seat in seats))


def bound_less(now: Mapping[str, float], before: Sequence[Mapping[str, float]]) -> bool:
    """Whether some rule that binds these seats binds this one less than any of them."""
    rules = {rule for each in before for rule in each}
    return any(
        now.get(rule, 0) < min(each[rule] for each in before if rule in each) for rule in rules
    )
