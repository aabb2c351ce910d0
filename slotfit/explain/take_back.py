"""Wishes of the build file that may be taken back, each as a change."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from functools import partial
from typing import Any

from slotfit.explain.amend import with_wish
from slotfit.explain.change import Change, Option, Wording, fixed, single, untouched
from slotfit.explain.edits import at
from slotfit.explain.entries import Entry, entries_of
from slotfit.explain.lifting import all_of, of_item
from slotfit.listing import listed
from slotfit.model.entity import Entity
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat


def wishes_back(problem: Problem) -> Iterator[Change]:
    """Every wish for a part that may be taken back; one for a counted part, for all of it."""
    for entry in entries_of(problem):
        for kind, changes in WISHES.items():
            if not untouched(problem, kind, *(item.id for item in entry)):
                yield from changes(problem, entry)


def seats_of(plan: Plan | None, entry: Entry) -> list[Seat]:
    """Where the plan puts the parts of an entry; nowhere if there is no plan yet."""
    names = {item.id for item in entry}
    return [seat for seat in plan.seats if seat.item in names] if plan else []


def named(entry: Entry) -> str:
    """What the entry's parts are called."""
    return listed(item.id for item in entry)


def place(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`pin`, `only` and `ban`."""
    del problem
    wish = entry[0].wish
    if wish.pin or wish.only:
        field = "pin" if wish.pin else "only"
        places = listed((wish.pin,) if wish.pin else wish.only, "or")
        said = partial(elsewhere, entry, f"go elsewhere than into {places}")
        yield taken_back(entry, "place", said, field, "WISH001", pin=None, only=())
    if wish.ban:
        said = partial(elsewhere, entry, f"go into {listed(wish.ban, 'or')} after all")
        yield taken_back(entry, "place", said, "ban", "WISH002", ban=())


def elsewhere(entry: Entry, text: str, plan: Plan | None) -> str:
    """`let gpu go elsewhere than into slot3: into slot5`."""
    sites = [seat.site for seat in seats_of(plan, entry)]
    return f"let {named(entry)} {text}" + (f": into {listed(sites)}" if sites else "")


def near(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`must_be_near`; the wish for the processor stays as a preference."""
    del problem
    if entry[0].wish.must_be_near:
        yield taken_back(
            entry, "near", partial(hanging, entry), "must_be_near", "WISH004", must_be_near=False
        )


def hanging(entry: Entry, plan: Plan | None) -> str:
    """`let hba hang on another processor than cpu0: on cpu1`."""
    found = [seat.offer.processor for seat in seats_of(plan, entry) if seat.offer.processor]
    now = f": on {listed(found)}" if found else ""
    return f"let {named(entry)} hang on another processor than {entry[0].wish.near}{now}"


def machine(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`machine`, where there is another one."""
    if entry[0].wish.machine and len(problem.rigs) > 1:
        said = partial(moved, entry)
        yield taken_back(entry, "machine", said, "machine", "WISH003", machine=None)


def moved(entry: Entry, plan: Plan | None) -> str:
    """`put nic into ridge instead of marsh`."""
    there = listed(seat.offer.machine for seat in seats_of(plan, entry)) or "another machine"
    return f"put {named(entry)} into {there} instead of {entry[0].wish.machine}"


def lanes(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`min_lanes` and `min_generation`, down to what the part itself needs."""
    del problem
    wish, part = entry[0].wish, entry[0].part
    if (wish.min_lanes or 0) > (part.min_lanes or 0):
        said = partial(narrower, entry)
        yield taken_back(entry, "lanes", said, "min_lanes", "LANE003", min_lanes=None)
    if (wish.min_generation or 0) > (part.min_generation or 0):
        said = partial(slower, entry)
        yield taken_back(entry, "lanes", said, "min_generation", "LANE004", min_generation=None)


def narrower(entry: Entry, plan: Plan | None) -> str:
    """`accept x4 for nic instead of x8`."""
    found = [link.lanes for seat in seats_of(plan, entry) for link in seat.links if link.lanes]
    there = f"x{min(found)}" if found else "fewer lanes"
    return f"accept {there} for {named(entry)} instead of x{entry[0].wish.min_lanes}"


def slower(entry: Entry, plan: Plan | None) -> str:
    """`accept generation 3 for nic instead of 4`."""
    links = [link for seat in seats_of(plan, entry) for link in seat.links]
    found = [link.generation for link in links if link.generation]
    there = f"generation {min(found)}" if found else "an older generation"
    return f"accept {there} for {named(entry)} instead of {entry[0].wish.min_generation}"


def endpoints(problem: Problem, entry: Entry) -> Iterator[Change]:
    """`endpoints`: some stay dark. All are still wished for, as a preference."""
    del problem
    if entry[0].wish.endpoints:
        said = partial(fewer, entry)
        yield taken_back(entry, "endpoints", said, "endpoints", "LANE002", endpoints=None)


def fewer(entry: Entry, plan: Plan | None) -> str:
    """`accept that 2 of the 4 endpoints asked of scans stay dark`."""
    wished = entry[0].wish.endpoints or 0
    dark = sum(max(wished - seat.alive, 0) for seat in seats_of(plan, entry)) or "some"
    return f"accept that {dark} of the {wished} endpoints asked of {named(entry)} stay dark"


def guest(problem: Problem, entry: Entry) -> Iterator[Change]:
    """Another owner for the part: one that some other part already has."""
    if not entry[0].part.links:
        return
    now = entry[0].wish.guest
    owners = {other.wish.guest for other in problem.items if other.part.links}
    for owner in sorted(owners - {now}, key=lambda name: name or ""):
        there = (
            f"hand {named(entry)} to guest {owner}"
            if owner
            else f"leave {named(entry)} to the host"
        )
        said = fixed(f"{there} instead of {f'guest {now}' if now else 'the host'}")
        yield taken_back(entry, "guest", said, "guest", "ISO002", guest=owner)


WISHES: dict[str, Callable[[Problem, Entry], Iterator[Change]]] = {
    "place": place,
    "near": near,
    "machine": machine,
    "lanes": lanes,
    "guest": guest,
    "endpoints": endpoints,
}


def taken_back(
    entry: Entry, kind: str, words: Wording, field: str, rule: str, **changed: Any
) -> Change:
    """The change that a wish is taken back."""
    made = partial(with_wishes, entry, changed)
    option = Option(words, made, edit(entry[0].wish, field, changed.get(field)))
    lifts = all_of(*(of_item(rule, item=item.id) for item in entry))
    return single(kind, named(entry), option, lifts)


def with_wishes(entry: Entry, changed: dict[str, Any], problem: Problem) -> Problem:
    """The problem with other wishes for all parts of an entry."""
    for item in entry:
        problem = with_wish(problem, item.id, **changed)
    return problem


def edit(wish: Entity, field: str, value: object) -> str:
    """``take `pin` out (build.yaml:14:30)``."""
    told = f"write `{field}: {value}`" if isinstance(value, str) else f"take `{field}` out"
    return told + at(wish.span(field))
