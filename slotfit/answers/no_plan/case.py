"""
Everything that stands in the way of a plan, as reasons with names.

A rule that refuses a seat normally takes the seat off the table before anything is solved. Here
every seat that its plug allows is on the table, and each refusal becomes a clause of its own, so
that the one who asks "why not" gets it named.
"""

from __future__ import annotations

from collections.abc import Collection, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial

from slotfit.engine.alike import kinds
from slotfit.engine.seats import Held, hold, is_structure, judge, seats_of
from slotfit.engine.upstream import Opening
from slotfit.listing import natural
from slotfit.model.build import Group
from slotfit.model.clause import AtMost, Clause, ExactlyOne, Needs, atoms_of
from slotfit.model.entity import Span
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.reason import No, stated
from slotfit.model.seat import Seat, Seating
from slotfit.rule import SeatRule, trial_of
from slotfit.rulebook import PLAN_RULES, RANK, SEAT_RULES, is_wish
from slotfit.solve.clash import Stated
from slotfit.solve.frame import atoms_in
from slotfit.standards.forms import plug_fits


def canonical(problem: Problem) -> Problem:
    """Machines, parts, receptacles and groups in natural order of their names."""
    return replace(
        problem,
        machines=tuple(sorted(problem.machines, key=lambda machine: natural(machine.id))),
        parts=tuple(sorted(problem.parts, key=lambda part: natural(part.id))),
        receptacles=tuple(
            sorted(problem.receptacles, key=lambda receptacle: natural(receptacle.id))
        ),
        together=in_order(problem.together),
        apart=in_order(problem.apart),
    )


def in_order(groups: tuple[Group, ...]) -> tuple[Group, ...]:
    """Groups by their members, each with its members in order."""
    made = []
    for group in groups:
        copy = group.model_copy(update={"parts": tuple(sorted(group.parts, key=natural))})
        made.append(copy)
    return tuple(sorted(made, key=lambda group: (group.by, [natural(one) for one in group.parts])))


Entry = tuple[Part, ...]
"""The parts that one entry stands for; companions are not among them."""


def entries_of(problem: Problem) -> list[Entry]:
    """Every entry; its parts share one wish, so a wish is taken back for all of them."""
    found: dict[object, list[Part]] = {}
    for part in bodies(problem):
        found.setdefault(part.wish.span() or part.id, []).append(part)
    return [tuple(parts) for parts in found.values()]


def bodies(problem: Problem) -> list[Part]:
    """Parts that are parts themselves, in natural order."""
    found = [part for part in problem.parts if part.companion_of is None]
    return sorted(found, key=lambda part: natural(part.id))


def first_alike(problem: Problem) -> dict[str, str]:
    """Part -> the first by name of those that are as good as it: swap them, nothing changes."""
    found = {part.id: part.id for part in problem.parts}
    for members in kinds(problem):
        found.update(dict.fromkeys(members, members[0]))
    return found


MOST_SEATS = 40_000
"""More are not laid open: it would take minutes, and gigabytes."""


class TooManySeatsError(Exception):
    """A build is too large to be laid open."""


@dataclass
class Reason:
    """One rule's reason with all that it binds."""

    no: No
    nos: list[No] = field(default_factory=list)
    """Each time that a rule says it: the same may rest on facts of several things."""
    seats: dict[str, Seat] = field(default_factory=dict)
    """Seats that it refuses; none for a plan rule."""
    clauses: list[Clause] = field(default_factory=list)

    @property
    def spans(self) -> dict[Span, None]:
        """Where its facts are written, each place once."""
        return dict.fromkeys(span for no in self.nos for span in no.spans)

    @property
    def facts(self) -> set[object]:
        """What it cites: equal for two reasons that cite the same, wherever they do."""
        return {(fact.span or fact.thing, fact.written[1]) for no in self.nos for fact in no.facts}

    @property
    def rule(self) -> str:
        """The rule's id."""
        return self.no.rule

    @property
    def text(self) -> str:
        """A clause that fits after "because"."""
        return self.no.text

    @property
    def required(self) -> bool:
        """Whether it says that a part must be placed: no other clause asks for a seat."""
        return any(isinstance(clause, ExactlyOne) for clause in self.clauses)

    @property
    def name(self) -> str:
        """Its name in the solver's model."""
        return self.no.key


@dataclass(frozen=True)
class Case:
    """A problem laid open."""

    problem: Problem
    seating: Seating
    """Every seat that a plug allows, refused or not."""
    reasons: Mapping[str, Reason]
    stated: Stated
    rules: Sequence[SeatRule] = SEAT_RULES
    """What judged the seats."""

    @cached_property
    def by_rule(self) -> Mapping[str, list[Reason]]:
        """Rule -> its reasons."""
        found: dict[str, list[Reason]] = {}
        for reason in self.reasons.values():
            found.setdefault(reason.rule, []).append(reason)
        return found

    @cached_property
    def parts_of(self) -> Mapping[str, frozenset[str]]:
        """Reason -> the parts whose seats it refuses, or binds if it refuses none."""
        part = {key: seat.part for key, seat in self.seating.by_key.items()}
        return {
            name: frozenset(
                part[atom] for clause in reason.clauses for atom in atoms_of(clause) if atom in part
            )
            for name, reason in self.reasons.items()
        }

    def of_rules(self, rules: Collection[str]) -> Iterator[Reason]:
        """The reasons of these rules; of all rules if none is named."""
        for rule in rules or self.by_rule:
            yield from self.by_rule.get(rule, [])


def case_of(
    problem: Problem,
    unthought: Sequence[SeatRule] = (),
    rules: Sequence[SeatRule] = SEAT_RULES,
) -> Case:
    """
    Lay a problem open; seats that the rules `unthought` refuse are left out altogether.

    `rules`: what judges the others, all the seat rules or what remembers their words.

    The problem is best `canonical`: the answer's words, and which of several clashes is found,
    follow its order. Raises TooManySeatsError.
    """
    seating = seats_of(problem, partial(hold_if_thought_of, unthought), {}, MOST_SEATS)
    if seating is None:
        raise TooManySeatsError(problem.id)
    found: dict[No, Reason] = {}
    for seat in seating.seats:
        for objection in objections(problem, seat, rules):
            known(found, objection).seats[seat.key] = seat
    for reason in found.values():
        reason.clauses = [AtMost(reason.no, tuple((key, 1) for key in sorted(reason.seats)), 0)]
    hard = [*one_seat_a_part(problem, seating)]
    for rule in PLAN_RULES:
        for clause in rule.clauses(problem, seating):
            if is_structure(seating, clause):
                hard.append(clause)
            else:
                known(found, clause.reason).clauses.append(clause)
    in_order = {one.name: one for one in sorted(found.values(), key=lambda one: order(one.no))}
    stated = stated_of(problem, seating, hard, in_order)
    return Case(problem, seating, in_order, stated, rules)


NOT_THOUGHT_OF = (stated("the plug does not go in, whatever is wished"),)


def hold_if_thought_of(
    rules: Sequence[SeatRule], problem: Problem, receptacle: Receptacle, part: Part, way: Opening
) -> Held:
    """The seat; refused where the plug does not go in, or only into the part itself."""
    seat, against = hold(rules, problem, receptacle, part, way)
    own = any(problem.part[name].body == part.body for name in way.upstream.carriers)
    fits = plug_fits(part.spec.plug.form, receptacle.spec.form) and not own
    return seat, against if fits else NOT_THOUGHT_OF


def known(found: dict[No, Reason], no: No) -> Reason:
    """The reason that says so, made if it is new."""
    if no not in found:
        found[no] = Reason(no)
    found[no].nos.append(no)
    return found[no]


def order(no: No) -> tuple[object, ...]:
    """By rule, as the rulebook has them; then by names and values, numbers counted as numbers."""
    return (RANK.get(no.rule, -1), natural(no.key))


def objections(problem: Problem, seat: Seat, rules: Sequence[SeatRule]) -> Iterator[No]:
    """What the seat rules say against a seat."""
    return (one for one in judge(trial_of(problem, seat), rules) if isinstance(one, No))


def one_seat_a_part(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A part is in one place at a time, whether or not it must be placed."""
    reason = stated("a part is in one place at a time")
    for part in problem.parts:
        keys = tuple((seat.key, 1) for seat in seating.by_part.get(part.id, []))
        if keys:
            yield AtMost(reason, keys, 1)


def stated_of(
    problem: Problem, seating: Seating, hard: Sequence[Clause], reasons: Mapping[str, Reason]
) -> Stated:
    """The same for the solver, in an order that follows from the words alone."""
    return Stated(
        tuple(sorted(atoms_in(problem, seating))),
        tuple(sorted(hard, key=clause_order)),
        {name: tuple(sorted(r.clauses, key=clause_order)) for name, r in reasons.items()},
    )


def clause_order(clause: Clause) -> tuple[object, ...]:
    """By rule and words, then by what it binds."""
    shapes = (AtMost, Needs, ExactlyOne)
    shape = next(number for number, one in enumerate(shapes) if isinstance(clause, one))
    said = clause.reason
    return (RANK.get(said.rule, -1), said.key, shape, atoms_of(clause))


def asks(reason: Reason) -> bool:
    """Whether it was wished for in the build file, rather than being so."""
    return is_wish(reason.no)
