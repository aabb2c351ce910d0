"""
A build with one fact forgotten, and the same build with each value that the fact could have.

Which facts may be left out, and what they could be, is a table; what follows is for the tests.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass, replace
from itertools import product
from typing import Any

from slotfit.load.build_file import receptacles_on
from slotfit.model.board import Board
from slotfit.model.build import BuildPart
from slotfit.model.entity import Entity
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem

Values = dict[str, tuple[Any, ...]]
"""Field -> what it could be."""

RECEPTACLE: Values = {
    "open_end": (True, False),
    "behind_mm": (0, 20, 60),
    "width": (1, 4, 8, 16),
    "drive_lengths": ((), (80,), (80, 110)),
    "run_mm": (100, 450, 2000),
    "carries_3v3": (True, False),
    "port_multiplier": (True, False),
    "pins": (3, 4, 6),
    "bay": ("2.5", "3.5"),
}
LOSSES = ({"gen4": 2, "gen5": 3}, {"gen4": 6, "gen5": 8})
ON_BOARD: Values = RECEPTACLE | {
    "loss_db": LOSSES,
    "power_w": (25, 75),
    "powered_without_processor": (True, False),
    "isolation": ("a", "b", "nobody-else"),
    "isolates_guests": (True, False),
    "speed_setting": ("Slot speed", False),
    "above_mm": (2, 40),
}
ON_PART: Values = RECEPTACLE | {
    "length_mm": (50, 170, 400),
    "height_mm": (115, 200),  # an opening of a height class takes every card of that class
    "bracket": ("full", "low", "none"),
    "mount": ("wide", "narrow"),
}
PART: Values = {
    "loss_db": LOSSES,
    "wired_for": ((), ("board",)),
    "power_disable": (True, False),
    "direction": ("forward", "reverse"),
    "buffers": (True, False),
    "own_bays": (True, False),
    "ports": (
        ({"id": "p0", "cage": "sfp28", "gb_s": (1.25,)}, {"id": "p1", "cage": "rj45"}),
        ({"id": "p0", "shares_speed_with": ("p1",)}, {"id": "p1", "cage": "qsfp28"}),
        ({"id": "p0", "cage": "sfp28"}, {"id": "p1", "cage": "sfp28", "shares_speed_with": ()}),
    ),
    "generation": (1, 3, 5),
    "row_positions": (1, 2, 5),
    "thickness": (1, 2, 3),
    "length_mm": (60, 80, 110, 300),
    "height_mm": (60, 68.9),
    "bracket": ("full", "low", "both", "none"),
    "cooling": ("none", "passive", "fan"),
    "airflow_lfm": (0, 100, 500),
    "airflow_at_c": (20, 60),
    "modules_w": (0, 9),
    "gives_airflow_lfm": (0, 100, 500),
    "pins": (3, 4, 6),
    "min_rpm": (0, 5000),
    "mounts": ((), ("wide",), ("wide", "narrow")),
    "modes": (("plain",), ("raid",), ("plain", "raid")),
    "isolates_guests": (True, False),
    "virtual_functions": (0, 1, 9),
    "mediated": (True, False),
    "reach_mm": (100, 450, 2000),
    "power": (
        *({"slot_w": 0}, {"slot_w": 9}, {"slot_w": 25}),
        *({"slot_w": 1, "rails": ["12v"]}, {"slot_w": 1, "rails": ["3.3v"]}),
    ),
    "power.rails": (("3.3v",), ("12v",), ("3.3v", "12v")),
    "power.aux_away": ((), ("pcie-6",)),
    "power.plug_at": ("end", "top"),
    "power.plug_mm": (0, 35),
    "makes_rails": ((), ("3.3v",), ("12v",)),
}
GROUP: Values = {
    "generation": (1, 3, 5),
    "from_": ("cpu0", "cpu1", "hub"),
}
CHASSIS: Values = {
    "sizes": ((), ("atx",), ("eatx",)),
    "openings": (0, 2, 9),
    "bracket": ("full", "low"),
    "card_length_mm": (50, 170, 400),
    "card_height_mm": (120, 200),
    "airflow_lfm": (0, 100, 1000),
    "bay_airflow_lfm": (0, 100, 1000),
    "cooler_height_mm": (90, 200),
    "bays": ({}, {"3.5": 1}, ({"id": "b1", "size": "3.5"},), {"3.5": 9, "2.5": 9}),
}
PLACE: Values = {
    "length_mm": (100, 400),
    "height_mm": (60, 200),
    "thickness": (1, 3),
    "airflow_lfm": (0, 500),
}
SUPPLY: Values = {
    "plugs": ({}, {"pcie-8": 1}, {"pcie-8": 9, "pcie-6": 9}),
    "carries_3v3": (True, False),
    "cables": ((), ({"plugs": {"pcie-8": 2}, "watts": 150},)),
}
MACHINE: Values = {
    "base_w": (0, 60, 500),
    "inlet_c": (20, 60),
    "staggered_start": (True, False),
    "firmware": ("1.0", "1.10", "3.0"),
    "keeps": ((), ("ports",), ("usb", "ports")),
}
BOARD: Values = {
    "size": ("atx", "eatx"),
    "lowest_fan_rpm": (0, 600),
    "devices": (
        (),
        ({"id": "ports", "isolation": "a"}, {"id": "usb"}),
        ({"id": "ports", "isolation": "s1"},),
    ),
}
PROCESSOR: Values = {
    "memory": ({"types": ["ddr4-rdimm"]}, {"types": [], "order": [["a"], ["b"]]}),
    "slots_at_mm": (45, 120),
    "memory_at_mm": (20, 100),
}
COOLER: Values = {"clear_mm": (20, 120)}
MEMORY: Values = {"height_mm": (18, 60)}
DEVICE: Values = {"isolation": ("a", "s1", "nobody-else")}
WAY: Values = {"proof": ("seen", "refuted")}


@dataclass(frozen=True)
class Forgotten:
    """One fact of a build."""

    name: str
    unknown: Problem
    """The build with the fact left out."""
    possible: tuple[Problem, ...]
    """The build with each value that the fact could have."""


def facts_of(problem: Problem) -> Iterator[Forgotten]:
    """Every fact of a build that could have been left out."""
    for machine in problem.machines:
        yield from of_machine(problem, machine)
    for part in problem.parts:
        if part.companion_of is not None or any(o.companion_of == part.id for o in problem.parts):
            continue  # its plugs are parts of their own: no one place where its facts stand
        spec = part.spec
        table = {name: values for name, values in PART.items() if name not in moot(spec)}

        def put(new: PartSpec, name: str = part.id) -> Problem:
            return with_part(problem, name, new)

        yield from each(part.id, spec, table, put)
        yield from of_power(part.id, spec, put)
        yield from of_wish(problem, part)
        for place, one in enumerate(spec.receptacles):
            yield from each(
                f"{part.id}/{one.id}",
                one,
                ON_PART,
                in_list(spec, "receptacles", place, put),
            )


def of_wish(problem: Problem, part: Part) -> Iterator[Forgotten]:
    """What a build says of a part that is a fact and no wish."""

    def put(new: BuildPart) -> Problem:
        parts = (replace(one, wish=new) if one is part else one for one in problem.parts)
        return replace(problem, parts=tuple(parts))

    can = part.spec.modes or ("plain", "raid")
    yield from each(f"{part.id}.wish", part.wish, {"mode": can} if part.spec.has_modes else {}, put)


def of_power(name: str, spec: PartSpec, put: Callable[[PartSpec], Problem]) -> Iterator[Forgotten]:
    """Watts of short moments and of smaller rails, of parts that may leave them out."""
    power = spec.power
    table: Values = {}
    if power is None:
        return
    if (spec.part_class, spec.bay) == ("drive", "3.5"):
        table["start_w"] = (spec.draw_w, max(30, spec.draw_w))
    if spec.part_class == "accelerator" and power.aux:
        table["peak_w"] = (spec.draw_w, 2 * spec.draw_w)
    if "sata-power" in power.aux and power.aux_w:
        most = min(power.aux_w, 4) if spec.bay == "3.5" else power.aux_w
        table["rails_w"] = ({}, {"5": most})
    yield from each(name, power, table, lambda new: put(spec.model_copy(update={"power": new})))


def of_supply(supply: PowerSupply) -> Values:
    """What a label may say more: of a small supply not that it gives less at 115 V."""
    watts = supply.watts
    return SUPPLY | {
        "start_w": (watts, watts + 40),
        "peak_w": (watts, 2 * watts),
        "low_line_w": (min(watts, 1000), watts),
        "rails_w": ({}, {"5": 100, "5+3.3": 130}),
    }


def moot(spec: PartSpec) -> Iterator[str]:
    """Facts that say nothing of such a part."""
    if spec.wiring == "passive" and spec.receptacles:
        yield "power"  # wires draw nothing worth counting
        yield "generation"  # and all of them carry a link that no one doubts
    if spec.draw_w <= 5 or spec.part_class == "drive":
        yield "airflow_lfm"  # so little needs no moving air, and a drive says so if it does
    if spec.power is None:
        yield from (name for name in PART if name.startswith("power."))
    if spec.part_class != "cable":
        yield "reach_mm"
    if spec.wiring != "controller":
        yield "modes"
    if any(link.bus != "pcie" for link in spec.links):
        yield "generation"  # they count generations of their own


def of_machine(problem: Problem, machine: Machine) -> Iterator[Forgotten]:
    """Facts of one machine."""

    def put_board(board: Board) -> Problem:
        return with_machine(problem, replace(machine, board=board))

    board, supply = machine.board, machine.power_supply
    volts: Values = {"input_v": (115, 230)} if supply and supply.low_line_w else {}
    yield from each(machine.id, board, BOARD, put_board)
    yield from of_sockets(problem, machine, put_board)
    for place, one in enumerate(board.receptacles):
        put = in_list(board, "receptacles", place, put_board)
        yield from each(f"{machine.id}/{one.id}", one, ON_BOARD, put)
    for place, device in enumerate(board.devices or ()):
        put = in_list(board, "devices", place, put_board)
        yield from each(f"{machine.id}/{device.id}", device, DEVICE, put)
    for place, group in enumerate(board.lane_groups):
        put = in_list(board, "lane_groups", place, put_board)
        yield from each(f"{machine.id}/{group.id}", group, GROUP, put)
        for number, way in enumerate(group.arrangements):
            put_way = in_list(group, "arrangements", number, put)
            yield from each(f"{machine.id}/{group.id}={way.id}", way, WAY, put_way)
    yield from each(
        machine.id,
        machine.entry,
        MACHINE | volts,
        lambda new: with_machine(problem, replace(machine, entry=new)),
    )
    yield from classes_of(problem, machine)
    if machine.chassis:
        yield from of_chassis(problem, machine, machine.chassis)
    if machine.power_supply:
        yield from each(
            machine.power_supply.id,
            machine.power_supply,
            of_supply(machine.power_supply),
            lambda new: with_machine(problem, replace(machine, power_supply=new)),
        )


def of_sockets(
    problem: Problem, machine: Machine, put_board: Callable[[Any], Problem]
) -> Iterator[Forgotten]:
    """Facts of processors' sockets, and of coolers and memory that are told of."""
    for place, processor in enumerate(machine.board.processors):
        put = in_list(machine.board, "processors", place, put_board)
        yield from each(f"{machine.id}/{processor.id}", processor, PROCESSOR, put)
    for field, table in (("coolers", COOLER), ("memory", MEMORY)):
        said = getattr(machine.entry, field) or {}
        for socket, thing in said.items():

            def put_thing(new: Entity, field: str = field, socket: str = socket) -> Problem:
                things = {**getattr(machine.entry, field), socket: new}
                entry = machine.entry.model_copy(update={field: things})
                return with_machine(problem, replace(machine, entry=entry))

            yield from each(f"{machine.id}.{field}.{socket}", thing, table, put_thing)


def of_chassis(problem: Problem, machine: Machine, case: Chassis) -> Iterator[Forgotten]:
    """Facts of the case, and of places in it that are no slot."""

    def put_case(new: Chassis) -> Problem:
        return with_machine(problem, replace(machine, chassis=new))

    yield from each(case.id, case, CHASSIS, put_case)
    for number, place in enumerate(case.places):
        put = in_list(case, "places", number, put_case)
        yield from each(f"{case.id}/{place.id}", place, PLACE, put)


def classes_of(problem: Problem, machine: Machine) -> Iterator[Forgotten]:
    """Which class of processor is in the sockets that are filled."""
    takes = [one.takes for one in machine.board.processors if one.id in machine.fitted]
    if not all(takes):
        return
    sockets = [one.id for one in machine.board.processors if one.id in machine.fitted]

    def put(processors: object) -> Problem:
        entry = machine.entry.model_copy(update={"processors": processors})
        return with_machine(problem, replace(machine, entry=entry))

    every = tuple(put(dict(zip(sockets, one, strict=True))) for one in product(*takes))
    yield Forgotten(f"{machine.id}.processors", put(tuple(sockets)), every)


def each(
    name: str,
    thing: Entity,
    table: Values,
    put: Callable[[Any], Problem],
) -> Iterator[Forgotten]:
    """Each fact of one thing, forgotten."""
    for field, values in table.items():
        yield Forgotten(
            f"{name}.{field}",
            put(changed(thing, field, None)),
            tuple(put(changed(thing, field, value)) for value in values),
        )


def changed(thing: Entity, field: str, value: object) -> Entity:
    """The same thing with one field changed, or one of a thing in it, and read as from a file."""
    field, _, inner = field.partition(".")
    if inner:
        value = changed(getattr(thing, field), inner, value)
    said = {name: getattr(thing, name) for name in type(thing).model_fields}
    return type(thing).model_validate({**said, field: value})


def in_list(
    owner: Entity, field: str, place: int, put: Callable[[Any], Problem]
) -> Callable[[Any], Problem]:
    """How to put back one of several things that a larger one has."""

    def put_one(new: Entity) -> Problem:
        things = list(getattr(owner, field))
        things[place] = new
        return put(owner.model_copy(update={field: tuple(things)}))

    return put_one


def with_machine(problem: Problem, machine: Machine) -> Problem:
    """The build with one machine changed."""
    here = {one.id: one for one in machine.receptacles}
    return replace(
        problem,
        machines=tuple(machine if one.id == machine.id else one for one in problem.machines),
        receptacles=tuple(
            replace(receptacle, spec=here[receptacle.spec.id])
            if receptacle.on_board and receptacle.owner == machine.id
            else receptacle
            for receptacle in problem.receptacles
        ),
    )


def with_part(problem: Problem, name: str, spec: PartSpec) -> Problem:
    """The build with the part of one part changed."""
    parts = tuple(replace(part, spec=spec) if part.id == name else part for part in problem.parts)
    new = {one.id: one for part in parts if part.id == name for one in receptacles_on(part)}
    receptacles = tuple(new.get(receptacle.id, receptacle) for receptacle in problem.receptacles)
    return replace(problem, parts=parts, receptacles=receptacles)
