"""Parts to buy: another kind in a part's stead, or one more that takes a part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import replace
from functools import partial
from itertools import islice

from slotfit.answers.no_plan.asked_again import Against, Asking
from slotfit.answers.no_plan.case import (
    Case,
    Entry,
    Reason,
    entries_of,
    first_alike,
)
from slotfit.answers.no_plan.changed import (
    body_and_plugs,
    made_optional,
    with_more,
    with_spec,
    with_specs,
    without_wishes_for,
)
from slotfit.answers.no_plan.give_up import (
    Amend,
    Change,
    Option,
    fixed,
    named,
    untouched,
)
from slotfit.answers.no_plan.sentences import bound_seats
from slotfit.answers.no_plan.shop import Shop, distance, does_same_job, make
from slotfit.listing import natural
from slotfit.load.build_file import parts_of
from slotfit.model.clause import AtMost
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Verdict, stated
from slotfit.rule import SeatRule, Trial
from slotfit.standards.forms import plug_fits

CANDIDATES = 3
"""So many other parts are tried for one; the nearest."""

ADDED = 2
"""So many parts are tried as additions for one."""

NEW = "new-"
"""How parts that are added are called."""


def about(case: Case, reason: Reason) -> set[str]:
    """Parts that a reason is about: those it refuses or binds, and what they sit on."""
    seats = list(reason.seats.values()) or bound_seats(case, reason)
    found = {seat.part for seat in seats}
    return found.union(*(seat.upstream.carriers for seat in seats))


Clashing = Mapping[str, Against]
"""Part -> the reasons of a clash that are about it; a companion's count for its body."""


def by_part(asking: Asking, reasons: Iterable[Reason]) -> Clashing:
    """The parts of a clash, in the order of their names; of those that are alike the first."""
    problem = asking.case.problem
    first = first_alike(problem)
    found: dict[str, list[Reason]] = {}
    for reason in reasons:
        for name in {problem.part[one].body for one in about(asking.case, reason)}:
            if first[name] == name:
                found.setdefault(name, []).append(reason)
    return {name: Against(asking, found[name]) for name in sorted(found, key=natural)}


def whole(problem: Problem, part: str) -> PartSpec:
    """The part as it was described, its extra plugs' receptacles included."""
    parts = body_and_plugs(problem, part)
    every = tuple(one for each in parts for one in each.spec.receptacles)
    return problem.part[part].spec.model_copy(update={"receptacles": every})


def other_parts(problem: Problem, clashing: Clashing, shop: Shop) -> Iterator[Change]:
    """For each part of the clash, the nearest others that may get around it."""
    for name, against in clashing.items():
        if untouched(problem, "other-part", name):
            continue
        old = whole(problem, name)
        others = [new for new in shop.parts(old.part_class) if does_same_job(old, new)]
        nearest: dict[object, PartSpec] = {}
        for new in sorted(others, key=lambda new: (distance(old, new), new.id)):
            if make(new) not in nearest and gets_around(problem, name, new, against):
                nearest[make(new)] = new
                if len(nearest) == CANDIDATES:
                    break
        asks = partial(left_without, name)
        for new in nearest.values():
            yield instead(problem, name, old, new, asks)


def gets_around(problem: Problem, name: str, new: PartSpec, against: Against) -> bool:
    """Whether another part in one's stead, with what sits on it, gets around a reason."""
    changed = with_spec(problem, name, new)
    names = {one.id for one in body_and_plugs(changed, name)}
    for reason in against.reasons:
        seats = [*reason.seats.values()] or bound_seats(against.asking.case, reason)
        names |= {seat.part for seat in seats if not names.isdisjoint(seat.upstream.carriers)}
    return against.helped_by(changed, names)


def left_without(name: str, problem: Problem) -> Problem:
    """The problem without the part that another stands in for."""
    return without_wishes_for(problem, name)


def instead(problem: Problem, name: str, old: PartSpec, new: PartSpec, asks: Amend) -> Change:
    """Another part in one's stead."""
    wish = problem.part[name].wish
    entry = entry_of(problem, name)
    option = Option(
        fixed(f"use {new.id} for {named(entry)} ({title(new)})"),
        partial(exchanged, name, new),
        new.about or "",
        new.id,
    )
    stand_in = wish.model_copy(update={"id": f"{name}~{new.id}", "required": False})
    parts = tuple(parts_of(stand_in, new))
    nearness = distance(old, new)
    label = option.words(None)
    return Change("other-part", name, label, lambda: (option,), asks, parts, nearness)


def title(spec: PartSpec) -> str:
    """Its name in the middle of a sentence."""
    name = spec.name or spec.id
    return name[0].lower() + name[1:] if name[1:2].islower() else name


def exchanged(name: str, new: PartSpec, problem: Problem) -> Problem:
    """The problem with the other part, for all of its entry: a file has one `part` for them."""
    return with_specs(problem, [part.id for part in entry_of(problem, name)], new)


def entry_of(problem: Problem, name: str) -> Entry:
    """The entry of a part."""
    return next(one for one in entries_of(problem) if name in {part.id for part in one})


Finder = Callable[[Part, Shop, Problem], Iterable[PartSpec]]
"""Parts that may be added for a part, what is best first."""


def additions(
    problem: Problem, clashing: Clashing, shop: Shop, finders: Sequence[Finder]
) -> list[Change]:
    """One addition for each part found, for the first that it serves."""
    made: dict[str, Change] = {}
    with_it: dict[str, Problem] = {}
    for name, against in clashing.items():
        if untouched(problem, "more", name) or not is_asked_for(problem.part[name], against):
            continue
        for part in body_and_plugs(problem, name):
            for find in finders:
                helping = (
                    new
                    for new in find(part, shop, problem)
                    if helps(with_new(problem, new, with_it), part, new, against)
                )
                for new in islice(helping, ADDED):
                    made.setdefault(new.id, added(part.id, new))
    return [*made.values()]


def with_new(problem: Problem, new: PartSpec, known: dict[str, Problem]) -> Problem:
    """The problem with one part more, the same one each time: what is remembered goes by that."""
    if new.id not in known:
        known[new.id] = extended(f"{NEW}{new.id}", new, problem)
    return known[new.id]


def helps(made: Problem, part: Part, new: PartSpec, against: Against) -> bool:
    """Whether one part more helps the part: by taking it, or where it is."""
    only = {f"{NEW}{new.id}"} if takes(new, part) else None
    return against.helped_by(made, {part.id}, only)


def is_asked_for(part: Part, against: Against) -> bool:
    """Whether the clash asks for it, or something may sit on it; others are in nobody's way."""
    demands = (not isinstance(clause, AtMost) for clause in against.clauses)
    return bool(part.spec.receptacles) or any(demands)


def takers(part: Part, shop: Shop, problem: Problem) -> list[PartSpec]:
    """
    Adapters and ribbons that take the part, the nearest to its own lanes first.

    Rigid risers are made for one chassis, so they are left to those who know theirs; and a part
    that is to go into named receptacles goes into no other.
    """
    if part.wish.pin or part.wish.only:
        return []
    forms = {receptacle.spec.form for receptacle in problem.receptacles}
    found = [
        new
        for new in shop.parts("adapter", "riser")
        if (new.part_class == "adapter" or new.reach_mm is not None)
        and new.plug.form in forms
        and takes(new, part)
    ]
    return sorted(found, key=lambda new: (unlike_lanes(part, new), new.id))


def takes(new: PartSpec, part: Part) -> bool:
    """Whether the new part has a receptacle for the part's plug."""
    return any(plug_fits(part.spec.plug.form, one.form) for one in new.receptacles)


def unlike_lanes(part: Part, new: PartSpec) -> int:
    """How far its lanes are from those the part could use."""
    return abs(sum(one.lanes for one in new.links) - sum(one.lanes for one in part.spec.links))


def cables(part: Part, shop: Shop, problem: Problem) -> list[PartSpec]:
    """Cables from some receptacle of the build to the part, the shortest first."""
    forms = {receptacle.spec.form for receptacle in problem.receptacles}
    found = [new for new in shop.parts("cable") if new.plug.form in forms and takes(new, part)]
    return sorted(found, key=lambda new: (unlike_lanes(part, new), new.reach_mm or 0, new.id))


def movers(part: Part, shop: Shop, problem: Problem) -> list[PartSpec]:
    """Air movers for the part, the weakest first."""
    if not any(s.owner == part.id and s.spec.form == "cooling-mount" for s in problem.receptacles):
        return []
    return sorted(shop.parts("air-mover"), key=lambda new: (new.gives_airflow_lfm or 0, new.id))


def added(name: str, new: PartSpec) -> Change:
    """One part more."""
    called = f"{NEW}{new.id}"
    option = Option(
        partial(taking, called, new),
        partial(extended, called, new),
        new.about or "",
        new.id,
    )
    parts = made_optional(called, new)
    return Change("more", name, option.words(None), lambda: (option,), stands_for=parts)


def taking(called: str, new: PartSpec, plan: Plan | None) -> str:
    """`add blower-97, a radial blower, on accelerator`."""
    text = f"add {new.id} ({title(new)})"
    for seat in plan.seats if plan else ():
        if seat.part == called and new.gives_airflow_lfm and seat.upstream.carriers:
            return f"{text}, mounted on {seat.upstream.carriers[0]}"
        if seat.upstream.carriers[:1] == (called,):
            return f"{text}; it takes {seat.part}"
    return text


def extended(called: str, new: PartSpec, problem: Problem) -> Problem:
    """The problem with one part more, which has to be placed."""
    made = with_more(problem, called, new)
    parts = tuple(
        replace(part, wish=part.wish.model_copy(update={"required": True}))
        if called in (part.id, part.companion_of)
        else part
        for part in made.parts
    )
    return replace(made, parts=parts)


def only_new_part(trial: Trial) -> Iterator[Verdict]:
    """At most one part that is not in the build, in any stack of parts."""
    new = [name for name in (trial.part.id, *trial.upstream.carriers) if is_new(name)]
    if len(new) > 1:
        yield stated("one new part at a time")


def is_new(name: str) -> bool:
    """Whether the part stands in for something to buy."""
    return "~" in name or name.startswith(NEW)


ONE_AT_A_TIME = SeatRule(
    id="NEW",
    title="two new parts",
    why="to keep the search small",
    source="our own",
    judge=only_new_part,
)
