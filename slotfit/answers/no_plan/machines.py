"""Changes to a machine: brackets, processors, power supply, chassis, board."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from slotfit.answers.no_plan.changed import (
    at,
    rewritten,
    with_board,
    with_bracket,
    with_chassis,
    with_processors,
    with_supply,
)
from slotfit.answers.no_plan.give_up import (
    Amend,
    Change,
    Option,
    fixed,
    single,
    untouched,
)
from slotfit.answers.no_plan.shop import Shop
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.problem import Item, Problem, Rig
from slotfit.standards.cem import LOW_PROFILE_HEIGHT_MM
from slotfit.standards.forms import plug_fits


def brackets(problem: Problem) -> Iterator[Change]:
    """The other bracket, where the card is low enough for either."""
    for item in problem.items:
        other = {"full": "low", "low": "full"}.get(item.part.bracket or "")
        if other and takes(item, other) and not untouched(problem, "bracket", item.id):
            option = Option(
                fixed(f"fit a {other}-height bracket to {item.id}"),
                partial(bracketed, item.id, other),
                mind="it came in the card's box or its maker sells it; look before you count on it",
            )
            yield single("bracket", item.id, option)


def takes(item: Item, bracket: str) -> bool:
    """Whether the card is low enough for a low bracket."""
    height = item.part.height_mm
    return bracket == "full" or (height is not None and height <= LOW_PROFILE_HEIGHT_MM)


def bracketed(item: str, bracket: str, problem: Problem) -> Problem:
    """The problem with that bracket."""
    return with_bracket(problem, item, bracket)


def processors(problem: Problem) -> Iterator[Change]:
    """Each processor that is not fitted."""
    for rig in problem.rigs:
        for one in rig.board.processors:
            if one.id in rig.fitted or untouched(problem, "processors", rig.id):
                continue
            option = Option(
                fixed(f"fit {one.label or one.id} in {rig.id}"),
                partial(fitted, rig.id, (*sorted(rig.fitted), one.id)),
                f"add {one.id} to `processors`{at(rig.machine.span('processors'))}",
                "it needs memory and a cooler of its own; the board's manual says what pairs",
            )
            yield single("processors", rig.id, option)


def fitted(machine: str, everyone: tuple[str, ...], problem: Problem) -> Problem:
    """The problem with these processors."""
    return with_processors(problem, machine, everyone)


def kept_on(problem: Problem) -> Iterator[Change]:
    """Each machine that is to be retired, kept."""
    for rig in problem.rigs:
        if rig.id in problem.retire and not untouched(problem, "machine", rig.id):
            option = Option(
                fixed(f"keep {rig.id} in service"),
                partial(in_service, rig.id),
                f"take {rig.id} out of `retire`",
            )
            yield single("machine", rig.id, option)


def in_service(machine: str, problem: Problem) -> Problem:
    """The problem with the machine kept."""
    return replace(problem, retire=tuple(name for name in problem.retire if name != machine))


def supplies(problem: Problem, shop: Shop) -> Iterator[Change]:
    """A supply with more of something."""
    for rig in problem.rigs:
        if rig.power_supply is not None and not untouched(problem, "supply", rig.id):
            find = partial(better_supplies, rig, rig.power_supply, shop)
            asks = partial(supplied, rig.id, None)
            yield Change("supply", rig.id, f"give {rig.id} another power supply", find, asks)


def better_supplies(rig: Rig, old: PowerSupply, shop: Shop) -> tuple[Option, ...]:
    """The smallest first."""
    better = [new for new in shop.supplies if new.id != old.id and gives_more(old, new)]
    better.sort(key=lambda new: (new.watts, new.id))
    return tuple(bought(rig, "power_supply", new, partial(supplied, rig.id, new)) for new in better)


def gives_more(old: PowerSupply, new: PowerSupply) -> bool:
    """More watts, or as many and more plugs of some type."""
    have, will = old.plugs or {}, new.plugs or {}
    plugs = any(number > have.get(plug, 0) for plug, number in will.items())
    return new.watts > old.watts or (new.watts == old.watts and plugs)


def supplied(machine: str, new: PowerSupply | None, problem: Problem) -> Problem:
    """The problem with that supply; None: nothing is known of it."""
    return with_supply(problem, machine, new)


def cases(problem: Problem, shop: Shop) -> Iterator[Change]:
    """Another chassis."""
    for rig in problem.rigs:
        if rig.chassis is not None and not untouched(problem, "chassis", rig.id):
            find = partial(other_cases, rig, rig.chassis, shop)
            asks = partial(housed, rig.id, None)
            yield Change("chassis", rig.id, f"give {rig.id} another chassis", find, asks)


def other_cases(rig: Rig, old: Chassis, shop: Shop) -> tuple[Option, ...]:
    """The most alike first."""
    others = [new for new in shop.chassis if new.id != old.id]
    others.sort(key=lambda new: (far_from(old, new), new.id))
    return tuple(bought(rig, "chassis", new, partial(housed, rig.id, new)) for new in others)


def far_from(old: Chassis, new: Chassis) -> tuple[bool, float]:
    """How much another chassis differs from the outside."""
    lower = (new.openings or 0) < (old.openings or 0)
    return (lower, abs((new.height_u or 0) - (old.height_u or 0)))


def housed(machine: str, new: Chassis | None, problem: Problem) -> Problem:
    """The problem in that chassis; None: nothing is known of it."""
    return with_chassis(problem, machine, new)


def boards(problem: Problem, shop: Shop) -> Iterator[Change]:
    """Another board."""
    for rig in problem.rigs:
        if not untouched(problem, "board", rig.id):
            # Another board changes nearly everything; only a plan on it tells.
            find = partial(other_boards, problem, rig, shop)
            yield Change("board", rig.id, f"give {rig.id} another board", find)


def other_boards(problem: Problem, rig: Rig, shop: Shop) -> tuple[Option, ...]:
    """The most alike first, of those that go into the chassis and have receptacles enough."""
    room = partial(has_room, problem, rig)
    others = [new for new in shop.boards(room) if new.id != rig.board.id and goes_in(new, rig)]
    others.sort(key=lambda new: (unlike(rig.board, new), new.id))
    return tuple(another_board(problem, rig, new) for new in others)


def another_board(problem: Problem, rig: Rig, new: Board) -> Option:
    """The option to move a machine onto a board, with all that is then named otherwise."""
    option = bought(rig, "board", new, partial(mounted, rig.id, new))
    further = rewritten(problem, with_board(problem, rig.id, new))
    return replace(option, write="; ".join((option.write, *further)))


def has_room(problem: Problem, rig: Rig, board: Mapping[str, int]) -> bool:
    """
    Whether the parts that must go in find receptacles enough, so many of each form being on board.

    A board that lacks some need not be tried: what is tried is few, and should have a chance.
    """
    elsewhere = (s.receptacle.form for s in problem.sites if not (s.on_board and s.owner == rig.id))
    forms = Counter(elsewhere) + Counter(board)
    plugs = Counter(
        item.part.plug.form
        for item in problem.items
        if item.wish.required and item.id not in problem.retire
    )
    return all(
        count <= sum(number for form, number in forms.items() if plug_fits(plug, form))
        for plug, count in plugs.items()
    )


def goes_in(new: Board, rig: Rig) -> bool:
    """Whether the chassis has stand-offs for it, as far as anyone has said."""
    sizes = rig.chassis.sizes if rig.chassis else None
    return sizes is None or new.size is None or new.size in sizes


def unlike(old: Board, new: Board) -> tuple[object, ...]:
    """How much another board differs from the outside."""
    sockets = abs(len(old.processors) - len(new.processors))
    return (new.size != old.size, sockets, abs(len(old.receptacles) - len(new.receptacles)))


def mounted(machine: str, new: Board, problem: Problem) -> Problem:
    """The problem on that board."""
    return with_board(problem, machine, new)


MINDS = {
    "power_supply": "use only the cables that came with it, never those of the old one",
    "chassis": "an entry of the catalog is a class of chassis: measure the one you mean to buy",
    "board": "an entry of the catalog is a class of board: look for one with these receptacles, "
    "and check that your processors and memory go into it",
}
TITLES = {"power_supply": "power supply", "chassis": "chassis", "board": "board"}


def bought(rig: Rig, field: str, new: PowerSupply | Chassis | Board, made: Amend) -> Option:
    """The option to give a machine another of these."""
    return Option(
        fixed(f"give {rig.id} another {TITLES[field]}: {new.name or new.id}"),
        made,
        f"write `{field}: {new.id}`{at(rig.machine.span(field))}",
        MINDS[field],
        new.id,
    )
