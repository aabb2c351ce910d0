"""
Seat rules that remember what they said: a problem with one thing changed keeps most of its seats.

A way out is carried out on the problem and placed, again and again. Machines, parts and receptacles
that a change does not touch stay the same objects, so it is by them that a seat is known again.

So that nothing can be forgotten, the rules are asked about a problem that holds what the seat is
known by and nothing else. A rule that looks further does not find it, in the first problem already;
tests hold what it says there against what it says of the whole problem. The few rules that count
all parts say so, and are asked anew each time.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from operator import itemgetter

from slotfit.engine.seats import Held, ends_it, facts_in, hold, objections_in
from slotfit.engine.upstream import Opening
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.reason import Verdict
from slotfit.model.seat import Seat, Upstream
from slotfit.rule import SeatRule, Trial, trial_of


@dataclass(frozen=True, slots=True)
class Around:
    """What rules may look at in one problem."""

    whole: Problem
    """Kept, because an id is an object's own only as long as the object is there."""
    common: Problem
    """With what they may look at whichever seat they judge."""
    mark: int
    """Stands for all that."""
    marks: Mapping[str, int]
    """Name -> stands for what has that name."""


Numbered = tuple[tuple[int, Verdict], ...]
"""Verdicts, each with its rule's number."""


@dataclass(frozen=True, slots=True)
class Remembered:
    """What the rules that look at one seat alone said of it."""

    verdicts: Numbered
    until: int
    """Rules of this number and above are not asked: the plug is of another form."""


@dataclass(frozen=True)
class Memory:
    """What the rules said of each seat."""

    rules: Sequence[SeatRule]
    said: dict[Hashable, Remembered] = field(default_factory=dict)
    held: dict[Hashable, tuple[Seat, Remembered]] = field(default_factory=dict)
    known: dict[int, Around] = field(default_factory=dict)
    numbers: dict[Hashable, int] = field(default_factory=dict)

    @cached_property
    def rule(self) -> SeatRule:
        """One rule that says what all of them say, and looks at each seat once."""
        return SeatRule(
            id="",
            title="what the seat rules refuse",
            why="Every rule has its own words.",
            source="the seat rules",
            judge=self.judge,
        )

    @cached_property
    def counting(self) -> list[tuple[int, SeatRule]]:
        """The rules that count all parts, with their numbers."""
        return [(number, rule) for number, rule in enumerate(self.rules) if rule.counts_all]

    def judge(self, trial: Trial) -> Iterator[Verdict]:
        """What the rules say, or have said of the very same."""
        said = self.remembered(trial)
        return iter(in_order((*said.verdicts, *self.anew(said, trial))))

    def remembered(self, trial: Trial) -> Remembered:
        """What the rules say, or have said, that look at the seat alone."""
        around = self.around(trial.problem)
        named = names(trial.part, trial.receptacle, trial.upstream)
        # The rest of a trial, its machine and links, follows from the part and the offer.
        key = key_of(around, named, trial.upstream, trial.arrangements)
        if key not in self.said:
            seen = replace(trial, problem=in_view(around, named))
            self.said[key] = looked(seen, self.rules)
        return self.said[key]

    def anew(self, said: Remembered, trial: Trial) -> Numbered:
        """What the rules say that count all parts."""
        asked = (rule for rule in self.counting if rule[0] < said.until)
        return tuple((number, one) for number, rule in asked for one in rule.verdicts(trial))

    def hold(self, problem: Problem, receptacle: Receptacle, part: Part, way: Opening) -> Held:
        """The seat of those words; only what it rests on is not part of it."""
        named = names(part, receptacle, way.upstream)
        key = key_of(self.around(problem), named, way.upstream, way.arrangements)
        if key not in self.held:
            bare, _ = hold((), problem, receptacle, part, way)
            said = self.remembered(trial_of(problem, bare))
            self.held[key] = replace(bare, facts=facts_in(in_order(said.verdicts))), said
        seat, said = self.held[key]
        seat = replace(seat, parents=way.parents)
        verdicts, more = said.verdicts, self.anew(said, trial_of(problem, seat))
        if more:
            verdicts = (*verdicts, *more)
            seat = replace(seat, facts=facts_in(in_order(verdicts)))
        return seat, objections_in(in_order(verdicts))

    def around(self, problem: Problem) -> Around:
        """The problem, what it holds marked."""
        if id(problem) not in self.known:
            common = for_every_seat(problem)
            marks = {name: self.mark(thing) for name, thing in things(problem)}
            self.known[id(problem)] = Around(problem, common, self.mark(same(common)), marks)
        return self.known[id(problem)]

    def mark(self, thing: Hashable) -> int:
        """A number that stands for it: keys of numbers are found more quickly."""
        return self.numbers.setdefault(thing, len(self.numbers))


def looked(trial: Trial, rules: Sequence[SeatRule]) -> Remembered:
    """What the rules say that do not count all parts; a plug of another form ends the matter."""
    verdicts: list[tuple[int, Verdict]] = []
    for number, rule in enumerate(rules):
        if rule.counts_all:
            continue
        found = tuple(rule.verdicts(trial))
        verdicts += ((number, one) for one in found)
        if ends_it(found):
            return Remembered(tuple(verdicts), number)
    return Remembered(tuple(verdicts), len(rules))


def in_order(verdicts: Numbered) -> tuple[Verdict, ...]:
    """The verdicts in the order of their rules."""
    return tuple(verdict for _, verdict in sorted(verdicts, key=itemgetter(0)))


def names(part: Part, receptacle: Receptacle, upstream: Upstream) -> tuple[str, ...]:
    """All that a seat names: the part, the receptacle, and what is between it and the board."""
    between = (*upstream.carriers, *upstream.isolators, *upstream.fed_through)
    return (part.id, receptacle.id, receptacle.owner, upstream.root, *between)


def key_of(
    around: Around, named: Sequence[str], upstream: Upstream, arrangements: tuple[str, ...]
) -> Hashable:
    """Equal if all that rules may look at is the same."""
    return (around.mark, tuple(map(around.marks.get, named)), upstream, arrangements)


def things(problem: Problem) -> Iterator[tuple[str, Hashable]]:
    """Each name, and what is equal if it is the name of the same part and receptacle."""
    for name in problem.part.keys() | problem.receptacle.keys():
        part = problem.part.get(name)
        leaves = part is not None and part.body in problem.retire
        yield name, (id(part), leaves, same_receptacle(problem.receptacle.get(name)))


def same_receptacle(receptacle: Receptacle | None) -> Hashable:
    """Equal if it is the same receptacle; around it a receptacle is made anew with each problem."""
    return receptacle and (
        receptacle.id,
        receptacle.owner,
        receptacle.on_board,
        id(receptacle.spec),
    )


def for_every_seat(problem: Problem) -> Problem:
    """The problem with what rules look at for every seat: no receptacles and no parts."""
    return Problem(
        id="",
        machines=problem.machines,
        parts=(),
        receptacles=(),
        together=problem.together,
        apart=problem.apart,
        retire=tuple(name for name in problem.retire if name in problem.machine),
        outside=problem.outside,
    )


def same(common: Problem) -> Hashable:
    """Equal if what rules look at for every seat is the same."""
    machines = tuple(map(id, common.machines))
    outside = tuple(common.outside.items())
    return (machines, common.together, common.apart, common.retire, outside)


def in_view(around: Around, named: Sequence[str]) -> Problem:
    """The problem with nothing but what is common, and what has those names."""
    whole, common = around.whole, around.common
    parts = {name: whole.part[name] for name in named if name in whole.part}
    receptacles = {name: whole.receptacle[name] for name in named if name in whole.receptacle}
    leave = (name for name in whole.retire if any(name == part.body for part in parts.values()))
    return replace(
        common,
        parts=tuple(parts.values()),
        receptacles=tuple(receptacles.values()),
        retire=tuple(dict.fromkeys((*common.retire, *leave))),
    )
