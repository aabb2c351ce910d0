"""Windows as they are shown: what comes out and goes in, machine by machine."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from slotfit.model.problem import Problem
from slotfit.model.windows import Layout, Move, Window
from slotfit.natural_order import natural
from slotfit.render.cautions import CAUTIONS
from slotfit.render.sequence.view import MachineWorkView, MoveView, WindowView
from slotfit.sequence.jobs import below
from slotfit.sequence.names import (
    BESIDE,
    change_view,
    link_name,
    origin_name,
    place_name,
    socket_of,
)
from slotfit.sequence.stretch_views import Way, done_machines, lacks, stretch_view


def window_view(way: Way, window: Window) -> WindowView:
    """One power-down."""
    task = way.task
    before = way.stretches[window.number - 1]
    machines = [rig.id for rig in task.problem.rigs]
    runs = [(one.name, before.homes(one)) for one in task.services]
    touched = [name for move in window.moves for name in (move.item, *riders(way, window, move))]
    items = [task.problem.item[name] for name in touched]
    after = stretch_view(way, window.number)
    done = done_machines(way, window.number - 1)
    return WindowView(
        number=window.number,
        off=window.off,
        on=tuple(name for name in machines if name not in (*window.off, *done)),
        work=tuple(works(way, window)),
        down=tuple(name for name, homes in runs if homes and set(homes) <= set(window.off)),
        keep=tuple(name for name, homes in runs if homes and not set(homes) <= set(window.off)),
        risks=tuple(risks(way, window)),
        cautions=tuple(one.text for one in CAUTIONS if one.applies(task.problem, items))
        if window.off
        else (),
        waits_for=tuple(
            sorted(
                (name for name, comes in asked_arrivals(way) if comes == window.number),
                key=natural,
            )
        ),
        after=after,
    )


def asked_arrivals(way: Way) -> Iterator[tuple[str, int]]:
    """What the file says of arrivals; what comes along with it is not named."""
    yield from way.task.problem.sequence.arrivals.items()


def riders(way: Way, window: Window, move: Move) -> list[str]:
    """What stays on a part while it moves."""
    problem, places = way.task.problem, window.after.places
    on_it = below(problem, move.item, places)
    moved = {one.item for one in window.moves}.intersection(on_it)
    moved |= {rider for one in moved for rider in below(problem, one, places)}
    return [one for one in on_it if one not in moved and problem.item[one].companion_of is None]


def works(way: Way, window: Window) -> Iterator[MachineWorkView]:
    """What is done in each machine that is off, and to parts beside the machines."""
    before = way.stretches[window.number - 1].layout
    moves = [m for m in window.moves if way.task.problem.item[m.item].companion_of is None]
    for machine in window.off:
        rig = way.task.problem.rig[machine]
        sides = [(m, home(before, m.item), home(window.after, m.item)) for m in moves]
        yield MachineWorkView(
            machine=machine,
            name=rig.machine.name or machine,
            out=told(way, window, [m for m, a, b in sides if a == machine != b]),
            moved=told(way, window, [m for m, a, b in sides if a == b == machine]),
            in_=told(way, window, [m for m, a, b in sides if a != machine == b]),
            changes=tuple(
                change_view(way.task.problem, change)
                for change in window.changes
                if change.group.partition("/")[0] == machine
            ),
        )
    bench = [
        m for m in moves if home(before, m.item) is None and home(window.after, m.item) is None
    ]
    if bench:
        yield MachineWorkView("", BESIDE, (), told(way, window, bench), (), ())


def home(layout: Layout, item: str) -> str | None:
    """The machine in which an item runs."""
    seat = layout.seat_of.get(item)
    return seat.offer.machine if seat else None


def told(way: Way, window: Window, moves: Sequence[Move]) -> tuple[MoveView, ...]:
    """Moves, carriers before what goes on them."""
    problem = way.task.problem
    return tuple(
        move_view(way, window, move)
        for move in sorted(
            moves,
            key=lambda m: (
                not problem.site[m.to or m.from_ or ""].on_board,
                natural(m.to or m.from_ or ""),
            ),
        )
    )


def move_view(way: Way, window: Window, move: Move) -> MoveView:
    """One part."""
    task = way.task
    seat = window.after.seat_of.get(move.item)
    onto, socket = socket_of(task.problem, move.to)
    return MoveView(
        item=move.item,
        name=task.problem.item[move.item].part.name or task.problem.item[move.item].part.id,
        from_=move.from_,
        from_label=origin_name(task.problem, move.item, move.from_),
        to=move.to,
        to_label=place_name(task.problem, move.to, machine=True),
        onto=onto,
        socket=socket,
        riders=tuple(riders(way, window, move)),
        link=link_name(task, window.after, seat) if seat else "",
        cables=tuple(dict.fromkeys(cables(way, window, move))),
    )


def cables(way: Way, window: Window, move: Move) -> Iterator[str]:
    """Plugs from the supply, and cables that hang on the part."""
    problem = way.task.problem
    before = way.stretches[window.number - 1].layout
    if home(before, move.item) or home(window.after, move.item):
        yield from plugs(problem, [move.item, *riders(way, window, move)])
    for layout in (before, window.after):
        for other in sorted(layout.places, key=natural):
            site = problem.site[layout.places[other]]
            is_on = not site.on_board and site.owner.partition(":")[0] == move.item
            if is_on and problem.item[other].part.part_class == "cable":
                yield f"{other} at {site.receptacle.label or site.receptacle.id}"
    for item in problem.items:
        if item.companion_of == move.item and item.id in {**before.places, **window.after.places}:
            plug = item.id.partition(":")[2]
            yield f"its plug {plug}"


def plugs(problem: Problem, items: Sequence[str]) -> Iterator[str]:
    """What the supply feeds of a part and of what sits on it: `pcie-8, 4 sata-power`."""
    powers = [problem.item[item].part.power for item in items]
    found = Counter(plug for power in powers if power for plug in power.aux)
    if found:
        texts = [plug if count == 1 else f"{count} {plug}" for plug, count in found.items()]
        yield f"{', '.join(texts)} from the supply"


def risks(way: Way, window: Window) -> Iterator[str]:
    """What is at stake between this window and the next."""
    moved = {move.item for move in window.moves}
    for move in window.moves:
        moved.update(riders(way, window, move))
    for copy, at in zip(way.task.copies, way.schedule.copied, strict=True):
        if at >= window.number and not moved.isdisjoint(copy.sources):
            yield f"the data of {copy.name} is moved before it is copied"
    for mirror in stretch_view(way, window.number).mirrors:
        if lacks(mirror):
            last = mirror.in_service == 1
            then = "one more fault loses the data" if last else "less redundancy"
            yield f"{mirror.name} lacks {' and '.join(mirror.missing)}: {then}"
