"""Stretches as they are shown: what runs, what is to be done before the next window."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.answers.names import printed
from slotfit.answers.place.cautions import cautions_for
from slotfit.answers.sequence.answer import (
    CellView,
    MachineWorkView,
    MirrorView,
    MoveView,
    PlaceView,
    ServiceView,
    StretchView,
    WindowView,
)
from slotfit.answers.sequence.names import (
    BESIDE,
    change_view,
    link_name,
    origin_name,
    place_name,
    socket_of,
)
from slotfit.answers.sequence.stretches import Stretch, homes_of_mirror
from slotfit.answers.sequence.task import bearer, below, is_drive
from slotfit.listing import in_short, natural
from slotfit.model.problem import Problem
from slotfit.model.windows import Layout, MirrorJob, Move, Schedule, Task, Window


@dataclass(frozen=True)
class Way:
    """A schedule with what is so in each of its stretches."""

    task: Task
    schedule: Schedule
    stretches: Sequence[Stretch]
    homes: Sequence[Sequence[str]]
    """For each mirror its machine in every stretch."""

    def before(self, number: int) -> Window | None:
        """The window before a stretch; none before today."""
        return self.schedule.windows[number - 1] if number else None


def way_of_schedule(task: Task, schedule: Schedule, stretches: Sequence[Stretch]) -> Way:
    """The schedule looked through once."""
    homes = [homes_of_mirror(mirror, stretches) or [] for mirror in task.mirrors]
    return Way(task, schedule, stretches, homes)


def stretch_view(way: Way, number: int) -> StretchView:
    """One stretch."""
    stretch, task = way.stretches[number], way.task
    missed = dict(stretch.missed_parts())
    services = tuple(services_in(way, number))
    mirrors = tuple(mirrors_in(way, number))
    out = tuple(sorted((item for item, how in missed.items() if how == "out"), key=natural))
    slow = tuple(sorted((item for item, how in missed.items() if how == "slow"), key=natural))
    down = [one.name for one in services if not one.machines and not one.new]
    loss = max(0, stretch.lost_mb_s - task.usual_loss_mb_s)
    made = [copy for copy, at in enumerate(way.schedule.copied) if at == number]
    return StretchView(
        number=number,
        copies=tuple(task.copies[copy].name for copy in made),
        waiting=tuple(
            task.copies[copy].name for copy, at in enumerate(way.schedule.copied) if at > number
        ),
        services=services,
        mirrors=mirrors,
        beside=tuple(beside(way, number)),
        slow=slow,
        out=out,
        shared_loss_mb_s=loss,
        checks=tuple(checks(way, number, mirrors)),
        facts=tuple(sorted(stretch.layout.facts)),
        done=tuple(done_machines(way, number)),
        stop=stop_sentence(way, number, down, mirrors, out),
        whole=not (down or out or slow or loss or any(lacks(mirror) for mirror in mirrors)),
        places=in_order(part_places(way, number)),
        settings=in_order(stretch.layout.arrangements),
    )


def part_places(way: Way, number: int) -> dict[str, str]:
    """Where every part is; where its further plugs are connected is not for a build file to say."""
    item, found = way.task.problem.item, way.stretches[number].layout.places
    return {name: site for name, site in found.items() if not item[name].companion_of}


def in_order(mapping: Mapping[str, str]) -> dict[str, str]:
    """The same, in natural order of its keys."""
    return {name: mapping[name] for name in sorted(mapping, key=natural)}


def services_in(way: Way, number: int) -> Iterator[ServiceView]:
    """Where each service runs."""
    for service in way.task.services:
        yield ServiceView(service.name, way.stretches[number].homes(service), service.new)


def mirrors_in(way: Way, number: int) -> Iterator[MirrorView]:
    """What each mirror lacks."""
    stretch = way.stretches[number]
    for mirror, homes in zip(way.task.mirrors, way.homes, strict=True):
        here = stretch.members_in(mirror, homes[number])
        gone = [items for member, items in enumerate(mirror.members) if member not in here]
        yield MirrorView(
            name=mirror.name,
            machine=homes[number],
            members=len(mirror.members),
            in_service=len(here),
            missing=tuple(item for items in gone for item in items),
            released=stretch.is_released(mirror),
            resyncs=bool(number) and bool(here - in_service(way, mirror, homes, number - 1)),
        )


def in_service(way: Way, mirror: MirrorJob, homes: Sequence[str], number: int) -> frozenset[int]:
    """Members in service in a stretch."""
    return way.stretches[number].members_in(mirror, homes[number])


def lacks(mirror: MirrorView) -> bool:
    """Whether a mirror that is still needed has lost a member."""
    return bool(mirror.missing) and not mirror.released


def beside(way: Way, number: int) -> Iterator[str]:
    """Parts on their way: in no machine, and yet to go into one, or just out of one."""
    layout, later = way.stretches[number].layout, way.schedule.layouts[number + 1 :]
    earlier = way.schedule.layouts[:number]
    for item in sorted(way.task.problem.item, key=natural):
        known = way.task.problem.item[item]
        arrived = number >= way.task.arrivals.get(item, 0)
        if item in layout.seat_of or known.companion_of is not None or not arrived:
            continue
        lies_alone = bearer(way.task.problem, layout.places.get(item, "")) is None
        if lies_alone and any(item in one.seat_of for one in (*earlier, *later)):
            yield item


def done_machines(way: Way, number: int) -> list[str]:
    """Retired machines that no later window has anything to do with."""
    later = way.schedule.windows[number:]
    return [name for name in sorted(way.task.retired) if all(name not in w.off for w in later)]


def checks(way: Way, number: int, mirrors: Sequence[MirrorView]) -> Iterator[str]:
    """What to see to before anything is switched off again."""
    yield from links_to_see(way, number)
    for mirror in mirrors:
        if mirror.resyncs and not mirror.released:
            yield f"wait until the mirror of {mirror.name} has caught up and is whole again"
    for copy, at in zip(way.task.copies, way.schedule.copied, strict=True):
        if at == number:
            how = "over the network" if copy.network else "within the machine"
            yield f"copy {copy.name} {how}, and compare both ends before anything is switched off"


def links_to_see(way: Way, number: int) -> Iterator[str]:
    """Parts that were touched, where they must show up; like ones on one carrier together."""
    window = way.before(number)
    layout, problem = way.stretches[number].layout, way.task.problem
    alike: dict[tuple[str, str], list[str]] = {}
    for move in window.moves if window else ():
        seat = layout.seat_of.get(move.item)
        if seat is None or not seat.links or problem.item[move.item].companion_of:
            continue
        onto, _ = socket_of(problem, seat.site)
        place = onto or place_name(problem, seat.site, machine=True)
        alike.setdefault((place, link_name(seat)), []).append(move.item)
    for (place, link), items in alike.items():
        each = " each" if len(items) > 1 else ""
        yield f"{in_short(items)} show{'' if each else 's'} up in {place}: {link}{each}"


def stop_sentence(
    way: Way,
    number: int,
    down: Sequence[str],
    mirrors: Sequence[MirrorView],
    out: Sequence[str],
) -> str:
    """In which state one may stop."""
    if number == len(way.schedule.windows):
        return "This is the goal."
    start = "Nothing has been touched." if not number else "You may stop here: every machine works"
    wants = [f"{name} is down" for name in down]
    wants += [f"{m.name} lacks {' and '.join(m.missing)}" for m in mirrors if lacks(m)]
    if out:
        drives = any(is_drive(way.task.problem, item) for item in out)
        kept = ", its data kept" if drives else ""
        wants.append(f"{' and '.join(out)} {'lies' if len(out) == 1 else 'lie'} unused{kept}")
    if not number:
        return start
    return f"{start}, but {'; '.join(wants)}." if wants else f"{start}, and nothing is missing."


def places(way: Way) -> Iterator[PlaceView]:
    """Board receptacles that hold something at some time, then parts beside the machines."""
    layouts = way.schedule.layouts
    problem = way.task.problem
    used = {site for layout in layouts for site in layout.places.values()}
    for site in problem.sites:
        if site.on_board and site.id in used:
            yield PlaceView(
                site.owner,
                site.id,
                place_name(problem, site.id),
                tuple(cell(way, number, site.id) for number in range(len(layouts))),
            )
    yield from beside_places(way)


def beside_places(way: Way) -> Iterator[PlaceView]:
    """Parts beside the machines; like ones that lie there at the same times in one row."""
    count = len(way.schedule.layouts)
    lying = [stretch_view(way, number).beside for number in range(count)]
    alike: dict[object, list[str]] = {}
    for item in sorted({one for found in lying for one in found}, key=natural):
        when = tuple(item in found for found in lying)
        part = way.task.problem.item[item].part.id if never_on_a_board(way, item) else item
        alike.setdefault((when, part), []).append(item)
    for items in alike.values():
        name = in_short(items)
        riders = [riders_of(way, number, items[0]) for number in range(count)]
        there = zip(lying, riders, strict=True)
        cells = tuple(CellView(name if items[0] in found else None, n) for found, n in there)
        yield PlaceView("", "", name, cells)


def never_on_a_board(way: Way, item: str) -> bool:
    """Whether no row of a board will ever show it."""
    sites = {layout.places.get(item) for layout in way.schedule.layouts}
    known = [way.task.problem.site[site] for site in sites if site]
    return not any(site.on_board for site in known)


def cell(way: Way, number: int, site_id: str) -> CellView:
    """What is in a receptacle in one stretch."""
    layout = way.schedule.layouts[number]
    item = next((one for one, site in layout.places.items() if site == site_id), None)
    return CellView(item, riders_of(way, number, item) if item else 0)


def riders_of(way: Way, number: int, item: str) -> int:
    """How many parts sit on an item in one stretch."""
    problem, layout = way.task.problem, way.schedule.layouts[number]
    on_it = below(problem, item, layout.places)
    return sum(problem.item[one].companion_of is None for one in on_it)


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
        cautions=cautions_for(items) if window.off else (),
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
        link=link_name(seat) if seat else "",
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
                yield f"{other} at {printed(site.receptacle)}"
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
