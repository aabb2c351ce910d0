"""A build file and everything it refers to, as one problem."""

from __future__ import annotations

from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path

from slotfit.errors import InternalError
from slotfit.load.catalog import Catalog
from slotfit.load.complaints import Complaints
from slotfit.load.entities import Outcome, describe
from slotfit.load.file_text import folder_of
from slotfit.load.items import item_ids, items_of, sites_on
from slotfit.load.names import Names, Receptacles
from slotfit.load.references import References
from slotfit.load.report import error_of
from slotfit.load.sequences import Sequences
from slotfit.load.wish_checks import check_wishes
from slotfit.load.wishes import Wishes
from slotfit.load.written import Written
from slotfit.load.yaml_file import parse_yaml, read_yaml
from slotfit.model.board import Board, LaneGroup
from slotfit.model.build import Build
from slotfit.model.build_part import BuildPart
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, Machine, PowerSupply
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.span import Span

MOST_PARTS = 2000
"""Of more in all a build is not made: something is wrong with a count."""


def load_build(path: Path, catalog: Catalog) -> Problem:
    """
    The problem a build file states.

    Raises InputError with everything that is wrong in it and in the files it refers to.
    """
    return problem_of(read_yaml(path), catalog, folder_of(path))


def load_build_text(
    text: str, catalog: Catalog, file: str = "build.yaml", beside: Path | None = None
) -> Problem:
    """The same for text; paths in it are relative to the folder `beside`."""
    return problem_of(parse_yaml(text, file), catalog, beside or Path())


def problem_of(written: Written, catalog: Catalog, beside: Path) -> Problem:
    """The problem that a file's content states; raises InputError with all mistakes."""
    outcome = describe(Build, written)
    references = References(written, catalog, beside)
    references.mistakes += [*written.mistakes, *outcome.mistakes]
    problem: Problem | None = None
    if outcome.entity is not None:
        problem = Assembly(outcome.entity, references, outcome.lost).problem()
    if references.mistakes:
        raise error_of(references.mistakes, written.file)
    if problem is None:
        raise InternalError(f"{written.file} gives no problem, and nothing is wrong with it")
    return problem


class Assembly:
    """Puts a build together: follows its references, then asks what its names mean."""

    def __init__(self, build: Build, references: References, lost: frozenset[str]) -> None:
        self.build = build
        self.references = references
        self.found = Complaints(references.written, lost, references.mistakes)
        follow = references.follow
        self.boards = {m.id: follow(m, "board", Board) for m in build.machines}
        self.chassis = {m.id: follow(m, "chassis", Chassis) for m in build.machines}
        self.supplies = {m.id: follow(m, "power_supply", PowerSupply) for m in build.machines}
        self.parts = [follow(wish, "part", Part) for wish in build.parts]
        self.names = names_of(build, self.boards, self.parts, lost)

    def problem(self) -> Problem | None:
        """The problem; None if there are mistakes."""
        build = self.build
        self.check_ids()
        for machine in build.machines:
            self.check_processors(machine)
        wishes = Wishes(self.names, self.found)
        wanted = [wishes.wish(wish) for wish in build.parts]
        check_wishes(build, [outcome.entity for outcome in self.parts], self.found)
        together = [wishes.group(group) for group in build.together]
        apart = [wishes.group(group) for group in build.apart]
        today, untouchable = wishes.today(build), wishes.untouchable(build)
        sequences = Sequences(build, wishes, today, self.groups())
        retire = sequences.retire()
        sequence = sequences.sequence(retire)
        if self.found.mistakes:
            return None
        rigs = tuple(self.rigs())
        items = tuple(leaving(item, retire) for item in self.items(wanted))
        return Problem(
            id=build.id,
            name=build.name,
            rigs=rigs,
            items=items,
            sites=(*self.board_sites(rigs), *(site for item in items for site in sites_on(item))),
            together=tuple(together),
            apart=tuple(apart),
            today=today,
            preferences=build.preferences,
            untouchable=untouchable,
            retire=retire,
            on_the_way=sequence,
            today_spans={name: span for name in today if (span := self.span_of_today(name))},
        )

    def check_ids(self) -> None:
        """Ids of machines, and of parts with their numbers, name one thing each."""
        build, found = self.build, self.found
        found.unique([(one.id, one) for one in build.machines], "machines")
        if (parts := sum(wish.count for wish in build.parts)) > MOST_PARTS:
            found.add(build, "parts", f"{parts} parts in all; a build has at most {MOST_PARTS}")
            return
        items: list[tuple[str, Entity]] = [
            (name, wish) for wish in build.parts for name in item_ids(wish)
        ]
        found.unique(items, "parts")
        machines = {machine.id for machine in build.machines}
        for wish in build.parts:
            for name in machines.intersection((wish.id, *item_ids(wish))):
                found.add(wish, "id", f"a machine is called {name} too; rename one")
        if len(set(build.preferences)) < len(build.preferences):
            found.add(build, "preferences", "a stage is listed twice; each has one place")

    def check_processors(self, machine: Machine) -> None:
        """The processors fitted are some of the board's."""
        known = self.names.processors[machine.id]
        if machine.processors is None or known is None:
            return
        if not machine.processors:
            text = "no machine runs without a processor; leave the key out if all are fitted"
            self.found.add(machine, "processors", text)
        for number, name in enumerate(machine.processors):
            at = f"processors[{number}]"
            self.found.name(machine, at, name, sorted(known), "processor")

    def groups(self) -> dict[str, dict[str, LaneGroup]]:
        """The lane groups of each board that could be read, by machine and id."""
        return {
            name: {group.id: group for group in outcome.entity.lane_groups}
            for name, outcome in self.boards.items()
            if outcome.entity is not None
        }

    def span_of_today(self, item: str) -> Span | None:
        """Where it is written where an item sits today; a part alone may go by its own name."""
        part = next((name for name, items in self.names.counted.items() if items == (item,)), item)
        written = item if item in self.build.today else part
        return self.build.span(f"today.{written}")

    def rigs(self) -> Iterator[Rig]:
        for machine in self.build.machines:
            board = self.boards[machine.id].entity
            chassis = self.chassis[machine.id].entity
            if board is not None:
                yield Rig(machine, board, chassis, self.supplies[machine.id].entity)

    def items(self, wanted: Sequence[BuildPart]) -> Iterator[Item]:
        for wish, outcome in zip(wanted, self.parts, strict=True):
            if outcome.entity is not None:
                yield from items_of(wish, outcome.entity)

    def board_sites(self, rigs: Sequence[Rig]) -> Iterator[Site]:
        for rig in rigs:
            for receptacle in rig.board.receptacles:
                yield Site(self.names.site_id(rig.id, receptacle.id), rig.id, True, receptacle)


def leaving(item: Item, retired: Sequence[str]) -> Item:
    """An item that is retired need not be placed."""
    if item.id not in retired and item.companion_of not in retired:
        return item
    return item._replace(wish=item.wish.model_copy(update={"required": False}))


def names_of(
    build: Build,
    boards: Mapping[str, Outcome[Board]],
    parts: Sequence[Outcome[Part]],
    lost: frozenset[str],
) -> Names:
    """What the build's names may mean."""
    owners = list(zip(build.parts, parts, strict=True))
    return Names(
        machines={name: receptacles_of(outcome) for name, outcome in boards.items()},
        processors={name: processors_of(outcome) for name, outcome in boards.items()},
        items={name: receptacles_of(part) for wish, part in owners for name in item_ids(wish)},
        counted={wish.id: item_ids(wish) for wish in build.parts},
        lost=lost,
    )


def receptacles_of(outcome: Outcome[Board] | Outcome[Part]) -> Receptacles:
    """Receptacle ids, those included whose description is wrong; None if nothing is known."""
    if outcome.entity is None:
        return None
    return frozenset(one.id for one in outcome.entity.receptacles) | outcome.lost


def processors_of(outcome: Outcome[Board]) -> Receptacles:
    if outcome.entity is None:
        return None
    return frozenset(one.id for one in outcome.entity.processors) | outcome.lost
