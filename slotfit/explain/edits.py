"""What to change in the build file so that it says what a changed problem says."""

from __future__ import annotations

from collections.abc import Collection, Iterator

from slotfit.explain.entries import Entry, entries_of
from slotfit.listing import listed
from slotfit.model.build import Group
from slotfit.model.problem import Problem
from slotfit.model.span import Span

WISHES = ("pin", "only", "ban", "near", "must_be_near")
"""Wishes that name what another board may not have."""


def at(span: Span | None) -> str:
    """The place in brackets, if it is known."""
    return f" ({span})" if span else ""


def cuts(problem: Problem, names: Collection[str]) -> Iterator[str]:
    """To leave parts out, wherever they are named."""
    for entry in entries_of(problem):
        yield from entry_cuts(entry, names)
    for field, groups in (("together", problem.together), ("apart", problem.apart)):
        for group in groups:
            yield from group_cuts(field, group, names)
    for name in names:
        if name in problem.today:
            yield f"take {name} out of `today`{at(problem.today_spans.get(name))}"


def entry_cuts(entry: Entry, names: Collection[str]) -> Iterator[str]:
    """One entry of the parts: all of it, or some of a count."""
    gone = [item.id for item in entry if item.id in names]
    where = at(entry[0].wish.span())
    if len(gone) == len(entry):
        yield f"take the entry of {listed(gone)} out{where}"
    elif gone:
        yield f"write `count: {len(entry) - len(gone)}`{where}"


def group_cuts(field: str, group: Group, names: Collection[str]) -> Iterator[str]:
    """One group."""
    if gone := [name for name in group.parts if name in names]:
        yield f"take {listed(gone)} out of `{field}`{at(group.span())}"


def rewritten(old: Problem, new: Problem) -> Iterator[str]:
    """Where wishes, processors and today's layout differ: of a problem moved to another board."""
    for was, now in zip(old.rigs, new.rigs, strict=True):
        if was.machine.processors is not None and now.machine.processors is None:
            yield f"take `processors` out{at(was.machine.span('processors'))}"
    for entry in entries_of(old):
        yield from wishes_rewritten(entry, new)
    for name in old.today:
        if name not in new.today:
            yield f"take {name} out of `today`{at(old.today_spans.get(name))}"


def wishes_rewritten(entry: Entry, new: Problem) -> Iterator[str]:
    """One entry's wishes."""
    was, now = entry[0].wish, new.item[entry[0].id].wish
    for field in WISHES:
        before, after = getattr(was, field), getattr(now, field)
        if before != after:
            where = at(was.span(field))
            left = ", ".join(after) if isinstance(after, tuple) else ""
            yield f"write `{field}: [{left}]`{where}" if left else f"take `{field}` out{where}"
