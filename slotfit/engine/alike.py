"""
Parts that are alike: a plan that swaps two of them is the same plan with other names.

Of all those plans one is enough: the one in which parts that are alike sit in the order of their
names, receptacles being counted in the order of theirs. What sits on a part moves with it, so the
receptacles of swapped parts swap names as well; the classes are put in order from the boards up.
Of parts that can carry one another, an earlier one carries a later one.
"""

from collections.abc import Callable, Iterator, Mapping
from collections.abc import Set as AbstractSet
from dataclasses import dataclass

from slotfit.listing import by_name
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Alike
from slotfit.standards.forms import plug_fits

Homes = Callable[[str], AbstractSet[str]]
"""Part id -> every receptacle that it may have; more than it can have does no harm."""


def kinds(problem: Problem) -> Iterator[tuple[str, ...]]:
    """Parts of one spec and one wish that nothing else tells apart, in the order of their names."""
    kept: list[tuple[Part, object, list[str]]] = []
    named = set(told_apart(problem))
    for part in sorted(problem.parts, key=lambda part: by_name(part.id)):
        if part.id in named:
            continue
        wish = part.wish.model_dump(exclude={"id", "part", "count"})
        groups = [part.id in group.parts for group in (*problem.together, *problem.apart)]
        for other, its_wish, members in kept:
            if its_wish == (wish, groups) and same_part(other, part):
                members.append(part.id)
                break
        else:
            kept.append((part, (wish, groups), [part.id]))
    return (tuple(members) for _, _, members in kept)


def same_part(one: Part, other: Part) -> bool:
    """Whether two parts are of one kind; where it was written down does not matter."""
    if one.spec is other.spec:
        return True
    return one.spec.id == other.spec.id and one.spec.model_dump() == other.spec.model_dump()


def told_apart(problem: Problem) -> Iterator[str]:
    """Parts that something in the build names for themselves, or that are one of two plugs."""
    receptacles: list[str] = list(problem.today.values())
    yield from problem.today
    yield from problem.retire
    for machine in problem.machines:
        yield from machine.inside
    for part in problem.parts:
        if part.companion_of is not None:
            yield from (part.id, part.companion_of)
        receptacles += [*part.wish.only, *part.wish.ban, *filter(None, [part.wish.pin])]
    owner = {one.id: one.owner for one in problem.receptacles if not one.on_board}
    yield from (owner[receptacle] for receptacle in receptacles if receptacle in owner)


@dataclass(frozen=True, slots=True)
class Orders:
    """How parts alike sit in order."""

    by_receptacle: list[Alike]
    """Those that carry none of themselves: in the order of their receptacles."""
    stacked: Mapping[str, frozenset[str]]
    """Of those that can: part -> itself and the later ones, none of which carries it."""


def orders(problem: Problem) -> Orders:
    """Every set of parts that may swap, with each receptacle that takes their plug."""
    fitting: dict[str, frozenset[str]] = {}

    def homes(part: str) -> frozenset[str]:
        form = problem.part[part].spec.plug.form
        if form not in fitting:
            receptacles = (one for one in problem.receptacles if plug_fits(form, one.spec.form))
            fitting[form] = frozenset(receptacle.id for receptacle in receptacles)
        return fitting[form]

    found = [
        Alike(parts, tuple(sorted(homes(parts[0]), key=by_name)))
        for parts in kinds(problem)
        if len(parts) > 1
    ]
    stacks = [kind.parts for kind in found if carries_itself(problem, homes, kind)]
    return Orders(
        [kind for kind in found if kind.parts not in stacks],
        {name: frozenset(parts[n:]) for parts in stacks for n, name in enumerate(parts)},
    )


def carries_itself(problem: Problem, homes: Homes, kind: Alike) -> bool:
    """
    Whether a part of the set can sit on one of them, perhaps with others between.

    Then swapping names to put the carriers in order would undo the order of what they carry.
    """
    to_see = [problem.receptacle[receptacle].owner for receptacle in kind.receptacles]
    seen: set[str] = set()
    while to_see:
        owner = to_see.pop()
        if owner in kind.parts:
            return True
        if owner not in seen and owner in problem.part:
            seen.add(owner)
            to_see += [problem.receptacle[receptacle].owner for receptacle in homes(owner)]
    return False


def windows(problem: Problem, kinds: list[Alike]) -> dict[str, frozenset[str]]:
    """For all but the first of each kind the receptacles that leave every other its own."""
    return {
        name: frozenset(kind.receptacles[kind.window(number, problem.part[name].wish.required)])
        for kind in kinds
        for number, name in enumerate(kind.parts)
        if number
    }
