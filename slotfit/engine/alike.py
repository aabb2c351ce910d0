"""
Parts that are alike: a plan that swaps two of them is the same plan with other names.

Of all those plans one is enough: the one in which parts that are alike sit in the order of their
names, receptacles being counted in the order of theirs. What sits on a part moves with it, so the
receptacles of swapped parts swap names as well; the classes are put in order from the boards up.
Of parts that can carry one another, an earlier one carries a later one.
"""

from collections.abc import Callable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from typing import NamedTuple

from slotfit.listing import by_name
from slotfit.model.problem import Item, Problem
from slotfit.model.seat import Alike
from slotfit.standards.forms import plug_fits

Homes = Callable[[str], AbstractSet[str]]
"""Item id -> every receptacle that it may have; more than it can have does no harm."""


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


class Orders(NamedTuple):
    """How parts alike sit in order."""

    by_site: list[Alike]
    """Those that carry none of themselves: in the order of their receptacles."""
    stacked: Mapping[str, frozenset[str]]
    """Of those that can: part -> itself and the later ones, none of which carries it."""


def orders(problem: Problem) -> Orders:
    """Every set of parts that may swap, with each receptacle that takes their plug."""
    fitting: dict[str, frozenset[str]] = {}

    def homes(item: str) -> frozenset[str]:
        form = problem.item[item].part.plug.form
        if form not in fitting:
            sites = (site for site in problem.sites if plug_fits(form, site.receptacle.form))
            fitting[form] = frozenset(site.id for site in sites)
        return fitting[form]

    found = [
        Alike(items, tuple(sorted(homes(items[0]), key=by_name)))
        for items in kinds(problem)
        if len(items) > 1
    ]
    stacks = [kind.items for kind in found if carries_itself(problem, homes, kind)]
    return Orders(
        [kind for kind in found if kind.items not in stacks],
        {name: frozenset(items[n:]) for items in stacks for n, name in enumerate(items)},
    )


def carries_itself(problem: Problem, homes: Homes, kind: Alike) -> bool:
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
        if owner not in seen and owner in problem.item:
            seen.add(owner)
            to_see += [problem.site[site].owner for site in homes(owner)]
    return False


def windows(problem: Problem, kinds: list[Alike]) -> dict[str, frozenset[str]]:
    """For all but the first of each kind the receptacles that leave every other its own."""
    return {
        name: frozenset(kind.sites[kind.window(number, problem.item[name].wish.required)])
        for kind in kinds
        for number, name in enumerate(kind.items)
        if number
    }
