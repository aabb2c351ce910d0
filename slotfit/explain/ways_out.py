"""
Ways out: the smallest sets of changes that make a plan possible, each tried out.

All changes are on the table at once: wishes taken back, parts left out, and stand-ins for what
could be bought, which are there only if that change is made. One model names the smallest sets;
each is then carried out on the problem itself and placed, so that nothing is offered unproven.
"""

from __future__ import annotations

from collections import Counter
from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from functools import cached_property
from itertools import islice, product

from slotfit.explain.amend import with_items
from slotfit.explain.canonical import canonical
from slotfit.explain.change import Change, Option
from slotfit.explain.entries import first_alike
from slotfit.explain.kinds import RANK
from slotfit.explain.let_go import groups_dissolved, parts_less
from slotfit.explain.machine_changes import boards, brackets, cases, processors, supplies
from slotfit.explain.purchases import (
    ONE_AT_A_TIME,
    large_additions,
    other_parts,
    rules_by_item,
    small_additions,
)
from slotfit.explain.reasons import Case, Reason, case_of
from slotfit.explain.shop import Shop
from slotfit.explain.take_back import wishes_back
from slotfit.explain.told import Step, WayOut
from slotfit.model.clause import Clause, Ground, Needs
from slotfit.model.placed import Placed
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.solve.clash import Stated
from slotfit.solve.clock import Clock
from slotfit.solve.relax import corrections

AT_MOST = 60
"""So many sets are listed; there may be more."""

TRIES = 5
"""So many things to buy are tried out for one purpose."""

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
    more: list[tuple[Step, ...]] = field(default_factory=list)
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
    table = tabled(case, clashes, shop)
    smallest(search, table, found, 1)
    if found.ways and all(leaves_out(way.steps) for way in found.ways):
        others = replace(table, changes=[c for c in table.changes if c.kind != "leave-out"])
        smallest(search, others, found, found.size + 1)
    if shop is not None and len(found.ways) < search.limit:
        other_boards(search, shop, found)


def leaves_out(steps: Sequence[Step]) -> bool:
    """Whether a part is left out."""
    return any(step.kind == "leave-out" for step in steps)


@dataclass(frozen=True)
class Table:
    """Every change that may help, and the model that tells which do."""

    changes: list[Change]
    wide: Case
    stated: Stated
    alone: list[Change]
    """Changes that are only tried by themselves: in the model they would take too much room."""

    @cached_property
    def lifts(self) -> dict[str, frozenset[str]]:
        """Change -> names of the reasons it lifts."""
        return {change.name: change.lifts(self.wide) for change in self.changes}


def tabled(case: Case, clashes: Sequence[Sequence[Reason]], shop: Shop | None) -> Table:
    """All changes but another board."""
    problem = case.problem
    changes = [*brackets(problem), *wishes_back(problem), *groups_dissolved(problem)]
    changes += [*processors(problem), *parts_less(case)]
    alone: list[Change] = []
    if shop is not None and "buy" not in problem.untouchable:
        rules = rules_by_item(case, [reason for clash in clashes for reason in clash])
        changes += small_additions(case, rules, shop)
        changes += other_parts(case, rules, first_alike(problem), shop)
        changes += [*supplies(problem, shop), *cases(problem, shop)]
        alone = in_every([large_additions(case, rules_by_item(case, one), shop) for one in clashes])
    changes.sort(key=lambda change: change.order)
    wide, stated = with_stand_ins(case, changes)
    return Table(changes, wide, stated, alone)


def in_every(found: Sequence[Sequence[Change]]) -> list[Change]:
    """Changes that may help with each of several clashes: by itself none of the others will do."""
    names = [{change.name for change in changes} for changes in found]
    return [change for change in found[0] if all(change.name in these for these in names)]


def smallest(search: Search, table: Table, found: Found, least: int) -> None:
    """Work out the smallest sets that give a plan, from `least` changes a set upwards."""
    by_name = {change.name: change for change in table.changes}
    for size in range(least, LARGEST + 1):
        listed = corrections(table.stated, table.lifts, size, AT_MOST, search.clock)
        sets = [tuple(by_name[name] for name in one) for one in listed.sets]
        sets += [(change,) for change in table.alone] if size == 1 else []
        before = len(found.ways)
        work_out(search, sets, found)
        found.complete = found.complete and listed.complete
        if len(found.ways) > before:
            found.size = found.size or size
        if len(found.ways) > before or not search.clock.left:
            return


def with_stand_ins(case: Case, changes: Sequence[Change]) -> tuple[Case, Stated]:
    """The case with everything that could be bought in it, there only if it is."""
    stand_ins = tuple(item for change in changes for item in change.stands_for)
    problem = canonical(with_items(case.problem, (*case.problem.items, *stand_ins)))
    wide = case_of(problem, [ONE_AT_A_TIME]) if stand_ins else case
    hard = [*wide.stated.hard]
    for change in changes:
        hard += only_if_made(wide, change)
    atoms = (*wide.stated.atoms, *(change.name for change in changes))
    return wide, Stated(atoms, tuple(hard), wide.stated.soft)


def only_if_made(wide: Case, change: Change) -> Iterator[Clause]:
    """What stands in is seated if the change is made, and only then."""
    ground = Ground("WISH007", change.options[0].words(None))
    for number, item in enumerate(change.stands_for):
        seats = tuple(seat.key for seat in wide.seating.by_item.get(item.id, []))
        yield from (Needs(ground, key, (change.name,)) for key in seats)
        if number == 0:
            yield Needs(ground, change.name, seats)


def work_out(search: Search, sets: Sequence[ChangeSet], found: Found) -> None:
    """Place what each set leaves, kinds in turn, until there are ways enough."""
    turns: list[tuple[int, int, list[ChangeSet]]] = []
    counted = Counter[tuple[str, ...]]()
    for group in grouped(sets):
        kinds = tuple(change.kind for change in group[0])
        turns.append((counted[kinds] // OF_A_KIND, len(turns), group))
        counted[kinds] += 1
    for _, _, group in sorted(turns, key=lambda turn: turn[:2]):
        if len(found.ways) >= limit_for(search, sets) or not search.clock.left:
            found.more.append(tuple(c.step(c.options[0], None) for c in group[0]))
        elif way := best_of(search, group):
            found.ways.append(way)
    found.ways.sort(key=lambda way: sorted((RANK[step.kind] for step in way.steps), reverse=True))


def limit_for(search: Search, sets: Sequence[ChangeSet]) -> int:
    """How many ways in all; some room is kept for ways that leave nothing out."""
    only_less = all(any(change.kind == "leave-out" for change in one) for one in sets)
    return max(1, search.limit - ROOM) if only_less else search.limit


def grouped(sets: Sequence[ChangeSet]) -> list[list[ChangeSet]]:
    """Sets that do the same kind of thing to the same subjects, in order."""
    in_order = [tuple(sorted(one, key=lambda change: change.order)) for one in sets]
    groups: dict[tuple[tuple[str, str], ...], list[ChangeSet]] = {}
    for one in sorted(in_order, key=set_order):
        groups.setdefault(tuple((c.kind, c.subject) for c in one), []).append(one)
    return list(groups.values())


def set_order(changes: ChangeSet) -> tuple[object, ...]:
    """What asks for the least first."""
    ranks = sorted((RANK[change.kind] for change in changes), reverse=True)
    return (ranks, [change.order for change in changes])


def best_of(search: Search, group: Sequence[ChangeSet]) -> WayOut | None:
    """The first choice that gives a plan; further ones are named beside it."""
    choices = [
        list(zip(changes, options, strict=True))
        for changes in group
        for options in product(*(change.options for change in changes))
    ]
    for number, choice in enumerate(islice(choices, TRIES)):
        placed = tried(search, [option for _, option in choice])
        if placed is not None:
            later = choices[number + 1 :]
            return WayOut(tuple(steps_of(choice, later, placed)), placed)
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
    if placed.answer.status in (Status.UNPROVEN, Status.UNKNOWN):
        search.clock.stopped = True
    return placed if placed.answer.plan else None


def steps_of(
    choice: Sequence[tuple[Change, Option]],
    later: Sequence[Sequence[tuple[Change, Option]]],
    placed: Placed,
) -> Iterator[Step]:
    """The choice, told, with what else might be bought."""
    for place, (change, option) in enumerate(choice):
        others = [other[place][1].called for other in later]
        others = [name for name in dict.fromkeys(others) if name and name != option.called]
        yield change.step(option, placed.answer.plan, others)


def other_boards(search: Search, shop: Shop, found: Found) -> None:
    """Another board for one machine, tried out last: it changes nearly everything."""
    for change in boards(search.problem, shop):
        if len(found.ways) < search.limit and (way := best_of(search, [(change,)])):
            found.ways.append(replace(way, steps=way.steps))
