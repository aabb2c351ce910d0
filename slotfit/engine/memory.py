"""
Seat rules that remember what they said: a problem with one thing changed keeps most of its seats.

A way out is carried out on the problem and placed, again and again. Machines, parts and receptacles
that a change does not touch stay the same objects, so it is by them that a seat is known again.

So that nothing can be forgotten, the rules are asked about a problem that holds what the seat is
known by and nothing else. A rule that looks further does not find it, in the first problem already;
tests hold what it says there against what it says of the whole problem.
"""

from __future__ import annotations

from collections.abc import Hashable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property

from slotfit.engine.seats import Held, hold, judge
from slotfit.engine.upstream import Opening
from slotfit.hardware.rails import m2_of
from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.model.reason import Verdict
from slotfit.model.seat import Upstream
from slotfit.rule import SeatRule, Trial, is_function


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


@dataclass(frozen=True)
class Memory:
    """What the rules said of each seat."""

    rules: Sequence[SeatRule]
    said: dict[Hashable, tuple[Verdict, ...]] = field(default_factory=dict)
    held: dict[Hashable, Held] = field(default_factory=dict)
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

    def judge(self, trial: Trial) -> Iterator[Verdict]:
        """What the rules say, or have said of the very same."""
        around, named = (
            self.around(trial.problem),
            names(trial.part, trial.receptacle, trial.upstream),
        )
        # The rest of a trial, its machine and links, follows from the part and the offer.
        key = key_of(around, named, trial.upstream, trial.arrangements)
        if key not in self.said:
            seen = replace(trial, problem=in_view(around, named))
            self.said[key] = tuple(judge(seen, self.rules))
        return iter(self.said[key])

    def hold(self, problem: Problem, receptacle: Receptacle, part: Part, way: Opening) -> Held:
        """The seat of those words; only what it rests on is not part of it."""
        named = names(part, receptacle, way.upstream)
        key = key_of(self.around(problem), named, way.upstream, way.arrangements)
        if key not in self.held:
            self.held[key] = hold((self.rule,), problem, receptacle, part, way)
        seat, objections = self.held[key]
        return replace(seat, parents=way.parents), objections

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
    """
    The problem with what rules look at for every seat: no receptacles, and few parts.

    All of them where a machine has a supply: what it is asked for is the sum of what they draw.
    And where a carrier may feed its M.2 drives from its slot, which is for all of them together.
    """
    supplied = any(machine.power_supply for machine in problem.machines)
    guests = (part for part in problem.parts if part.wish.is_handed_over and is_function(part.spec))
    a_guest = next(guests, None)
    everyone = supplied or any(looks_at_all(part.spec) for part in problem.parts)
    movers = (part for part in problem.parts if part.spec.plug.form == "cooling-mount")
    common = {part.id for part in (a_guest, *movers) if part}
    return Problem(
        id="",
        machines=problem.machines,
        parts=tuple(part for part in problem.parts if everyone or part.id in common),
        receptacles=(),
        together=problem.together,
        apart=problem.apart,
        retire=tuple(name for name in problem.retire if name in problem.machine),
    )


def looks_at_all(spec: PartSpec) -> bool:
    """Whether rules about it count the draws of every part of the build."""
    return spec.makes_rails is None and bool(m2_of(spec))


def same(common: Problem) -> Hashable:
    """Equal if what rules look at for every seat is the same."""
    machines, parts = tuple(map(id, common.machines)), tuple(map(id, common.parts))
    return (machines, parts, common.together, common.apart, common.retire)


def in_view(around: Around, named: Sequence[str]) -> Problem:
    """The problem with nothing but what is common, and what has those names."""
    whole, common = around.whole, around.common
    near = (whole.part[name] for name in named if name in whole.part)
    parts = {part.id: part for part in (*common.parts, *near)}
    receptacles = {name: whole.receptacle[name] for name in named if name in whole.receptacle}
    leave = (name for name in whole.retire if any(name == part.body for part in parts.values()))
    return replace(
        common,
        parts=tuple(parts.values()),
        receptacles=tuple(receptacles.values()),
        retire=tuple(dict.fromkeys((*common.retire, *leave))),
    )
