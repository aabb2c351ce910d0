"""
Ways out: the smallest sets of changes that make a plan possible, each tried out.

All changes are on the table at once: wishes taken back, parts left out, and stand-ins for what
could be bought, which are there only if that change is made. One model names the smallest sets;
each is then carried out on the problem itself and placed, so that nothing is offered unproven.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property, partial
from itertools import islice, product

from slotfit.answers.no_plan.answer import WayOut, WayOutStep
from slotfit.answers.no_plan.asked_again import Asking, new_doubts
from slotfit.answers.no_plan.buy import (
    ONE_AT_A_TIME,
    additions,
    by_part,
    cables,
    movers,
    other_parts,
    takers,
)
from slotfit.answers.no_plan.case import (
    Case,
    Reason,
    TooManySeatsError,
    canonical,
    case_of,
)
from slotfit.answers.no_plan.changed import with_parts
from slotfit.answers.no_plan.give_up import (
    RANK,
    Change,
    Option,
    groups_dissolved,
    parts_less,
    typical_figures,
    wishes_back,
)
from slotfit.answers.no_plan.machines import boards, brackets, cases, kept_on, processors, supplies
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.write import rewritten
from slotfit.model.clause import AtMost, Clause, Needs
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.reason import stated
from slotfit.solve.clash import Effect, Stated, corrections
from slotfit.solve.engine import Clock

ONE_OF = ("leave-out", "other-part", "guest")
"""Kinds of which one is enough for each subject."""


@dataclass(frozen=True)
class Table:
    """Every change that may help, and the model that tells which do."""

    changes: list[Change]
    wide: Case
    stated: Stated
    asking: Asking
    """The case as it is, without what could be bought."""
    clashes: Sequence[Sequence[Reason]]
    alone: list[Change]
    """Changes that are only tried by themselves: in the model they would take too much room."""
    asked: dict[tuple[int, ...], Effect] = field(default_factory=dict)
    """Options, by identity -> what all rules say once they are done."""
    without_stand_ins: bool = False
    """What could be bought was left out: there would be too many seats."""

    @cached_property
    def effects(self) -> dict[str, Effect]:
        """Change -> which reasons it lifts, and what binds if it is made."""
        asking = Asking(self.wide)
        amends = {change.asks for change in self.changes}
        known = {amend: asking.again(amend(self.wide.problem)) for amend in amends if amend}
        return {
            change.name: known[change.asks] if change.asks else Effect() for change in self.changes
        }

    @cached_property
    def clashing(self) -> frozenset[str]:
        """Names of the clashes' reasons."""
        return frozenset(reason.name for clash in self.clashes for reason in clash)

    def is_useful(self, change: Change, option: Option) -> bool:
        """Whether one of many things to buy does away with what another of them might."""
        wanted = self.clashing & self.effects.get(change.name, Effect()).lifts
        if len(change.options) == 1 or not wanted:
            return True
        return not wanted.isdisjoint(self.again([option], self.done([option])).lifts)

    def has_chance(self, options: Sequence[Option]) -> bool:
        """Whether nothing that can be counted rules out a plan once these are done."""
        problem = self.done(options)
        if not self.asking.knows(problem):
            return True
        return self.asking.may_hold(problem, self.again(options, problem))

    def done(self, options: Sequence[Option]) -> Problem:
        """The problem once these are done."""
        problem = self.asking.case.problem
        for option in options:
            problem = option.made(problem)
        return problem

    def again(self, options: Sequence[Option], made: Problem) -> Effect:
        """What all rules say once these are done."""
        key = tuple(map(id, options))
        if key not in self.asked:
            self.asked[key] = self.asking.again(made)
        return self.asked[key]

    def without(self, kind: str) -> Table:
        """The same without changes of a kind."""
        return replace(self, changes=[one for one in self.changes if one.kind != kind], alone=[])


def tabled(
    case: Case,
    clashes: Sequence[Sequence[Reason]],
    shop: Shop | None,
    surplus: Mapping[str, int],
) -> Table:
    """All changes but another board; `surplus`: so many of these parts alike must go at least."""
    problem = case.problem
    changes = [
        *typical_figures(problem),
        *brackets(problem),
        *wishes_back(problem),
        *groups_dissolved(problem),
    ]
    changes += [*kept_on(problem), *processors(problem), *parts_less(case, surplus)]
    alone: list[Change] = []
    asking = Asking(case)
    if shop is not None and "buy" not in problem.untouchable:
        clashing = by_part(asking, [reason for clash in clashes for reason in clash])
        changes += additions(problem, clashing, shop, (movers, cables))
        changes += other_parts(problem, clashing, shop)
        changes += [*supplies(problem, shop), *cases(problem, shop)]
        # Each can sit, and take parts, in many ways: in the model they would take too much room.
        found = (additions(problem, by_part(asking, one), shop, (takers,)) for one in clashes)
        alone = in_every([*found])
    changes.sort(key=lambda change: change.order)
    try:
        return Table(changes, *with_stand_ins(case, changes), asking, clashes, alone)
    except TooManySeatsError:
        changes = [change for change in changes if not change.stands_for]
        return Table(
            changes, *with_stand_ins(case, changes), asking, clashes, alone, without_stand_ins=True
        )


def in_every(found: Sequence[Sequence[Change]]) -> list[Change]:
    """Changes that may help with each of several clashes: by itself none of the others will do."""
    names = [{change.name for change in changes} for changes in found]
    return [change for change in found[0] if all(change.name in these for these in names)]


def with_stand_ins(case: Case, changes: Sequence[Change]) -> tuple[Case, Stated]:
    """The case with everything that could be bought in it, there only if it is."""
    stand_ins = tuple(part for change in changes for part in change.stands_for)
    problem = canonical(with_parts(case.problem, (*case.problem.parts, *stand_ins)))
    wide = case_of(problem, [ONE_AT_A_TIME], case.rules) if stand_ins else case
    hard = [*wide.stated.hard]
    for change in changes:
        hard += only_if_made(wide, change)
    hard += one_of_each(changes)
    atoms = (*wide.stated.atoms, *(change.name for change in changes))
    return wide, Stated(atoms, tuple(hard), wide.stated.soft)


def only_if_made(wide: Case, change: Change) -> Iterator[Clause]:
    """What stands in is seated if the change is made, and only then."""
    ground = stated(change.label)
    for number, part in enumerate(change.stands_for):
        seats = tuple(seat.key for seat in wide.seating.by_part.get(part.id, []))
        yield from (Needs(ground, key, (change.name,)) for key in seats)
        if number == 0:
            yield Needs(ground, change.name, seats)


def one_of_each(changes: Sequence[Change]) -> Iterator[Clause]:
    """A part is left out once, and replaced by one other."""
    same: dict[tuple[str, str], list[str]] = {}
    for change in changes:
        if change.kind in ONE_OF:
            same.setdefault((change.kind, change.subject), []).append(change.name)
    for (kind, subject), names in same.items():
        ground = stated(f"one {kind} for {subject}")
        yield AtMost(ground, tuple((name, 1) for name in names), 1)


AT_MOST = 60
"""So many sets are listed; there may be more."""

TRIES = 5
"""So many things to buy are tried out for one purpose."""

OTHERS = 4
"""So many more of them are named beside the one that will do, untried."""

OF_A_KIND = 2
"""So many ways of one kind are worked out before other kinds have had their turn."""

ROOM = 2
"""So many of the ways asked for are kept for those that leave no part out."""

LARGEST = 4
"""Sets of more changes than this are not looked for."""

Placer = Callable[[Problem, float], Placed]
"""Places a problem within so many seconds."""

ChangeSet = tuple[Change, ...]


@dataclass
class Found:
    """What is known so far; kept when time runs out."""

    ways: list[WayOut] = field(default_factory=list)
    more: list[tuple[WayOutStep, ...]] = field(default_factory=list)
    size: int = 0
    complete: bool = True
    notes: list[str] = field(default_factory=list)


@dataclass(frozen=True)
class Search:
    """What the search works with."""

    problem: Problem
    place: Placer
    clock: Clock
    limit: int
    surplus: Mapping[str, int] = field(default_factory=dict)
    """First of many parts alike -> how many of them must be left out at least."""
    doubts: Callable[[Placed], tuple[str, ...]] = lambda placed: ()  # noqa: ARG005
    """What a plan rests on that was not asked before."""
    is_useful: Callable[[Change, Option], bool] = lambda change, option: True  # noqa: ARG005
    """Whether it does something about the clash."""
    has_chance: Callable[[Sequence[Option]], bool] = lambda options: True  # noqa: ARG005
    """Whether the parts that must be placed, counted one by one, may find what they need."""

    def told(
        self,
        choice: Sequence[tuple[Change, Option]],
        later: Sequence[Sequence[tuple[Change, Option]]],
        placed: Placed,
    ) -> WayOut:
        """The way out; what its plan rests on is said with the step that changes most."""
        steps = [*steps_of(self.problem, choice, later, placed)]
        kept = [n for n, step in enumerate(steps) if step.kind != "leave-out"]
        most = max(kept or range(len(steps)), key=lambda number: RANK[steps[number].kind])
        steps[most] = replace(steps[most], doubts=self.doubts(placed))
        return WayOut(tuple(steps), placed)


Group = list[ChangeSet]
"""Sets that do the same kind of thing to the same subjects, what changes least first."""


def ways_out(
    search: Search,
    case: Case,
    clashes: Sequence[Sequence[Reason]],
    shop: Shop | None,
    found: Found,
) -> None:
    """
    Fill in `found`: up to `limit` ways, what is given up most readily first.

    Those with the fewest steps; and if all of them leave a part out, also those with the fewest
    steps of the ones that leave none out.
    """
    table = tabled(case, clashes, shop, search.surplus)
    found.complete = not table.without_stand_ins
    search = replace(
        search,
        is_useful=table.is_useful,
        has_chance=table.has_chance,
        doubts=partial(new_doubts, case),
    )
    if not search.clock.left:
        return
    waiting = smallest(search, table, found, 1)
    if found.ways and all(leaves_out(way.steps) for way in found.ways):
        waiting += smallest(search, table.without("leave-out"), found, found.size + 1)
    waiting = work_out(search, waiting, found, search.limit)
    if shop is not None:
        work_out(search, other_boards(search, shop), found, search.limit)
    found.ways.sort(key=partial(way_order, search.problem))
    found.more += [tuple(unplaced(search.problem, one) for one in group[0]) for group in waiting]


def unplaced(problem: Problem, change: Change) -> WayOutStep:
    """A change that was not tried; where there is a choice of what to buy, nothing is named."""
    if len(change.options) != 1:
        return WayOutStep(change.kind, change.label)
    return step_of(problem, change, change.options[0], None)


def step_of(
    problem: Problem,
    change: Change,
    option: Option,
    plan: Plan | None,
    others: Sequence[str] = (),
) -> WayOutStep:
    """A change of the problem, told."""
    write = "; ".join(map(str, rewritten(problem, option.made(problem))))
    return WayOutStep(change.kind, option.words(plan), write, option.mind, tuple(others))


def leaves_out(steps: Sequence[WayOutStep]) -> bool:
    """Whether a part is left out."""
    return any(step.kind == "leave-out" for step in steps)


def way_order(problem: Problem, way: WayOut) -> tuple[int, list[int]]:
    """What leaves out the fewest parts first; of these what asks for the least."""
    stays = set(problem.retire)
    gone = sum(name in problem.part and name not in stays for name in way.placed.problem.retire)
    return gone, sorted((RANK[step.kind] for step in way.steps), reverse=True)


def smallest(search: Search, table: Table, found: Found, least: int) -> list[Group]:
    """
    Work out the smallest sets that give a plan, from `least` changes a set upwards.

    Returns what there was no room for.
    """
    by_name = {change.name: change for change in table.changes}
    for size in range(least, LARGEST + 1):
        listed = corrections(table.stated, table.effects, size, AT_MOST, search.clock)
        sets = [tuple(by_name[name] for name in one) for one in listed.sets]
        sets += [(change,) for change in table.alone] if size == 1 else []
        found.complete = found.complete and listed.complete
        before = len(found.ways)
        groups = in_turn(grouped(sets))
        waiting = work_out(search, groups, found, limit_for(search, groups))
        if len(found.ways) > before:
            found.size = found.size or size
            return waiting
        if not search.clock.left:
            return waiting
    return []


def limit_for(search: Search, groups: Sequence[Group]) -> int:
    """How many ways in all; some room is kept for ways that leave nothing out."""
    less = [any(change.kind == "leave-out" for change in group[0]) for group in groups]
    return max(1, search.limit - ROOM) if all(less) else search.limit


def work_out(search: Search, groups: Sequence[Group], found: Found, limit: int) -> list[Group]:
    """Place what the groups leave, until there are ways enough; returns those not looked at."""
    for number, group in enumerate(groups):
        if len(found.ways) >= limit or not search.clock.left:
            return list(groups[number:])
        if way := best_of(search, group):
            found.ways.append(way)
    return []


def in_turn(groups: Sequence[Group]) -> list[Group]:
    """A few of each kind before there are more of one."""
    turns: list[tuple[int, int, Group]] = []
    counted = Counter[tuple[str, ...]]()
    for number, group in enumerate(groups):
        kinds = tuple(change.kind for change in group[0])
        turns.append((counted[kinds] // OF_A_KIND, number, group))
        counted[kinds] += 1
    return [group for _, _, group in sorted(turns, key=lambda turn: turn[:2])]


def other_boards(search: Search, shop: Shop) -> list[Group]:
    """Another board for one machine, tried last: it changes nearly everything."""
    return [[(change,)] for change in boards(search.problem, shop)]


def grouped(sets: Sequence[ChangeSet]) -> list[Group]:
    """Sets that do the same kind of thing to the same subjects, in order."""
    in_order = [tuple(sorted(one, key=lambda change: change.order)) for one in sets]
    groups: dict[tuple[tuple[str, str], ...], Group] = {}
    for one in sorted(in_order, key=set_order):
        groups.setdefault(tuple((c.kind, c.subject) for c in one), []).append(one)
    return list(groups.values())


def set_order(changes: ChangeSet) -> tuple[object, ...]:
    """What asks for the least first."""
    ranks = sorted((RANK[change.kind] for change in changes), reverse=True)
    return (ranks, [change.order for change in changes])


def best_of(search: Search, group: Group) -> WayOut | None:
    """The first choice that gives a plan; further ones are named beside it."""
    choices = [
        list(zip(changes, options, strict=True))
        for changes in group
        for options in product(*(change.options for change in changes))
    ]
    promising = (
        choice
        for choice in choices
        if all(search.is_useful(change, option) for change, option in choice)
        and (len(choices) == 1 or search.has_chance([option for _, option in choice]))
    )
    for choice in islice(promising, TRIES):
        placed = tried(search, [option for _, option in choice])
        if placed is not None:
            return search.told(choice, [*islice(promising, OTHERS)], placed)
    return supply_last(search, group[0]) if len(choices) > TRIES else None


def supply_last(search: Search, changes: ChangeSet) -> WayOut | None:
    """
    The rest is chosen beside the largest supply, and then the smallest supply that will do.

    Small supplies and unfit chassis would otherwise use up the tries between them.
    """
    supply = next((change for change in changes if change.kind == "supply"), None)
    others = [change for change in changes if change is not supply]
    if supply is None or not supply.options or not others:
        return None
    for rest in islice(product(*(change.options for change in others)), TRIES):
        if tried(search, [*rest, supply.options[-1]]) is None:
            continue
        for option in supply.options:
            placed = tried(search, [*rest, option])
            if placed is not None:
                choice = [*zip(others, rest, strict=True), (supply, option)]
                return search.told(choice, [], placed)
    return None


def tried(search: Search, options: Sequence[Option]) -> Placed | None:
    """The plan once these are done; None if there is none."""
    problem = search.problem
    for option in options:
        problem = option.made(problem)
    left = search.clock.left
    if not left:
        return None
    placed = search.place(canonical(problem), left)
    if placed.status in (Status.UNPROVEN, Status.UNKNOWN):
        search.clock.stopped = True
    # A plan in which nothing is left is no way out.
    return placed if placed.plan and placed.plan.seats else None


def steps_of(
    problem: Problem,
    choice: Sequence[tuple[Change, Option]],
    later: Sequence[Sequence[tuple[Change, Option]]],
    placed: Placed,
) -> Iterator[WayOutStep]:
    """The choice, told, with what else might be bought."""
    for place, (change, option) in enumerate(choice):
        others = [other[place][1].called for other in later]
        others = [name for name in dict.fromkeys(others) if name and name != option.called]
        yield step_of(problem, change, option, placed.plan, others)
        problem = option.made(problem)
