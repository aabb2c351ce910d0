"""Parts to buy: another kind in a part's stead, or one more that takes a part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator
from dataclasses import replace
from functools import partial

from slotfit.answers.no_plan.case import Case, Reason
from slotfit.answers.no_plan.changed import (
    at,
    body_and_plugs,
    made_optional,
    with_more,
    with_part,
    without_wishes_for,
)
from slotfit.answers.no_plan.give_up import (
    Amend,
    Change,
    Option,
    fixed,
    untouched,
)
from slotfit.answers.no_plan.sentences import bound_seats
from slotfit.answers.no_plan.shop import Shop, distance, does_same_job, make, relieves
from slotfit.listing import natural
from slotfit.load.build_file import items_of
from slotfit.model.part import Part
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem
from slotfit.model.reason import Verdict, stated
from slotfit.rule import SeatRule, Trial
from slotfit.standards.forms import plug_fits

CANDIDATES = 3
"""So many other parts are tried for one; the nearest."""

ADDED = 2
"""So many parts are tried as additions for one."""

STAND_ELSEWHERE = {"FIT002", "FIT004", "FIT005", "FIT006", "FIT007", "FIT008", "FIT009"}
"""Rules that a part on a ribbon gets around: it needs the slot, but not the room beside it."""

WHEREVER = {"WISH006", "WISH007", "POW003", "POW004"}
"""What is so of a part wherever in its machine it sits."""

NOWHERE = {"WISH007"}
"""All that is said of a part for whose plug there is no receptacle."""

BY_LANES = {"lane-group", "hub", "carrier"}
"""In these senses a receptacle of another form may well be a place of its own."""

NEW = "new-"
"""How parts that are added are called."""


def about(case: Case, reason: Reason) -> set[str]:
    """Parts that a reason is about: those it refuses or binds, and what they sit on."""
    seats = list(reason.seats.values()) or bound_seats(case, reason)
    found = {seat.item for seat in seats}
    return found.union(*(seat.offer.carriers for seat in seats))


def rules_by_item(case: Case, reasons: Iterable[Reason]) -> dict[str, set[str]]:
    """Part -> rules of the clash that are about it; a companion's count for its body."""
    found: dict[str, set[str]] = {}
    for reason in reasons:
        for name in about(case, reason):
            body = case.problem.item[name].body
            found.setdefault(body, set()).add(reason.rule)
    return dict(sorted(found.items(), key=lambda pair: natural(pair[0])))


def whole(problem: Problem, item: str) -> Part:
    """The part as it was described, its extra plugs' receptacles included."""
    items = body_and_plugs(problem, item)
    every = tuple(one for each in items for one in each.part.receptacles)
    return problem.item[item].part.model_copy(update={"receptacles": every})


def other_parts(
    case: Case, rules: dict[str, set[str]], first: dict[str, str], shop: Shop
) -> Iterator[Change]:
    """For each part of the clash, the nearest others that may get around it."""
    for name, broken in rules.items():
        if first[name] != name or untouched(case.problem, "other-part", name):
            continue
        old = whole(case.problem, name)
        useful = [
            new
            for new in shop.parts(old.part_class)
            if does_same_job(old, new) and any(relieves(rule, old, new) for rule in broken)
        ]
        useful.sort(key=lambda new: (distance(old, new), new.id))
        nearest: dict[object, Part] = {}
        for new in useful:
            nearest.setdefault(make(new), new)
        asks = partial(left_without, name)
        for new in [*nearest.values()][:CANDIDATES]:
            yield instead(case.problem, name, old, new, asks)


def left_without(name: str, problem: Problem) -> Problem:
    """The problem without the part that another stands in for."""
    return without_wishes_for(problem, name)


def instead(problem: Problem, name: str, old: Part, new: Part, asks: Amend) -> Change:
    """Another part in one's stead."""
    wish = problem.item[name].wish
    option = Option(
        fixed(f"use {new.id} for {name} ({title(new)})"),
        partial(exchanged, name, new),
        f"write `part: {new.id}`{at(wish.span('part'))}",
        new.about or "",
        new.id,
    )
    stand_in = wish.model_copy(update={"id": f"{name}~{new.id}", "required": False})
    items = tuple(items_of(stand_in, new))
    nearness = distance(old, new)
    label = option.words(None)
    return Change("other-part", name, label, lambda: (option,), asks, items, nearness)


def title(part: Part) -> str:
    """Its name in the middle of a sentence."""
    name = part.name or part.id
    return name[0].lower() + name[1:] if name[1:2].islower() else name


def exchanged(name: str, new: Part, problem: Problem) -> Problem:
    """The problem with the other part."""
    return with_part(problem, name, new)


def small_additions(case: Case, rules: dict[str, set[str]], shop: Shop) -> list[Change]:
    """Air movers and cables for parts of the clash; they take little room in the model."""
    return added_for(
        case,
        rules,
        lambda item, broken: (
            *movers(case, item, broken, shop),
            *cables(case, item, broken, shop),
        ),
    )


def large_additions(case: Case, rules: dict[str, set[str]], shop: Shop) -> list[Change]:
    """Adapters and ribbons for parts of the clash: each can sit, and take parts, in many ways."""
    return added_for(case, rules, lambda item, broken: takers(case, item, broken, shop))


def added_for(
    case: Case, rules: dict[str, set[str]], found: Callable[[Item, set[str]], Iterable[Part]]
) -> list[Change]:
    """One addition for each part found, for the first that it serves."""
    made: dict[str, Change] = {}
    for name, broken in rules.items():
        if not untouched(case.problem, "more", name):
            for each in body_and_plugs(case.problem, name):
                for new in found(each, broken):
                    made.setdefault(new.id, added(each.id, new))
    return [*made.values()]


def takers(case: Case, item: Item, broken: set[str], shop: Shop) -> list[Part]:
    """
    Adapters and ribbons that take the part, the nearest to its own lanes first.

    Rigid risers are made for one chassis, so they are left to those who know theirs.
    """
    if not helps_elsewhere(case, item, broken):
        return []
    forms = {site.receptacle.form for site in case.problem.sites if site.on_board}
    found = [
        new
        for new in shop.parts("adapter", "riser")
        if (new.part_class == "adapter" or new.reach_mm is not None)
        and new.plug.form in forms
        and takes(new, item)
        and (new.plug.form != item.part.plug.form or broken & STAND_ELSEWHERE)
    ]
    return sorted(found, key=lambda new: (unlike_lanes(item, new), new.id))[:ADDED]


def helps_elsewhere(case: Case, item: Item, broken: set[str]) -> bool:
    """
    Whether one receptacle more may help against what is said of the part.

    It does not help a part that is to go into named receptacles, nor against what is so wherever
    the part is; and a part that neither the clash requires nor anything sits on is in nobody's way.
    """
    if item.wish.pin or item.wish.only:
        return False
    if "WISH007" not in broken and not item.part.receptacles:
        return False
    if broken == NOWHERE or broken - WHEREVER or len(case.problem.rigs) > 1:
        return True
    return "WISH006" in broken and is_new_place(case, item)


def is_new_place(case: Case, item: Item) -> bool:
    """Whether a receptacle may be in no place, in the sense of `apart`, that the part has now."""
    senses = {group.by for group in case.problem.apart if item.id in group.parts}
    fitted = {processor for rig in case.problem.rigs for processor in rig.fitted}
    reached = {seat.offer.processor for seat in case.seating.every(item.id)}
    return bool(senses & BY_LANES) or ("processor" in senses and not fitted <= reached)


def takes(new: Part, item: Item) -> bool:
    """Whether the new part has a receptacle for the item's plug."""
    return any(plug_fits(item.part.plug.form, one.form) for one in new.receptacles)


def unlike_lanes(item: Item, new: Part) -> int:
    """How far its lanes are from those the item could use."""
    return abs(sum(one.lanes for one in new.links) - sum(one.lanes for one in item.part.links))


def cables(case: Case, item: Item, broken: set[str], shop: Shop) -> list[Part]:
    """Cables from some receptacle of the build to the part, the shortest first."""
    if not broken & {"CAB001", "CAB002"}:
        return []
    forms = {site.receptacle.form for site in case.problem.sites}
    found = [new for new in shop.parts("cable") if new.plug.form in forms and takes(new, item)]
    return sorted(found, key=lambda new: (unlike_lanes(item, new), new.reach_mm or 0, new.id))[
        :ADDED
    ]


def movers(case: Case, item: Item, broken: set[str], shop: Shop) -> list[Part]:
    """Air movers for the part, the weakest that is enough first."""
    mounts = [site for site in case.problem.sites if site.owner == item.id]
    needed = item.part.needs_lfm or 0
    if "COOL002" not in broken or not any(s.receptacle.form == "cooling-mount" for s in mounts):
        return []
    found = [new for new in shop.parts("air-mover") if (new.gives_airflow_lfm or 0) >= needed > 0]
    return sorted(found, key=lambda new: (new.gives_airflow_lfm or 0, new.id))[:ADDED]


def added(name: str, new: Part) -> Change:
    """One part more."""
    called = f"{NEW}{new.id}"
    option = Option(
        partial(taking, called, new),
        partial(extended, called, new),
        f"add `- {{id: {called}, part: {new.id}}}` to `parts`",
        new.about or "",
        new.id,
    )
    items = made_optional(called, new)
    return Change("more", name, option.words(None), lambda: (option,), stands_for=items)


def taking(called: str, new: Part, plan: Plan | None) -> str:
    """`add blower-97, a radial blower, on accelerator`."""
    text = f"add {new.id} ({title(new)})"
    for seat in plan.seats if plan else ():
        if seat.item == called and new.gives_airflow_lfm and seat.offer.carriers:
            return f"{text}, mounted on {seat.offer.carriers[0]}"
        if seat.offer.carriers[:1] == (called,):
            return f"{text}; it takes {seat.item}"
    return text


def extended(called: str, new: Part, problem: Problem) -> Problem:
    """The problem with one part more, which has to be placed."""
    made = with_more(problem, called, new)
    items = tuple(
        item._replace(wish=item.wish.model_copy(update={"required": True}))
        if called in (item.id, item.companion_of)
        else item
        for item in made.items
    )
    return replace(made, items=items)


def only_new_part(trial: Trial) -> Iterator[Verdict]:
    """At most one part that is not in the build, in any stack of parts."""
    new = [name for name in (trial.item.id, *trial.offer.carriers) if is_new(name)]
    if len(new) > 1:
        yield stated("one new part at a time")


def is_new(name: str) -> bool:
    """Whether the item stands in for something to buy."""
    return "~" in name or name.startswith(NEW)


ONE_AT_A_TIME = SeatRule(
    id="NEW",
    title="two new parts",
    why="to keep the search small",
    source="our own",
    judge=only_new_part,
)
