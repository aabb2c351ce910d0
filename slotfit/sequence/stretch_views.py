"""Stretches as they are shown: what runs, what is to be done before the next window."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.listing import in_short
from slotfit.model.windows import MirrorJob, Schedule, Task, Window
from slotfit.natural_order import natural
from slotfit.render.sequence.view import MirrorView, ServiceView, StretchView
from slotfit.sequence.jobs import bearer, is_drive
from slotfit.sequence.names import link_name, place_name, socket_of
from slotfit.sequence.stretches import Stretch, homes_of_mirror


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
        places=in_order(places(way, number)),
        settings=in_order(stretch.layout.arrangements),
    )


def places(way: Way, number: int) -> dict[str, str]:
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
        alike.setdefault((place, link_name(way.task, layout, seat)), []).append(move.item)
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
