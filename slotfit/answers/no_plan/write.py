"""What to write into a build file so that it states a changed problem."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping
from dataclasses import dataclass
from functools import partial
from typing import Any, Literal

from slotfit.answers.no_plan.case import Entry, entries_of
from slotfit.load.edit import Append, Edit, Put, Remove, flow_text
from slotfit.load.yaml_file import Loc, Written, value_at
from slotfit.model.build import Group
from slotfit.model.entity import Entity, Span
from slotfit.model.problem import Machine, Problem


@dataclass(frozen=True, slots=True)
class Write:
    """One change to a build file."""

    verb: Literal["write", "take out", "add"]
    path: Loc
    """The keys that lead to it, below what is written at `below`."""
    value: Any = None
    """What is written or added; what is taken out, unless the key says it."""
    of: str = ""
    """The list or mapping that it is taken out of, if that is to be said."""
    below: Span | None = None
    """Where what has these keys is written; None: the file itself."""
    at: Span | None = None
    """Where to look for it."""

    def __str__(self) -> str:
        """As an order, with the place in brackets if it is known."""
        where = f" ({self.at})" if self.at else ""
        key = str(self.path[-1]) if self.path else str(self.value)
        match self.verb:
            case "write":
                return f"write `{key}: {flow_text(self.value)}`{where}"
            case "add" if isinstance(self.value, dict):
                return f"add `- {flow_text(self.value)}` to `{key}`{where}"
            case "add":
                return f"add {self.value} to `{key}`{where}"
            case _:
                whole = f" of `{self.of}`" if self.of else ""
                return f"take {self.value or f'`{key}`'} out{whole}{where}"


def edits_of(writes: Iterable[Write], written: Written) -> list[Edit]:
    """The same as edits of the file as it is written; what is taken out goes last, from below."""
    made: dict[Loc, Edit] = {}
    added: list[Edit] = []
    gone: list[Loc] = []
    for one in writes:
        loc = (*written.loc_of(one.below), *one.path)
        if one.verb == "write":
            made[loc] = Put(loc, one.value)
        elif one.verb == "add":
            added.append(Append(loc, one.value))
        elif one.of in loc[-1:]:
            gone.append((*loc, value_at(written, loc).index(one.value)))
        else:
            gone.append(loc)
    gone.sort(key=lambda loc: [(isinstance(step, int), step) for step in loc], reverse=True)
    return [*made.values(), *added, *map(Remove, gone)]


def rewritten(old: Problem, new: Problem) -> Iterator[Write]:
    """All that differs between what two problems say, one made of the other."""
    for was, now in zip(old.machines, new.machines, strict=True):
        yield from machine_rewritten(was, now)
    for entry in entries_of(old):
        yield from wishes_rewritten(entry, new)
    for part in new.parts:
        if part.body not in old.part and part.companion_of is None:
            yield Write("add", ("parts",), {"id": part.id, "part": part.wish.part})
    yield from groups_rewritten("together", old.together, new.together)
    yield from groups_rewritten("apart", old.apart, new.apart)
    yield from retire_rewritten(old, new)
    yield from forgotten("today", old.today, new.today, old.today_spans.get)
    asked, left = old.sequence, new.sequence
    for field in ("goal", "settings_today"):
        span = partial(span_of_key, asked, field)
        yield from forgotten(field, getattr(asked, field), getattr(left, field), span)


def retire_rewritten(old: Problem, new: Problem) -> Iterator[Write]:
    """What is kept after all, and what leaves: all of an entry goes by the entry's name."""
    for name in old.retire:
        if name not in new.retire:
            yield Write("take out", ("retire",), name, "retire")
    leave = {name for name in new.retire if name not in old.retire}
    for entry in entries_of(old):
        names = [part.id for part in entry if part.id in leave]
        if len(names) == len(entry) > 1:
            names = [names[0].rpartition("-")[0]]
        yield from (Write("add", ("retire",), name) for name in names)


def forgotten(
    field: str,
    old: Mapping[str, str],
    new: Mapping[str, str],
    span_of: Callable[[str], Span | None],
) -> Iterator[Write]:
    """Keys of a mapping taken out."""
    for name in old:
        if name not in new:
            span = span_of(name)
            yield Write("take out", () if span else (field, name), name, field, span, span)


def span_of_key(owner: Entity, field: str, name: str) -> Span | None:
    """Where a key of a mapping is written; a lane group may go by its own name."""
    found = (owner.marks.get(f"{field}.{one}") for one in (name, name.rpartition("/")[2]))
    return next((span for span in found if span), None)


def machine_rewritten(was: Machine, now: Machine) -> Iterator[Write]:
    """Another board, chassis or supply; processors fitted, or all of another board's."""
    entry = was.entry
    for field in ("board", "chassis", "power_supply"):
        bought = getattr(now, field)
        if bought is not getattr(was, field):
            yield Write("write", (field,), bought.id, "", entry.span(), entry.span(field))
    for field in ("firmware", "keeps"):
        if getattr(now.entry, field) is None and getattr(entry, field) is not None:
            yield Write("take out", (field,), None, "", entry.span(), entry.span(field))
    yield from processors_rewritten(was, now)


def processors_rewritten(was: Machine, now: Machine) -> Iterator[Write]:
    """A processor more, or all of another board's."""
    entry = was.entry
    fitted, at = now.entry.processors, entry.span("processors")
    if fitted is None and entry.processors is not None:
        yield Write("take out", ("processors",), None, "", entry.span(), at)
    for name in fitted or ():
        if isinstance(entry.processors, dict) and name not in entry.processors:
            yield Write("write", ("processors", name), None, "", entry.span(), at)
        elif entry.processors is not None and name not in entry.processors:
            yield Write("add", ("processors",), name, "", entry.span(), at)


WISHES = (
    *("part", "pin", "only", "ban", "machine", "near", "must_be_near", "guest"),
    *("min_lanes", "min_generation", "endpoints"),
)
"""What may be said otherwise of a part."""


def wishes_rewritten(entry: Entry, new: Problem) -> Iterator[Write]:
    """One entry's wishes."""
    was, now = entry[0].wish, new.part[entry[0].id].wish
    for field in WISHES:
        before, after = getattr(was, field), getattr(now, field)
        if before == after:
            continue
        if after in (None, (), False):
            yield Write("take out", (field,), None, "", was.span(), was.span(field))
        else:
            yield Write("write", (field,), after, "", was.span(), was.span(field))


def groups_rewritten(field: str, old: tuple[Group, ...], new: tuple[Group, ...]) -> Iterator[Write]:
    """Groups that are not there any more."""
    for group in old:
        if group not in new:
            yield Write("take out", (), "the group", field, group.span(), group.span())
