"""From a schedule to what is told of it: windows, the stretches between, work and risks."""

from __future__ import annotations

from collections import Counter
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass
from functools import cached_property
from itertools import chain

from slotfit.answers.names import printed
from slotfit.answers.place.cautions import WHILE_IT_RUNS, applying
from slotfit.answers.place.needs import said_of
from slotfit.answers.sequence.answer import (
    CopyMade,
    MachineWork,
    MirrorState,
    PartMove,
    PlaceRow,
    PowerDown,
    RowCell,
    SequenceDo,
    SequencePlan,
    ServiceState,
    StretchState,
    WindowCaution,
    WindowNote,
)
from slotfit.answers.sequence.names import (
    BESIDE,
    link_name,
    place_name,
    setting_step,
    socket_of,
    speed_steps,
)
from slotfit.answers.sequence.stretches import Stretch, homes_of_mirror, stretches_of
from slotfit.answers.sequence.task import carrier_of, is_drive, parts_on
from slotfit.listing import in_short, natural
from slotfit.model.keys import GroupKey
from slotfit.model.problem import Part, Problem
from slotfit.model.windows import Layout, MirrorJob, Move, Schedule, Task, Window
from slotfit.rule import seated


def plan_of(task: Task, made: Schedule) -> SequencePlan:
    """The windows with how things are before, between and after them."""
    stretches = stretches_of(task, made.layouts, made.copied)
    mirrors = [list(mirror_states(mirror, stretches)) for mirror in task.mirrors]
    states = tuple(
        stretch_state(made, stretch, number, tuple(states[number] for states in mirrors))
        for number, stretch in enumerate(stretches)
    )
    return SequencePlan(
        windows=tuple(
            power_down(task, made, window, before)
            for window, before in zip(made.windows, stretches, strict=False)
        ),
        stretches=states,
        copies=tuple(copies_made(task, made)),
        places=(*board_rows(task, made), *beside_rows(task, made, states)),
    )


def mirror_states(mirror: MirrorJob, stretches: Sequence[Stretch]) -> Iterator[MirrorState]:
    """What a mirror lacks, stretch by stretch."""
    before: frozenset[int] | None = None
    for stretch, home in zip(stretches, homes_of_mirror(mirror, stretches) or (), strict=True):
        here = stretch.members_in(mirror, home)
        gone = [parts for member, parts in enumerate(mirror.members) if member not in here]
        yield MirrorState(
            name=mirror.name,
            machine=home,
            members=len(mirror.members),
            in_service=len(here),
            missing=tuple(part for parts in gone for part in parts),
            released=stretch.is_released(mirror),
            resyncs=before is not None and not here <= before,
        )
        before = here


def stretch_state(
    made: Schedule, stretch: Stretch, number: int, mirrors: tuple[MirrorState, ...]
) -> StretchState:
    """One stretch."""
    task = stretch.task
    missed = sorted(stretch.missed_parts(), key=lambda one: natural(one[0]))
    out = tuple(part for part, how in missed if how == "out")
    slow = tuple(part for part, how in missed if how == "slow")
    homes = [(service, stretch.homes(service)) for service in task.services]
    services = tuple(
        ServiceState(one.name, found, "up" if found else "not yet up" if one.new else "down")
        for one, found in homes
    )
    down = [one.name for one in services if one.state == "down"]
    loss = max(0, stretch.lost_mb_s - task.usual_loss_mb_s)
    when = [(copy.name, at) for copy, at in zip(task.copies, made.copied, strict=True)]
    parts, layout = task.problem.part, stretch.layout
    return StretchState(
        number=number,
        copies=tuple(name for name, at in when if at == number),
        waiting=tuple(name for name, at in when if at > number),
        services=services,
        mirrors=mirrors,
        beside=tuple(beside(task, made, number)),
        slow=slow,
        out=out,
        shared_loss_mb_s=loss,
        checks=tuple(checks(task, made, number, mirrors)),
        facts=tuple(sorted(fact.label for fact in layout.facts.values())),
        done=tuple(machines_done(task, made, number)),
        stop=stop_sentence(task, made, number, down, mirrors, out),
        whole=not (down or out or slow or loss or any(mirror.lacks for mirror in mirrors)),
        # Where a part's further plugs are connected is not for a build file to say.
        places=in_order({i: one for i, one in layout.places.items() if parts[i].body == i}),
        settings=in_order({str(key): way for key, way in layout.arrangements.items()}),
    )


def in_order(mapping: Mapping[str, str]) -> dict[str, str]:
    """The same, in natural order of its keys."""
    return {name: mapping[name] for name in sorted(mapping, key=natural)}


def beside(task: Task, made: Schedule, number: int) -> Iterator[str]:
    """Parts on their way: in no machine, and yet to go into one, or just out of one."""
    problem, layout = task.problem, made.layouts[number]
    others = [one for at, one in enumerate(made.layouts) if at != number]
    for part in sorted(problem.part, key=natural):
        arrived = number >= task.arrivals.get(part, 0)
        if part in layout.seat_of or problem.part[part].companion_of or not arrived:
            continue
        lies_alone = carrier_of(problem, layout.places.get(part, "")) is None
        if lies_alone and any(part in one.seat_of for one in others):
            yield part


def machines_done(task: Task, made: Schedule, number: int) -> list[str]:
    """Retired machines that no window after the stretch has anything to do with."""
    later = {machine for window in made.windows[number:] for machine in window.off}
    return sorted(task.retired - later)


def checks(
    task: Task, made: Schedule, number: int, mirrors: Sequence[MirrorState]
) -> Iterator[str]:
    """What to see to before anything is switched off again."""
    if number:
        yield from links_to_see(task, made.windows[number - 1])
    for mirror in mirrors:
        if mirror.resyncs and not mirror.released:
            yield f"wait until the mirror of {mirror.name} has caught up and is whole again"
    for copy, at in zip(task.copies, made.copied, strict=True):
        if at == number:
            how = "over the network" if copy.network else "within the machine"
            yield f"copy {copy.name} {how}, and compare both ends before anything is switched off"


def links_to_see(task: Task, window: Window) -> Iterator[str]:
    """Parts that were touched, where they must show up; like ones on one carrier together."""
    problem = task.problem
    alike: dict[tuple[str, str], list[str]] = {}
    for move in window.moves:
        link = link_name(window.after, move.item)
        if link and not problem.part[move.item].companion_of:
            onto, _ = socket_of(problem, move.after)
            place = onto or place_name(problem, move.after, machine=True)
            alike.setdefault((place, link), []).append(move.item)
    for (place, link), parts in alike.items():
        each = " each" if len(parts) > 1 else ""
        yield f"{in_short(parts)} show{'' if each else 's'} up in {place}: {link}{each}"


def stop_sentence(
    task: Task,
    made: Schedule,
    number: int,
    down: Sequence[str],
    mirrors: Sequence[MirrorState],
    out: Sequence[str],
) -> str:
    """In which state one may stop."""
    if number == len(made.windows):
        return "This is the goal."
    if not number:
        return "Nothing has been touched."
    wants = [f"{name} is down" for name in down]
    wants += [f"{m.name} lacks {' and '.join(m.missing)}" for m in mirrors if m.lacks]
    if out:
        kept = ", its data kept" if any(is_drive(task.problem, part) for part in out) else ""
        wants.append(f"{' and '.join(out)} {'lies' if len(out) == 1 else 'lie'} unused{kept}")
    missing = f"but {'; '.join(wants)}" if wants else "and nothing is missing"
    return f"You may stop here: every machine works, {missing}."


def copies_made(task: Task, made: Schedule) -> Iterator[CopyMade]:
    """Each copy with the stretch in which it is made."""
    for copy, at in zip(task.copies, made.copied, strict=True):
        seats = made.layouts[at].seat_of
        yield CopyMade(
            copy, at, *(seats[end[0]].upstream.root for end in (copy.sources, copy.targets))
        )


def board_rows(task: Task, made: Schedule) -> Iterator[PlaceRow]:
    """Board receptacles that hold something at some time."""
    problem = task.problem
    held = [{receptacle: part for part, receptacle in one.places.items()} for one in made.layouts]
    for receptacle in problem.receptacles:
        if receptacle.on_board and any(receptacle.id in here for here in held):
            cells = tuple(
                RowCell(part, count_on(problem, layout, part) if part else 0)
                for here, layout in zip(held, made.layouts, strict=True)
                for part in (here.get(receptacle.id),)
            )
            yield PlaceRow(
                receptacle.owner, receptacle.id, place_name(problem, receptacle.id), cells
            )


def beside_rows(task: Task, made: Schedule, states: Sequence[StretchState]) -> Iterator[PlaceRow]:
    """Parts beside the machines; like ones that lie there at the same times in one row."""
    problem = task.problem
    alike: dict[object, list[str]] = {}
    for part in sorted({one for state in states for one in state.beside}, key=natural):
        when = tuple(part in state.beside for state in states)
        receptacles = {layout.places.get(part) for layout in made.layouts} - {None}
        has_a_row = any(problem.receptacle[one].on_board for one in receptacles if one)
        kind = part if has_a_row else problem.part[part].spec.id
        alike.setdefault((when, kind), []).append(part)
    for parts in alike.values():
        name = in_short(parts)
        cells = tuple(
            RowCell(name if parts[0] in state.beside else None, count_on(problem, layout, parts[0]))
            for state, layout in zip(states, made.layouts, strict=True)
        )
        yield PlaceRow("", "", name, cells)


def count_on(problem: Problem, layout: Layout, part: str) -> int:
    """How many parts sit on a part."""
    return sum(
        problem.part[one].companion_of is None for one in parts_on(problem, part, layout.places)
    )


def power_down(task: Task, made: Schedule, window: Window, before: Stretch) -> PowerDown:
    """One window."""
    homes = {one.name: set(before.homes(one)) for one in task.services}
    homes = {name: machines for name, machines in homes.items() if machines}
    down = tuple(name for name, machines in homes.items() if machines <= set(window.off))
    gone = (*window.off, *machines_done(task, made, window.number - 1))
    arrivals = task.problem.sequence.arrivals  # what comes along with an arrival is not named
    return PowerDown(
        number=window.number,
        off=window.off,
        on=tuple(machine.id for machine in task.problem.machines if machine.id not in gone),
        down=down,
        keep=tuple(name for name in homes if name not in down),
        waits_for=tuple(
            sorted((name for name, at in arrivals.items() if at == window.number), key=natural)
        ),
    )


@dataclass(frozen=True)
class WindowWork:
    """One window with the layout before it: what is done in it."""

    task: Task
    before: Layout
    window: Window
    settled: Collection[GroupKey] = ()
    """Lane groups that an earlier window set."""

    @cached_property
    def riders(self) -> Mapping[str, list[str]]:
        """Part that moves -> what stays on it meanwhile."""
        problem, places = self.task.problem, self.window.after.places
        moving = {move.item for move in self.window.moves}
        found = {}
        for part in moving:
            on_it = parts_on(problem, part, places)
            moved = moving.intersection(on_it)
            moved |= {rider for one in moved for rider in parts_on(problem, one, places)}
            found[part] = [
                one for one in on_it if one not in moved and not problem.part[one].companion_of
            ]
        return found

    @cached_property
    def touched(self) -> list[str]:
        """Every part that moves, or rides along."""
        return [name for move in self.window.moves for name in (move.item, *self.riders[move.item])]

    def work(self) -> Iterator[MachineWork]:
        """What is done in each machine, off or running, and to parts beside the machines."""
        problem, after, number = self.task.problem, self.window.after, self.window.number
        moves = [m for m in self.window.moves if problem.part[m.item].companion_of is None]
        sides = [(m, self.before.machine(m.item), after.machine(m.item)) for m in moves]
        running = {home for _, a, b in sides for home in (a, b) if home} - {*self.window.off}
        for machine in (*self.window.off, *sorted(running, key=natural)):
            yield MachineWork(
                window=number,
                machine=machine,
                name=problem.machine[machine].entry.name or machine,
                out=self.part_moves([m for m, a, b in sides if a == machine != b]),
                moved=self.part_moves([m for m, a, b in sides if a == b == machine]),
                in_=self.part_moves([m for m, a, b in sides if a != machine == b]),
                changes=(
                    *(
                        setting_step(change, known=self.knows(change.where))
                        for change in self.window.changes
                        if change.where.machine == machine
                    ),
                    *speed_steps(problem, machine, self.before, after),
                ),
            )
        bench = [move for move, a, b in sides if a is None and b is None]
        if bench:
            yield MachineWork(number, "", BESIDE, (), self.part_moves(bench), (), ())

    def knows(self, group: GroupKey) -> bool:
        """Whether it is known how the group is set before this window."""
        return group in self.task.problem.settings_today or group in self.settled

    def part_moves(self, moves: Sequence[Move]) -> tuple[PartMove, ...]:
        """Moves, carriers before what goes on them."""
        receptacles = self.task.problem.receptacle
        last = [(move.after or move.before or "", move) for move in moves]
        in_copy_order = sorted(
            last, key=lambda one: (not receptacles[one[0]].on_board, natural(one[0]))
        )
        return tuple(self.part_move(move) for _, move in in_copy_order)

    def part_move(self, move: Move) -> PartMove:
        """One part."""
        problem, part = self.task.problem, move.item
        spec, today = problem.part[part].spec, problem.today.get(part)
        from_label = place_name(problem, move.before, machine=True)
        if move.before is None and today is not None and today not in problem.receptacle:
            from_label = today  # before the first window perhaps in a machine not described
        onto, socket = socket_of(problem, move.after)
        return PartMove(
            item=part,
            name=spec.name or spec.id,
            from_=move.before,
            from_label=from_label,
            to=move.after,
            to_label=place_name(problem, move.after, machine=True),
            onto=onto,
            socket=socket,
            riders=tuple(self.riders[part]),
            link=link_name(self.window.after, part),
            cables=tuple(dict.fromkeys(self.cables(part))),
        )

    def cables(self, moved: str) -> Iterator[str]:
        """Plugs from the supply, and cables that hang on the part."""
        problem, after = self.task.problem, self.window.after
        machines = {one.machine(moved) for one in (self.before, after)}
        if not machines.isdisjoint(self.window.off):
            parts = (moved, *self.riders[moved])
            yield from plugs(fed_in(problem, part, after, self.before) for part in parts)
        for layout in (self.before, after):
            for other in sorted(layout.places, key=natural):
                receptacle = problem.receptacle[layout.places[other]]
                is_on = not receptacle.on_board and problem.part[receptacle.owner].body == moved
                if is_on and problem.part[other].spec.part_class == "cable":
                    yield f"{other} at {printed(receptacle.spec)}"
        for part in problem.parts:
            if part.companion_of == moved and part.id in {**self.before.places, **after.places}:
                yield f"its plug {part.id.removeprefix(f'{moved}:')}"

    def cautions(self) -> Iterator[tuple[str, str, bool]]:
        """What to mind: a sentence, the same in short, and whether it is of running machines."""
        after, off = self.window.after, self.window.off
        if off:
            yield from to_mind(self.task.problem, self.touched)
        homes = {one.machine(m.item) for m in self.window.moves for one in (self.before, after)}
        if homes - {None, *off}:
            yield from IN_RUNNING

    def risks(self, copied: Sequence[int], mirrors: Sequence[MirrorState]) -> Iterator[str]:
        """What is at stake between this window and the next."""
        for copy, at in zip(self.task.copies, copied, strict=True):
            if at >= self.window.number and not set(self.touched).isdisjoint(copy.sources):
                yield f"the data of {copy.name} is moved before it is copied"
        for mirror in mirrors:
            if mirror.lacks:
                last = mirror.in_service == 1
                then = "one more fault loses the data" if last else "less redundancy"
                yield f"{mirror.name} lacks {' and '.join(mirror.missing)}: {then}"


def fed_in(problem: Problem, part: str, *layouts: Layout) -> Part:
    """A part as it is fed in the first of these layouts that has it in a machine."""
    seats = (layout.seat_of[part] for layout in layouts if part in layout.seat_of)
    seat = next(seats, None)
    return seated(problem, seat) if seat else problem.part[part]


def plugs(parts: Iterable[Part]) -> Iterator[str]:
    """What the supply feeds of a part and of what sits on it: `pcie-8, 4 sata-power`."""
    powers = [part.spec.power for part in parts]
    found = Counter(plug for power in powers if power for plug in power.aux)
    if found:
        texts = [plug if count == 1 else f"{count} {plug}" for plug, count in found.items()]
        yield f"{', '.join(texts)} from the supply"


IN_RUNNING = tuple((one.text, one.in_short, True) for one in WHILE_IT_RUNS)


def to_mind(problem: Problem, parts: Collection[str]) -> Iterator[tuple[str, str, bool]]:
    """Cautions with their short forms, and what parts need of firmware and of whoever fits them."""
    yield from ((one.text, one.in_short, False) for one in applying(problem, parts))
    for part in dict.fromkeys(parts):
        yield from ((text, "", False) for text in said_of(problem.part[part]))


def do_and_risks(
    task: Task, made: Schedule, plan: SequencePlan
) -> tuple[SequenceDo, tuple[WindowNote, ...]]:
    """What is done in the windows, and what is at stake after each."""
    changed = [[change.where for change in window.changes] for window in made.windows]
    opened = [
        WindowWork(task, before, window, frozenset(chain.from_iterable(changed[:number])))
        for number, (before, window) in enumerate(zip(made.layouts, made.windows, strict=False))
    ]
    every = [part for one in opened for part in one.touched]
    told = (*to_mind(task.problem, every), *IN_RUNNING)
    cautions: dict[tuple[str, str, bool], list[int]] = {one: [] for one in told}
    risks: list[WindowNote] = []
    for one, state in zip(opened, plan.stretches[1:], strict=True):
        number = one.window.number
        for caution in one.cautions():
            cautions[caution].append(number)
        risks += [WindowNote(text, (number,)) for text in one.risks(made.copied, state.mirrors)]
    do = SequenceDo(
        work=tuple(work for one in opened for work in one.work()),
        cautions=tuple(WindowCaution(*said, tuple(at)) for said, at in cautions.items() if at),
    )
    return do, tuple(risks)
