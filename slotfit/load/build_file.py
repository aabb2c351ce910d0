"""A build file and everything it refers to, as one problem."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, field, replace
from pathlib import Path

from slotfit.errors import InternalError, Mistake
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.load.checks import Complaints
from slotfit.load.ends import check_ends, ends_of, with_ends
from slotfit.load.entities import Described, Outcome, describe, read_whole
from slotfit.load.figures import check_figures
from slotfit.load.findings import error_of
from slotfit.load.names import Names
from slotfit.load.unknown_part import unknown_part
from slotfit.load.wishes import Wishes, check_wishes
from slotfit.load.words import quote
from slotfit.load.yaml_file import (
    Loc,
    Written,
    parse_yaml,
    path_text,
    read_yaml,
    span_at,
    steps_of,
    value_at,
)
from slotfit.load.yaml_text import folder_of
from slotfit.model.board import Board, LaneGroup
from slotfit.model.build import Build, BuildPart
from slotfit.model.entity import Entity, Span
from slotfit.model.machine import BuildMachine, Chassis, FittedMemory, PowerSupply
from slotfit.model.part import Demand, ExtraPlug, PartReceptacle, PartSpec, Power
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.standards.forms import POWER_SOCKETS


def part_ids(wish: BuildPart) -> tuple[str, ...]:
    """
    What the parts of one entry are called.

    >>> part_ids(BuildPart(id="ssd", part="nvme", count=2)), part_ids(BuildPart(id="hba", part="x"))
    (('ssd-1', 'ssd-2'), ('hba',))
    """
    if wish.count == 1:
        return (wish.id,)
    return tuple(f"{wish.id}-{number}" for number in range(1, wish.count + 1))


def parts_of(wish: BuildPart, spec: PartSpec) -> Iterator[Part]:
    """
    The parts of one entry, each followed by one companion for each extra plug.

    A companion `part:plug` is a part with that plug and its links alone. Receptacles that the plug
    feeds are the companion's, so that their lanes come through it; the body, the power and the
    wishes stay with the part. Demand goes with the lanes: to the first companion if the part itself
    has no links.
    """
    fed = {name for plug in spec.extra_plugs for name in plug.feeds}
    carries = bool(spec.links) or not spec.extra_plugs
    own = {
        "receptacles": tuple(one for one in spec.receptacles if one.id not in fed),
        "extra_plugs": (),
        "demand": spec.demand if carries else None,
        "power": with_modules(spec.power, wish.modules_w),
    }
    for name in part_ids(wish):
        asked = {"id": name, "count": 1, "demand": wish.demand if carries else None}
        yield Part(name, spec.model_copy(update=own), wish.model_copy(update=asked))
        for plug in spec.extra_plugs:
            demanding = not carries and plug is spec.extra_plugs[0]
            companion = companion_part(spec, plug, carries=demanding)
            its_wish = companion_wish(wish, f"{name}:{plug.id}", carries=demanding)
            other = name if plug.joins == spec.id else f"{name}:{plug.joins}"
            joins = other if plug.joins else None
            yield Part(its_wish.id, companion, its_wish, name, joins)


def with_modules(power: Power | None, modules_w: float | None) -> Power | None:
    """What it draws with the modules in its ports; unknown watts stay unknown."""
    if power is None or power.slot_w is None or not modules_w:
        return power
    return power.model_copy(update={"slot_w": power.slot_w + modules_w})


def companion_part(spec: PartSpec, plug: ExtraPlug, *, carries: bool) -> PartSpec:
    """A part without a body: a connector and what hangs on it."""
    return spec.model_copy(
        update={
            "id": f"{spec.id}:{plug.id}",
            "plug": plug.plug,
            "links": plug.links,
            "generation": plug.generation or spec.generation,
            "receptacles": tuple(one for one in spec.receptacles if one.id in plug.feeds),
            "extra_plugs": (),
            # What a wide port moves is counted at the plug that the others join.
            "demand": Demand() if plug.joins else spec.demand if carries else None,
            **NO_BODY,
        }
    )


NO_BODY = {
    "min_lanes": None,
    "min_generation": None,
    "thickness": None,
    "length_mm": None,
    "height_mm": None,
    "component_mm": None,
    "bracket": "none",
    "power": Power.model_construct(slot_w=0, aux_w=0),
    "cooling": "none",
    "airflow_lfm": None,
    "airflow_at_c": None,
    "modules_w": None,
    "gives_airflow_lfm": None,
    "weight_kg": None,
    "bay": None,
    "recognise": (),
    "needs_firmware": (),
    "mind": (),
    "price": None,
}
"""What a companion does not have: it is all counted with the part itself."""


def companion_wish(wish: BuildPart, name: str, *, carries: bool) -> BuildPart:
    """Placed or left out with its part, in the same machine; where it goes is free."""
    made = BuildPart.model_construct(
        id=name,
        part=wish.part,
        required=wish.required,
        weight=wish.weight,
        machine=wish.machine,
        demand=wish.demand if carries else None,
    )
    if span := wish.span():
        made.marks[""] = span
    return made


def receptacles_on(part: Part) -> Iterator[Receptacle]:
    """The receptacles of one part; those of a companion are named for the part it belongs to."""
    name = part.body
    for receptacle in part.spec.receptacles:
        yield Receptacle(f"{name}/{receptacle.id}", part.id, False, receptacle)


def receptacles_of(parts: Sequence[Part]) -> Iterator[Receptacle]:
    """All receptacles of parts that are in one build together."""
    for part in parts:
        yield from receptacles_on(part)
    yield from power_sockets(parts)


def power_sockets(parts: Sequence[Part]) -> Iterator[Receptacle]:
    """Power sockets of parts, as far as the build has an adapter or splitter for them."""
    adapters = [part for part in parts if part.spec.plug.form in POWER_SOCKETS]
    forms = {part.spec.plug.form for part in adapters}
    for part in parts:
        if part.companion_of or part in adapters or part.spec.power is None:
            continue
        for form, count in Counter(plug for plug in part.spec.power.aux if plug in forms).items():
            for number in range(count):
                name = f"{form}-{number + 1}" if count > 1 else form
                spec = PartReceptacle.model_validate({"id": name, "form": form})
                yield Receptacle(f"{part.body}/{name}", part.id, False, spec)


@dataclass
class References:
    """The references of one build file; what is wrong behind them is gathered in `mistakes`."""

    written: Written
    catalog: Catalog
    beside: Path
    """The folder that paths in the file are relative to."""
    mistakes: list[Mistake] = field(default_factory=list)

    def follow(self, entity: Entity, key: str, model: type[Described]) -> Outcome[Described]:
        """What the field `key` of an entity refers to."""
        loc = self.written.loc_of(entity.span())
        is_needed = type(entity).model_fields[key].is_required()
        outcome = self.at((*loc, key), model, is_needed=is_needed)
        self.mistakes += outcome.mistakes
        return outcome

    def at(self, loc: Loc, model: type[Described], *, is_needed: bool) -> Outcome[Described]:
        if any(loc[: len(spoiled)] == spoiled for spoiled in self.written.spoiled):
            return Outcome(None)
        value = value_at(self.written, loc)
        if steps_of(self.written, loc) != loc:
            return Outcome(None)
        if value is None and not is_needed:
            return Outcome(None)
        if isinstance(value, dict):
            return read_whole(model, self.written, loc)
        where = (span_at(self.written, loc), path_text(loc))
        if isinstance(value, str) and value:
            return self.catalog.look_up(value, model, self.beside, where)
        text = f"expected a catalog id, a file or a description, not {quote(value)}"
        return Outcome(None, [Mistake(*where, text)])


MOST_PARTS = 2000
"""Of more in all a build is not made: something is wrong with a count."""


def load(build: str | Path, catalogs: Iterable[Path] = ()) -> Problem:
    """
    A build file with everything it refers to.

    Looked up in the catalog that came along, the user's, `catalog` beside the file, and the folders
    named. Raises InputError with every mistake.
    """
    file = Path(build)
    return load_build(file, standard_catalog(catalogs, folder_of(file)))


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
        self.specs = [*map(self.spec, build.parts)]
        self.modules = {
            (wish.id, port): module
            for wish in build.parts
            for port, end in ends_of(wish)
            if (module := follow(end, "by", PartSpec).entity) is not None
        }
        owners = list(zip(build.parts, self.specs, strict=True))
        self.names = Names(
            machines={
                name: with_places(ids_in(board, "receptacles"), self.chassis[name].entity)
                for name, board in self.boards.items()
            },
            processors={name: ids_in(board, "processors") for name, board in self.boards.items()},
            parts={
                name: ids_in(part, "receptacles")
                for wish, part in owners
                for name in part_ids(wish)
            },
            counted={wish.id: part_ids(wish) for wish in build.parts},
            lost=lost,
        )

    def spec(self, wish: BuildPart) -> Outcome[PartSpec]:
        """What a part is."""
        if wish.is_unknown:
            boards = (board.entity for board in self.boards.values())
            return Outcome(unknown_part(wish, boards, self.found))
        return self.references.follow(wish, "part", PartSpec)

    def problem(self) -> Problem | None:
        """The problem; None if there are mistakes."""
        build = self.build
        self.check_ids()
        self.check_machines()
        wishes = Wishes(build, self.names, self.found)
        wanted = [with_ends(wishes.wish(wish), self.modules) for wish in build.parts]
        specs = [outcome.entity for outcome in self.specs]
        check_wishes(build, specs, self.found)
        by_id = {wish.id: spec for wish, spec in zip(build.parts, specs, strict=True)}
        check_ends(build, by_id, self.modules, self.found)
        together = [wishes.group(group) for group in build.together]
        apart = [wishes.group(group) for group in build.apart]
        air_by = {machine.id: wishes.air_by(machine) for machine in build.machines}
        today = wishes.with_unknown(wishes.today(), wanted)
        untouchable, retire = wishes.untouchable(), wishes.retire()
        sequence = wishes.sequence(retire, today, self.groups())
        entries = [wishes.machine(machine, today) for machine in build.machines]
        if self.found.mistakes:
            return None
        machines = tuple(self.machines(entries, air_by))
        parts = tuple(self.parts(wanted, retire))
        return Problem(
            id=build.id,
            name=build.name,
            machines=machines,
            parts=parts,
            receptacles=(
                *self.on_boards(machines),
                *receptacles_of(parts),
            ),
            together=tuple(together),
            apart=tuple(apart),
            today=today,
            preferences=build.preferences,
            untouchable=untouchable,
            retire=retire,
            on_the_way=sequence,
            price_per_kwh=build.price_per_kwh,
            outside={one.id: one.gb_s for one in build.outside},
            today_spans={name: span for name in today if (span := self.span_of_today(name))},
        )

    def on_boards(self, machines: Iterable[Machine]) -> Iterator[Receptacle]:
        """The receptacles of the machines' boards."""
        for one in machines:
            for receptacle in one.receptacles:
                name = self.names.receptacle_id(one.id, receptacle.id)
                yield Receptacle(name, one.id, True, receptacle)

    def machines(
        self, entries: Iterable[BuildMachine], air_by: Mapping[str, tuple[str, ...]]
    ) -> Iterator[Machine]:
        for machine in entries:
            entry = self.with_kept(machine.model_copy(update={"air_by": air_by[machine.id]}))
            board = self.boards[machine.id].entity
            chassis, supply = self.chassis[machine.id], self.supplies[machine.id]
            if board is not None:
                inside = self.measured_with(machine)
                yield Machine(entry, board, chassis.entity, supply.entity, inside)

    def with_kept(self, machine: BuildMachine) -> BuildMachine:
        """With each of many parts that stay by its own name."""
        if not machine.keeps:
            return machine
        every = (self.names.counted.get(name, (name,)) for name in machine.keeps)
        return machine.model_copy(update={"keeps": tuple(one for names in every for one in names)})

    def measured_with(self, machine: BuildMachine) -> dict[str, PartSpec]:
        """What was in the machine when its watts were measured."""
        names = (machine.measured.with_ or ()) if machine.measured else ()
        return {
            name: outcome.entity
            for wish, outcome in zip(self.build.parts, self.specs, strict=True)
            for name in part_ids(wish)
            if outcome.entity is not None and name in names
        }

    def parts(self, wanted: Sequence[BuildPart], retired: Sequence[str]) -> Iterator[Part]:
        """The parts of all parts; that one that is retired has no place counts nothing."""
        for wish, outcome in zip(wanted, self.specs, strict=True):
            if outcome.entity is None:
                continue
            for part in parts_of(wish, outcome.entity):
                leaves = part.id in retired or part.companion_of in retired
                free = part.wish.model_copy(update={"required": False, "weight": 0})
                yield replace(part, wish=free) if leaves else part

    def check_ids(self) -> None:
        """Ids of machines, and of parts with their numbers, name one thing each."""
        build, found = self.build, self.found
        found.unique([(one.id, one) for one in build.machines], "machines")
        if (part_count := sum(wish.count for wish in build.parts)) > MOST_PARTS:
            found.add(
                build, "parts", f"{part_count} parts in all; a build has at most {MOST_PARTS}"
            )
            return
        parts: list[tuple[str, Entity]] = [
            (name, wish) for wish in build.parts for name in part_ids(wish)
        ]
        found.unique(parts, "parts")
        machines = {machine.id for machine in build.machines}
        for wish in build.parts:
            for name in machines.intersection((wish.id, *part_ids(wish))):
                found.add(wish, "id", f"a machine is called {name} too; rename one")
        if len(set(build.preferences)) < len(build.preferences):
            found.add(build, "preferences", "a stage is listed twice; each has one place")

    def check_machines(self) -> None:
        """Processors, figures, and what stays with each."""
        for machine in self.build.machines:
            self.check_processors(machine)
            self.check_kept(machine)
            self.check_doubted(machine)
            self.check_places(machine)
            self.check_memory(machine)
            check_figures(machine, self.found)

    def check_processors(self, machine: BuildMachine) -> None:
        """The processors fitted are some of the board's."""
        known = self.names.processors[machine.id]
        if machine.processors is None or known is None:
            return
        written = self.references.written
        if not value_at(written, written.loc_of(machine.span("processors"))):
            text = "no machine runs without a processor; leave the key out if all are fitted"
            self.found.add(machine, "processors", text)
        told = isinstance(machine.processors, dict)
        for number, name in enumerate(machine.processors):
            at = f"processors.{name}" if told else f"processors[{number}]"
            self.found.name(machine, at, name, sorted(known), "processor")
        if isinstance(machine.processors, dict):
            self.check_classes(machine, machine.processors)

    def check_classes(self, machine: BuildMachine, said: Mapping[str, str | None]) -> None:
        """Each class is one that the board's manual tells apart in that socket."""
        board = self.boards[machine.id].entity
        takes = {one.id: one.takes for one in board.processors} if board else {}
        for socket, one in said.items():
            if one is None or socket not in takes:
                continue
            at = f"processors.{socket}"
            if takes[socket]:
                self.found.name(machine, at, one, takes[socket], "class of processor")
            else:
                text = f"the board tells no classes of processors apart in {socket}: leave the "
                text += "class out, or add `takes` to the board's processor"
                self.found.add(machine, at, text)

    def check_memory(self, machine: BuildMachine) -> None:
        """Coolers and memory stand at processor sockets, modules in sockets that are there."""
        board = self.boards[machine.id].entity
        processors = {one.id: one for one in board.processors} if board else {}
        for key in ("coolers", "memory"):
            for name in getattr(machine, key) or () if board else ():
                self.found.name(machine, f"{key}.{name}", name, processors, "processor")
        for name, memory in (machine.memory or {}).items():
            said = processors[name].memory if name in processors else None
            order = said.order if said else None
            if order is not None:
                check_modules(memory, [one for some in order for one in some], self.found)

    def check_places(self, machine: BuildMachine) -> None:
        """No place of the chassis is called as a receptacle of the board is."""
        chassis, board = self.chassis[machine.id].entity, self.boards[machine.id].entity
        on_board = {one.id for one in board.receptacles} if board else set()
        for place in chassis.mounting_places if chassis else ():
            if place.id in on_board:
                text = f"board and chassis both have a {place.id}; give the place another id"
                self.found.add(machine, "chassis", text)

    def check_doubted(self, machine: BuildMachine) -> None:
        """What is perhaps in use are receptacles of the board."""
        board = self.boards[machine.id].entity
        known = [one.id for one in board.receptacles] if board else []
        for number, name in enumerate(machine.perhaps_in_use if board else ()):
            self.found.name(machine, f"perhaps_in_use[{number}]", name, known, "receptacle")

    def check_kept(self, machine: BuildMachine) -> None:
        """What stays with the host is a part of the build or a device of the board."""
        board, build = self.boards[machine.id].entity, self.build
        wish = {name: one for one in build.parts for name in (one.id, *part_ids(one))}
        if board is None:
            return
        known = {*wish, *(one.id for one in board.devices or ())}
        for number, name in enumerate(machine.keeps or ()):
            at = f"keeps[{number}]"
            if self.found.name(machine, at, name, known, "part or on-board device"):
                one = wish.get(name)
                if one is not None and one.is_handed_over:
                    text = f"{name} stays with the host here and goes to guest "
                    self.found.add(machine, at, text + f"{', '.join(one.guests)} as a part")

    def groups(self) -> dict[str, dict[str, LaneGroup]]:
        """The lane groups of each board that could be read, by machine and id."""
        return {
            name: {group.id: group for group in outcome.entity.lane_groups}
            for name, outcome in self.boards.items()
            if outcome.entity is not None
        }

    def span_of_today(self, part_id: str) -> Span | None:
        """Where it is written where a part sits today; a part alone may go by its own name."""
        part = next(
            (name for name, parts in self.names.counted.items() if parts == (part_id,)), part_id
        )
        written = part_id if part_id in self.build.today else part
        return self.build.span(f"today.{written}")


def with_places(known: frozenset[str] | None, chassis: Chassis | None) -> frozenset[str] | None:
    """Receptacles of a board, with the places of its chassis."""
    places = chassis.mounting_places if chassis else ()
    return None if known is None else known.union(one.id for one in places)


def check_modules(memory: FittedMemory, sockets: Sequence[str], found: Complaints) -> None:
    """No more modules than sockets, and each in one of them."""
    for number, name in enumerate(memory.in_ or ()):
        found.name(memory, f"in[{number}]", name, sockets, "memory socket")
    if memory.count is not None and memory.in_ is not None and memory.count != len(memory.in_):
        text = f"{memory.count} modules in {len(memory.in_)} sockets; leave one of the two out"
        found.add(memory, "count", text)
    elif memory.count is not None and memory.count > len(sockets):
        text = f"{memory.count} modules, and the board has {len(sockets)} sockets there"
        found.add(memory, "count", text)


def ids_in(outcome: Outcome[Board] | Outcome[PartSpec], field: str) -> frozenset[str] | None:
    """Ids in a list, those included whose description is wrong; None if nothing is known."""
    if outcome.entity is None:
        return None
    return frozenset(one.id for one in getattr(outcome.entity, field)) | outcome.lost
