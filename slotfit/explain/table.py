"""
All changes on the table at once, in one model that tells which of them do.

What could be bought stands in the model as items of its own, which are there only if the change
that buys them is made.
"""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass, replace
from functools import cached_property

from slotfit.explain.amend import with_items
from slotfit.explain.canonical import canonical
from slotfit.explain.change import Change
from slotfit.explain.entries import first_alike
from slotfit.explain.let_go import groups_dissolved, parts_less
from slotfit.explain.machine_changes import brackets, cases, kept_on, processors, supplies
from slotfit.explain.purchases import (
    ONE_AT_A_TIME,
    large_additions,
    other_parts,
    rules_by_item,
    small_additions,
)
from slotfit.explain.reasons import Case, Reason, TooManySeatsError, case_of
from slotfit.explain.shop import Shop
from slotfit.explain.take_back import wishes_back
from slotfit.model.clause import AtMost, Clause, Ground, Needs
from slotfit.solve.clash import Stated

ONE_OF = ("leave-out", "other-part", "guest")
"""Kinds of which one is enough for each subject."""


@dataclass(frozen=True)
class Table:
    """Every change that may help, and the model that tells which do."""

    changes: list[Change]
    wide: Case
    stated: Stated
    alone: list[Change]
    """Changes that are only tried by themselves: in the model they would take too much room."""
    without_stand_ins: bool = False
    """What could be bought was left out: there would be too many seats."""

    @cached_property
    def lifts(self) -> dict[str, frozenset[str]]:
        """Change -> names of the reasons it lifts."""
        return {change.name: change.lifts(self.wide) for change in self.changes}

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
    changes = [*brackets(problem), *wishes_back(problem), *groups_dissolved(problem)]
    changes += [*kept_on(problem), *processors(problem), *parts_less(case, surplus)]
    alone: list[Change] = []
    if shop is not None and "buy" not in problem.untouchable:
        rules = rules_by_item(case, [reason for clash in clashes for reason in clash])
        changes += small_additions(case, rules, shop)
        changes += other_parts(case, rules, first_alike(problem), shop)
        changes += [*supplies(problem, shop), *cases(problem, shop)]
        alone = in_every([large_additions(case, rules_by_item(case, one), shop) for one in clashes])
    changes.sort(key=lambda change: change.order)
    try:
        return Table(changes, *with_stand_ins(case, changes), alone)
    except TooManySeatsError:
        changes = [change for change in changes if not change.stands_for]
        return Table(changes, *with_stand_ins(case, changes), alone, without_stand_ins=True)


def in_every(found: Sequence[Sequence[Change]]) -> list[Change]:
    """Changes that may help with each of several clashes: by itself none of the others will do."""
    names = [{change.name for change in changes} for changes in found]
    return [change for change in found[0] if all(change.name in these for these in names)]


def with_stand_ins(case: Case, changes: Sequence[Change]) -> tuple[Case, Stated]:
    """The case with everything that could be bought in it, there only if it is."""
    stand_ins = tuple(item for change in changes for item in change.stands_for)
    problem = canonical(with_items(case.problem, (*case.problem.items, *stand_ins)))
    wide = case_of(problem, [ONE_AT_A_TIME], case.rules) if stand_ins else case
    hard = [*wide.stated.hard]
    for change in changes:
        hard += only_if_made(wide, change)
    hard += one_of_each(changes)
    atoms = (*wide.stated.atoms, *(change.name for change in changes))
    return wide, Stated(atoms, tuple(hard), wide.stated.soft)


def only_if_made(wide: Case, change: Change) -> Iterator[Clause]:
    """What stands in is seated if the change is made, and only then."""
    ground = Ground("WISH007", change.label)
    for number, item in enumerate(change.stands_for):
        seats = tuple(seat.key for seat in wide.seating.by_item.get(item.id, []))
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
        ground = Ground("WISH007", f"one {kind} for {subject}")
        yield AtMost(ground, tuple((name, 1) for name in names), 1)
