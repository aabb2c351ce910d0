"""Changes to a machine: brackets, processors, power supply, chassis, board."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping
from dataclasses import replace
from functools import partial

from slotfit.answers.no_plan.changed import (
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
from slotfit.model.problem import Machine, Part, Problem
from slotfit.standards.cem import LOW_PROFILE_HEIGHT_MM
from slotfit.standards.forms import plug_fits


def brackets(problem: Problem) -> Iterator[Change]:
    """The other bracket, where the card is low enough for either."""
    for part in problem.parts:
        other = {"full": "low", "low": "full"}.get(part.spec.bracket or "")
        if other and takes(part, other) and not untouched(problem, "bracket", part.id):
            option = Option(
                fixed(f"fit a {other}-height bracket to {part.id}"),
                partial(bracketed, part.id, other),
                mind="it came in the card's box or its maker sells it; look before you count on it",
            )
            yield single("bracket", part.id, option)


def takes(part: Part, bracket: str) -> bool:
    """Whether the card is low enough for a low bracket."""
    height = part.spec.height_mm
    return bracket == "full" or (height is not None and height <= LOW_PROFILE_HEIGHT_MM)


def bracketed(part: str, bracket: str, problem: Problem) -> Problem:
    """The problem with that bracket."""
    return with_bracket(problem, part, bracket)


def processors(problem: Problem) -> Iterator[Change]:
    """Each processor that is not fitted."""
    for machine in problem.machines:
        for one in machine.board.processors:
            if one.id in machine.fitted or untouched(problem, "processors", machine.id):
                continue
            option = Option(
                fixed(f"fit {one.label or one.id} in {machine.id}"),
                partial(fitted, machine.id, (*sorted(machine.fitted), one.id)),
                "it needs memory and a cooler of its own; the board's manual says what pairs",
            )
            yield single("processors", machine.id, option)


def fitted(machine: str, everyone: tuple[str, ...], problem: Problem) -> Problem:
    """The problem with these processors."""
    return with_processors(problem, machine, everyone)


def kept_on(problem: Problem) -> Iterator[Change]:
    """Each machine that is to be retired, kept."""
    for machine in problem.machines:
        if machine.id in problem.retire and not untouched(problem, "machine", machine.id):
            option = Option(
                fixed(f"keep {machine.id} in service"),
                partial(in_service, machine.id),
            )
            yield single("machine", machine.id, option)


def in_service(machine: str, problem: Problem) -> Problem:
    """The problem with the machine kept."""
    return replace(problem, retire=tuple(name for name in problem.retire if name != machine))


def supplies(problem: Problem, shop: Shop) -> Iterator[Change]:
    """A supply with more of something."""
    for machine in problem.machines:
        if machine.power_supply is not None and not untouched(problem, "supply", machine.id):
            find = partial(better_supplies, machine, machine.power_supply, shop)
            asks = partial(supplied, machine.id, None)
            yield Change(
                "supply", machine.id, f"give {machine.id} another power supply", find, asks
            )


def better_supplies(machine: Machine, old: PowerSupply, shop: Shop) -> tuple[Option, ...]:
    """The smallest first."""
    better = [new for new in shop.supplies if new.id != old.id and gives_more(old, new)]
    better.sort(key=lambda new: (new.watts, new.id))
    return tuple(
        bought(machine, "power_supply", new, partial(supplied, machine.id, new)) for new in better
    )


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
    for machine in problem.machines:
        if machine.chassis is not None and not untouched(problem, "chassis", machine.id):
            find = partial(other_cases, machine, machine.chassis, shop)
            asks = partial(housed, machine.id, None)
            yield Change("chassis", machine.id, f"give {machine.id} another chassis", find, asks)


def other_cases(machine: Machine, old: Chassis, shop: Shop) -> tuple[Option, ...]:
    """The most alike first."""
    others = [new for new in shop.chassis if new.id != old.id and takes_board(new, machine.board)]
    others.sort(key=lambda new: (far_from(old, new), new.id))
    return tuple(
        bought(machine, "chassis", new, partial(housed, machine.id, new)) for new in others
    )


def far_from(old: Chassis, new: Chassis) -> tuple[bool, float]:
    """How much another chassis differs from the outside."""
    lower = (new.openings or 0) < (old.openings or 0)
    return (lower, abs((new.height_u or 0) - (old.height_u or 0)))


def housed(machine: str, new: Chassis | None, problem: Problem) -> Problem:
    """The problem in that chassis; None: nothing is known of it."""
    return with_chassis(problem, machine, new)


def boards(problem: Problem, shop: Shop) -> Iterator[Change]:
    """Another board."""
    for machine in problem.machines:
        if not untouched(problem, "board", machine.id):
            # Another board changes nearly everything; only a plan on it tells.
            find = partial(other_boards, problem, machine, shop)
            yield Change("board", machine.id, f"give {machine.id} another board", find)


def other_boards(problem: Problem, machine: Machine, shop: Shop) -> tuple[Option, ...]:
    """The most alike first, of those that go into the chassis and have receptacles enough."""
    found = shop.boards(partial(has_room, problem, machine))
    others = [new for new in found if takes_board(machine.chassis, new)]
    others = [new for new in others if new.id != machine.board.id]
    others.sort(key=lambda new: (unlike(machine.board, new), new.id))
    return tuple(bought(machine, "board", new, partial(mounted, machine.id, new)) for new in others)


def has_room(problem: Problem, machine: Machine, board: Mapping[str, int]) -> bool:
    """
    Whether the parts that must go in find receptacles enough, so many of each form being on board.

    A board that lacks some need not be tried: what is tried is few, and should have a chance.
    """
    elsewhere = (
        s.spec.form for s in problem.receptacles if not (s.on_board and s.owner == machine.id)
    )
    forms = Counter(elsewhere) + Counter(board)
    plugs = Counter(
        part.spec.plug.form
        for part in problem.parts
        if part.wish.required and part.id not in problem.retire
    )
    return all(
        count <= sum(number for form, number in forms.items() if plug_fits(plug, form))
        for plug, count in plugs.items()
    )


def takes_board(chassis: Chassis | None, board: Board) -> bool:
    """Whether the chassis has stand-offs for it, as far as anyone has said."""
    sizes = chassis.sizes if chassis else None
    return sizes is None or board.size is None or board.size in sizes


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


def bought(machine: Machine, field: str, new: PowerSupply | Chassis | Board, made: Amend) -> Option:
    """The option to give a machine another of these."""
    return Option(
        fixed(f"give {machine.id} another {TITLES[field]}: {new.name or new.id}"),
        made,
        MINDS[field],
        new.id,
    )
