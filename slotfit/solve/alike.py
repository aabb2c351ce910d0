"""
Parts that are alike: a plan that swaps two of them is the same plan with other names.

Of all those plans one is enough: the one in which parts that are alike sit in the order of their
names, receptacles being counted in the order of theirs. What sits on a part moves with it, so the
receptacles of swapped parts swap names as well; the classes are put in order from the boards up.
"""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Seating
from slotfit.natural_order import natural

Order = tuple[tuple[tuple[int, int, str], ...], str]


def by_name(name: str) -> Order:
    """A sort key that counts as people do, and lets no two names tie."""
    return natural(name), name


@dataclass(frozen=True, slots=True)
class Alike:
    """Parts that may swap, and every receptacle that they can have, both in order."""

    items: tuple[str, ...]
    sites: tuple[str, ...]

    def window(self, number: int, required: bool) -> slice:
        """The receptacles left to one of them when all sit in order."""
        after = len(self.items) - 1 - number if required else 0
        return slice(number, max(len(self.sites) - after, number))


def alike(problem: Problem, seating: Seating) -> list[Alike]:
    """Every set of two or more parts that may swap."""
    found = [
        Alike(items, tuple(sorted(sites[0], key=by_name)))
        for items in kinds(problem)
        if len(items) > 1
        and (sites := [{seat.site for seat in seating.by_item.get(i, [])} for i in items])
        and all(these == sites[0] for these in sites)
    ]
    return [kind for kind in found if not carries_itself(problem, seating, kind)]


def kinds(problem: Problem) -> Iterator[tuple[str, ...]]:
    """Items of one part and one wish that nothing else tells apart, in the order of their names."""
    kept: list[tuple[Item, object, list[str]]] = []
    named = set(told_apart(problem))
    for item in sorted(problem.items, key=lambda item: by_name(item.id)):
        if item.id in named:
            continue
        wish = item.wish.model_dump(exclude={"id", "part", "count"})
        groups = [item.id in group.parts for group in (*problem.together, *problem.apart)]
        for other, its_wish, members in kept:
            if its_wish == (wish, groups) and same_part(other, item):
                members.append(item.id)
                break
        else:
            kept.append((item, (wish, groups), [item.id]))
    return (tuple(members) for _, _, members in kept)


def same_part(one: Item, other: Item) -> bool:
    """Whether two items are of one kind; where it was written down does not matter."""
    if one.part is other.part:
        return True
    return one.part.id == other.part.id and one.part.model_dump() == other.part.model_dump()


def told_apart(problem: Problem) -> Iterator[str]:
    """Items that something in the build names for themselves, or that are one of two plugs."""
    sites: list[str] = list(problem.today.values())
    yield from problem.today
    yield from problem.retire
    for item in problem.items:
        if item.companion_of is not None:
            yield from (item.id, item.companion_of)
        sites += [*item.wish.only, *item.wish.ban, *filter(None, [item.wish.pin])]
    owner = {site.id: site.owner for site in problem.sites if not site.on_board}
    yield from (owner[site] for site in sites if site in owner)


def carries_itself(problem: Problem, seating: Seating, kind: Alike) -> bool:
    """
    Whether a part of the set can sit on one of them, perhaps with others between.

    Then swapping names to put the carriers in order would undo the order of what they carry.
    """
    to_see = [problem.site[site].owner for site in kind.sites]
    seen: set[str] = set()
    while to_see:
        owner = to_see.pop()
        if owner in kind.items:
            return True
        if owner not in seen:
            seen.add(owner)
            below = {seat.site for seat in seating.by_item.get(owner, [])}
            to_see += [problem.site[site].owner for site in below]
    return False


def left_out(problem: Problem, seating: Seating, kinds: list[Alike]) -> set[str]:
    """Keys of seats that no plan in order takes: out of a part's window, or on a part that is."""
    gone: set[str] = set()
    for kind in kinds:
        for number, name in enumerate(kind.items):
            kept = kind.sites[kind.window(number, problem.item[name].wish.required)]
            gone |= {s.key for s in seating.by_item[name] if s.site not in kept}
    for seat in seating.seats:  # a part's seats come before those of what sits on it
        if seat.parents and gone.issuperset(seat.parents):
            gone.add(seat.key)
    return gone
