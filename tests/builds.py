"""
Random small builds that bite: invented boards and parts, drawn by dice.

Each build has a theme that makes one kind of trouble likely. `small_build` stays small enough to
look at every plan; `big_build` is for the solver alone. Any `random.Random` will do as dice, so
hypothesis can play them too.
"""

from __future__ import annotations

from collections.abc import Callable, Iterator, Sequence
from dataclasses import dataclass, field, replace
from random import Random
from typing import Any, TypeVar, get_args

from slotfit.load.build_file import parts_of, power_sockets, receptacles_on
from slotfit.model.board import (
    Arrangement,
    Board,
    BoardReceptacle,
    Condition,
    Device,
    Hub,
    LaneGroup,
    Processor,
    Row,
    Uplink,
)
from slotfit.model.build import DEFAULT_STAGES, BuildPart, Group
from slotfit.model.machine import (
    BuildMachine,
    Chassis,
    Measured,
    Place,
    PowerSupply,
    RoomAt,
    Supplies,
)
from slotfit.model.part import PartSpec, Plug, Power
from slotfit.model.ports import Port, PortEnd
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.model.words import Form, Scope

THEMES = (
    "lanes",
    "order",
    "presence",
    "thickness",
    "room",
    "supply",
    "plugs",
    "power",
    "unknown",
    "carriers",
    "switch",
    "riser",
    "storage",
    "expander",
    "air",
    "guests",
    "company",
    "processors",
    "machines",
    "today",
    "optional",
    "adapter",
    "cabled",
    "opening",
    "loop",
    "doubt",
    "wide",
    "nested",
    "leads",
    "fitted",
    "moments",
)

Facts = dict[str, Any]
Thing = TypeVar("Thing")


@dataclass
class Table:
    """Dice, and what has been drawn so far."""

    dice: Random
    theme: str
    slots: int
    parts: int
    groups: list[LaneGroup] = field(default_factory=list)
    receptacles: list[BoardReceptacle] = field(default_factory=list)
    choices_left: int = 12
    """How many ways the lane groups may be divided in all, before it takes too long."""
    mild: bool = False
    """Trouble is rare, so that many parts can be placed together."""

    def __post_init__(self) -> None:
        self.beside = Random(str(self.dice.getstate()))

    @property
    def aside(self) -> Table:
        """The same table with other dice: what they say changes nothing else of the build."""
        return replace(self, dice=self.beside)

    def is_about(self, *themes: str) -> bool:
        """Whether the build is about one of these."""
        return self.theme in themes

    def chance(self, percent: int, *themes: str) -> bool:
        """Yes in so many of a hundred; in three times as many where the theme says so."""
        often = percent * (3 if self.theme in themes else 1)
        return self.dice.randrange(300 if self.mild else 100) < often

    def pick(self, *things: Thing) -> Thing:
        """One of them."""
        return things[self.dice.randrange(len(things))]


# --- boards ------------------------------------------------------------------


def slot(table: Table, number: int, **said: Any) -> BoardReceptacle:
    """A slot of the row, every size said unless the theme leaves it open."""
    unknown = table.is_about("unknown")
    facts: Facts = {
        "id": f"slot{number}",
        "form": "cem",
        "width": 16 if table.mild else table.pick(4, 8, *[16] * 6),
        "open_end": table.pick(True, False, None) if table.chance(20, "room", "unknown") else False,
        "behind_mm": table.pick(None, 20, 60) if unknown else table.pick(20, 60),
        "row": "row",
        "position": number - 1,
        "power_w": table.pick(10, 25, 75) if table.chance(12, "power", "riser") else 75,
        "length_mm": table.pick(170, 300) if table.chance(10, "room") else None,
        "isolation": table.pick("a", "a", "b", f"s{number}", None)
        if table.is_about("guests")
        else None,
        "airflow_lfm": table.pick(0, 200) if table.chance(5, "air") else None,
        "powered_without_processor": table.pick(True, False, None),
        "speed_setting": {1: "Slot 1 speed", 3: False}.get(number),
        "isolates_guests": {2: True, 3: False}.get(number),
        **loss(table, 20),
    }
    if unknown and table.chance(30):
        facts["power_w"] = None
    if table.is_about("doubt"):
        facts |= table.pick({}, {}, {"row": None}, {"power_w": None}, {"isolation": "a"})
        facts |= table.pick({}, {"height_mm": table.pick(100, 115, 130)})
    if table.chance(6, "presence", "company") and number > 1:
        facts["blocked_by"] = (f"slot{number - 1}",)
    return BoardReceptacle(**(facts | said))


def split(receptacle: str, *widths: int, **said: Any) -> Arrangement:
    """One way to divide a receptacle's lanes."""
    name = f"{receptacle}." + "x".join(str(width) for width in widths)
    facts: Facts = {"id": name, "gives": {receptacle: widths}, "proof": "documented"}
    return Arrangement(**(facts | said))


def ways_of(table: Table, here: BoardReceptacle, lanes: int) -> list[Arrangement]:
    """Ways to divide one slot's lanes."""
    whole = [split(here.id, lanes)]
    if table.chance(45, "lanes", "carriers", "order", "guests") and lanes >= 8:
        divided = table.pick((8, 8), (4, 4, 4, 4)) if lanes == 16 else (4, 4)
        whole.append(split(here.id, *divided, proof=proof(table)))
    if lanes == 16 and table.chance(12, "order", "carriers"):
        known = table.pick("known", "unknown")
        whole.append(split(here.id, 8, 4, 4, order=known))
        whole.append(split(here.id, 4, 4, 8, order=known))
    return whole


def proof(table: Table) -> str | None:
    """How well a division is proven."""
    if table.chance(25, "lanes", "unknown"):
        return table.pick("menu-only", None, "refuted")
    return table.pick("seen", "documented")


def add_group(table: Table, name: str, ways: Sequence[Arrangement], source: str) -> None:
    """A lane group, cut to as many ways as there is time for."""
    ways = list(ways)[: max(1, table.choices_left)]
    table.choices_left //= len(ways)
    unsaid = table.is_about("unknown") and table.chance(40)
    generation = None if unsaid else table.pick(3, 4)
    above = None if table.is_about("unknown", "doubt") and table.chance(25) else source
    table.groups.append(
        LaneGroup(id=name, from_=above, generation=generation, arrangements=tuple(ways))
    )


def lone_slot(table: Table, number: int, source: str) -> None:
    """A slot with lanes of its own, or none."""
    here = slot(table, number)
    table.receptacles.append(here)
    lanes = min(here.width or 16, table.pick(4, 8, 16, 16))
    if table.chance(8):
        return  # power and room only
    add_group(table, f"g{number}", ways_of(table, here, lanes), source)


def slot_pair(table: Table, number: int, source: str) -> None:
    """Two slots that share sixteen lanes, by presence or by a setting."""
    first, second = slot(table, number, width=16), slot(table, number + 1, width=8)
    table.receptacles += [first, second]
    by = "presence" if table.chance(30, "presence") else "setting"
    names = (first.id, second.id)
    shared = [
        {"id": "whole", "gives": {names[0]: (16,)}},
        {"id": "halves", "gives": {names[0]: (8,), names[1]: (8,)}},
        {"id": "moved", "gives": {names[1]: (8,)}},
    ]
    count = table.pick(2, 2, 3)
    start = table.pick(0, 0, 1)
    ways = [
        Arrangement.model_validate({"chosen_by": by, "proof": "documented", **one})
        for one in shared[start:count]
    ]
    if table.chance(20):
        ways.append(split(names[0], 8, 8, proof=proof(table)))
    add_group(table, f"g{number}", ways, source)


def slot_row(table: Table, number: int, source: str) -> None:
    """Three slots that share sixteen lanes by presence; of some ways to fill them nobody speaks."""
    names = [f"slot{number + step}" for step in range(3)]
    table.receptacles += [slot(table, number + step, width=16) for step in range(3)]
    gives = [(16,), (8, 8), (8, 4, 4), (8, 0, 8), (0, 8, 8), (4, 4, 8)]
    ways = [
        Arrangement.model_validate(
            {
                "id": "-".join(map(str, lanes)),
                "gives": {name: (n,) for name, n in zip(names, lanes, strict=False) if n},
                "chosen_by": "presence",
                "proof": "documented",
            }
        )
        for lanes in (gives[0], *table.dice.sample(gives[1:], table.pick(2, 3)))
    ]
    if table.chance(20):
        ways.append(split(names[0], 8, 8))
    add_group(table, f"g{number}", ways, source)


def socket(table: Table, number: int, source: str) -> None:
    """An M.2 socket; sometimes it takes its lanes from a SATA connector."""
    lengths = table.pick((80,), (80, 110), None) if table.is_about("unknown") else (80, 110)
    over = (table.pick(*table.receptacles).id,) if table.is_about("air") else ()
    watts = table.pick(7, 9)
    here = BoardReceptacle(
        id=f"m2-{number}",
        form="m2-m",
        drive_lengths=lengths,
        power_w=watts,
        under=over,
        above_mm=table.aside.pick(None, 6, 12),
    )
    table.receptacles.append(here)
    if table.chance(20, "storage", "presence", "air") or table.is_about("moments"):
        table.receptacles.append(BoardReceptacle(id=f"sata{number}", form="sata", power_w=10))
        ways = [
            Arrangement(id="sata", gives={f"sata{number}": ("sata",)}, proof="documented"),
            Arrangement(
                id="nvme",
                gives={here.id: (4,)},
                proof="documented",
                chosen_by=table.pick("presence", "setting"),
            ),
            Arrangement(
                id="both",
                gives={here.id: ("sata",), f"sata{number}": ("sata",)},
                proof="documented",
            ),
        ]
        add_group(table, f"m{number}", ways, source)
    else:
        add_group(table, f"m{number}", [split(here.id, table.pick(2, 4))], source)


def port(table: Table) -> None:
    """A SATA port of the board, whose controller is in an isolation group."""
    group = table.pick("a", "a", "b", None)
    table.receptacles.append(
        BoardReceptacle(id="sata", form="sata", bus="sata", power_w=10, isolation=group)
    )
    way = Arrangement(id="sata", gives={"sata": ("sata",)}, proof="documented", chosen_by="fixed")
    table.groups.append(
        LaneGroup(id="ports", from_="hub", generation=3, bus="sata", arrangements=(way,))
    )


def header(table: Table, source: str) -> None:
    """A header for cables, whole or in two links."""
    form: Form = table.pick("slimsas-8", "slimsas-8", "mcio-8")
    run = table.pick(300, 450, 600, None)
    table.receptacles.append(BoardReceptacle(id="header", form=form, run_mm=run))
    ways = [split("header", 8), split("header", 4, 4, proof=proof(table))]
    generation = table.pick(3, 4, 5, 5)
    table.groups.append(
        LaneGroup(id="h", from_=source, generation=generation, arrangements=tuple(ways))
    )


def fan_header(table: Table) -> float | None:
    """A header for a fan; and how slowly the board lets one turn."""
    power_w, pins = table.pick(12, 12, None), table.pick(4, 4, 3, None)
    table.receptacles.append(
        BoardReceptacle(id="fan1", form="fan-header", pins=pins, power_w=power_w)
    )
    return table.pick(0, 0, 600, None)


def bare_openings(table: Table) -> None:
    """Places for a bracket that takes no slot: beside a slot, or where one could be."""
    for number in range(table.pick(1, 2)):
        place = table.dice.randrange(table.slots + 1)
        table.receptacles.append(
            BoardReceptacle(id=f"gap{number}", form="opening", row="row", position=place)
        )


CLASSES = ("plain", "graphics")


def by_processor(table: Table, group: LaneGroup) -> LaneGroup:
    """The same lanes, of which some divisions are there only with one class or newer firmware."""
    ways: list[Arrangement] = []
    for way in group.arrangements:
        late: Facts = (
            {"firmware": table.pick("1.9", "1.10", "2.0")} if table.chance(30) and ways else {}
        )
        needs: Facts = {"processor": (table.pick(*CLASSES),)} if table.chance(40) and ways else {}
        both = needs | late
        ways.append(way.model_copy(update={"needs": Condition(**both)}) if both else way)
    first = ways[0]
    if table.chance(50) and group.bus == "pcie":
        narrow = {
            one: given[:1] and (min(given[0], 4),)
            for one, given in first.gives.items()
            if all(isinstance(width, int) for width in given)
        }
        mine, other = table.dice.sample(CLASSES, 2)
        ways[0] = first.model_copy(update={"needs": Condition(processor=(mine,))})
        update = {
            "id": f"{first.id}.narrow",
            "gives": narrow,
            "needs": Condition(processor=(other,)),
        }
        ways.append(first.model_copy(update=update))
    return group.model_copy(update={"arrangements": tuple(ways)})


def uplinks(table: Table) -> tuple[Uplink, ...]:
    """Other widths of a chipset's link with one class of processor, or newer firmware."""
    needs: tuple[Facts, ...] = (
        {"processor": (table.pick(*CLASSES),)},
        {"firmware": table.pick("1.9", "2.0")},
    )
    return tuple(
        Uplink(needs=Condition(**one), generation=table.pick(1, 3), lanes=table.pick(1, 2, 8))
        for one in needs[: table.pick(0, 1, 2)]
    )


def board(table: Table, name: str) -> Board:
    """A board of so many slots."""
    hub = Hub(
        id="hub",
        from_="cpu0",
        generation=3,
        lanes=table.pick(1, 2, 4),
        background_gb_s=table.pick(0, 0.4),
        uplinks=uplinks(table.aside) if table.is_about("fitted") else (),
    )
    sources = ["cpu0", "cpu0", "cpu1", "hub"] if table.chance(60, "processors") else ["cpu0", "hub"]
    table.groups, table.receptacles = [], []
    number = 1
    while number <= table.slots:
        source = table.pick(*sources)
        if table.is_about("nested") and number + 2 <= table.slots:
            slot_row(table, number, source)
            number += 3
            continue
        pair = number < table.slots and table.chance(25, "presence")
        (slot_pair if pair else lone_slot)(table, number, source)
        number += 2 if pair else 1
    if table.is_about("adapter", "air") or table.chance(25, "storage", "carriers", "presence"):
        socket(table, 1, table.pick(*sources))
    if table.is_about("guests") and table.chance(20):
        port(table)
    if table.is_about("cabled"):
        header(table, table.pick(*sources))
    if table.is_about("opening"):
        bare_openings(table)
    if table.is_about("fitted"):
        table.groups = [by_processor(table, group) for group in table.groups]
    return Board(
        id=name,
        lowest_fan_rpm=fan_header(table) if table.is_about("air") else None,
        size=table.pick("atx", "eatx", None) if table.chance(5) else "atx",
        processors=sockets_of(table),
        hubs=(hub,),
        rows=(Row(id="row", positions=table.slots + table.pick(0, 1)),),
        lane_groups=tuple(table.groups),
        receptacles=tuple(table.receptacles),
        devices=soldered(table),
    )


def sockets_of(table: Table) -> tuple[Processor, ...]:
    """Two sockets; only where that is the theme do manuals tell classes apart."""
    takes = CLASSES if table.is_about("fitted") else ()
    needed = table.pick(True, False, None) if table.is_about("fitted") else None
    around = beside_socket(table.aside)
    return (
        Processor(id="cpu0", takes=takes, must_be_filled=needed, **around),
        Processor(id="cpu1", takes=takes),
    )


def beside_socket(table: Table) -> Facts:
    """What a board's file says of the place around a processor's socket."""
    if not table.is_about("room", "processors"):
        return {}
    types, order = table.pick(None, ("ddr4-rdimm",)), table.pick(None, ("a", "b"), (("a", "b"),))
    return {
        "memory": {"types": types, "order": order},
        "slots_at_mm": table.pick(None, 60, 60, 90),
        "memory_at_mm": table.pick(None, 40, 70),
    }


def on_socket(table: Table) -> Facts:
    """Cooler and memory of a processor, in some machines."""
    if not table.is_about("room", "processors") or not table.chance(40):
        return {}
    cooler: Facts = {
        "height_mm": table.pick(None, 120, 160),
        "to_slots_mm": table.pick(None, 65, 65),
        "to_memory_mm": table.pick(None, None, 60),
        "clear_mm": table.pick(None, 40, 100),
    }
    modules: Facts = {
        "type": table.pick(None, None, "ddr4-rdimm", "ddr4-udimm"),
        "height_mm": table.pick(None, 31, 44),
    }
    modules |= table.pick({"count": 2}, {"count": 1}, {"in": ("a",)}, {"in": ("b",)}, {})
    told = {"cpu0": modules} | table.pick({}, {"cpu1": {"count": table.pick(0, 2)}})
    return {"coolers": {"cpu0": cooler}} | table.pick({}, {"memory": told})


def in_machine(table: Table, entry: BuildMachine) -> BuildMachine:
    """The same machine with coolers and memory."""
    said = {name: getattr(entry, name) for name in entry.model_fields_set}
    return BuildMachine.model_validate({**said, **on_socket(table)})


def kept(table: Table) -> tuple[str, ...] | None:
    """What stays with the host; parts are called by a letter and their number."""
    if not table.is_about("guests"):
        return None
    drives = tuple(f"{letter}{number}" for letter in "abcdefgh" for number in range(1, 5))
    return table.pick((), ("ports",), ("usb", "ports"), ("ports", *drives), None)


def in_sockets(table: Table, *, absent: bool) -> Any:
    """What is fitted, and for that theme of which class."""
    if not table.is_about("fitted"):
        return ("cpu0",) if absent else None
    sockets = table.pick(("cpu0", "cpu1"), ("cpu0", "cpu1"), ("cpu0",), ("cpu1",))
    return {socket: table.pick(*CLASSES) for socket in sockets}


def cages(table: Table) -> tuple[RoomAt, ...]:
    """What stands in line with some openings."""
    if not table.chance(15, "room", "air", "thickness"):
        return ()
    at = table.pick((0,), (1,), (0, 1), (1, 2))
    length, height = table.pick(170, 200, 340, None), table.pick(70, 112, None)
    return (RoomAt(at=at, length_mm=length, height_mm=height),)


def walls(table: Table) -> tuple[Place, ...]:
    """Where what needs no slot can be screwed."""
    if not table.is_about("opening", "doubt") or not table.chance(60):
        return ()
    place = Place(
        id="wall",
        length_mm=table.pick(160, 320, 320, None),
        height_mm=table.pick(120, 120, None),
        thickness=table.pick(1, 2, 2, None),
        airflow_lfm=table.pick(None, 0, 200),
    )
    return (place,)


def cables(dice: Table, plugs: dict[str, int]) -> tuple[Facts, ...] | None:
    """Two or more plugs on one cable, as far as there are any, and what it carries."""
    if dice.chance(50) or plugs.get("12v-2x6"):
        return None
    on_one = {plug: min(count, dice.pick(1, 2)) for plug, count in plugs.items() if count}
    return ({"plugs": on_one, "watts": dice.pick(60, 110, 150, 225)},) if on_one else ()


def machine(table: Table, name: str) -> Machine:
    """The board in its chassis, with its supply."""
    absent = table.chance(10, "processors")
    chassis = Chassis(
        id=f"case-{name}",
        sizes=("atx",),
        openings=table.slots + table.pick(1, 1, 1, 0, -1 if table.is_about("thickness") else 1),
        bracket="low" if table.chance(10, "room") else "full",
        card_length_mm=table.pick(170, 200, 300) if table.chance(15, "room", "air") else 320,
        card_height_mm=120,
        airflow_lfm=table.pick(0, 100, None) if table.chance(15, "air", "unknown") else 300,
        bays={"3.5": table.pick(0, 1, 1), "2.5": table.pick(0, 1)},
        room_at=cages(table.aside),
        cooler_height_mm=table.aside.pick(None, 130, 165, 165),
        places=walls(table.aside),
    )
    scarce = table.is_about("supply")
    plenty = 5 if table.mild else 1
    plugs: dict[str, int] | None = {"pcie-8": 2 * plenty, "pcie-6": plenty, "eps-8": 2 * plenty}
    if table.is_about("plugs"):
        plugs = {"pcie-8": table.pick(0, 1, 2), "pcie-6": table.pick(0, 1)}
    if table.is_about("leads"):
        plugs = {"pcie-8": table.pick(1, 2, 4), "12v-2x6": table.pick(0, 0, 1), "eps-8": 0}
        plugs |= {"molex-4": table.pick(0, 1, 1)}
    if table.is_about("unknown") and table.chance(30):
        plugs = None
    if table.is_about("doubt"):
        plugs = {"pcie-8": 2, "12v-2x6": 1}
        silent: Facts = dict(table.pick({}, {"bays": None}, {"card_height_mm": 105}))
        silent |= table.pick({}, {}, {"card_length_mm": None})
        chassis = chassis.model_copy(update=silent)
        absent = table.chance(50)
    if table.is_about("air"):
        airy = {"bay_airflow_lfm": table.pick(0, 100, None)}
        chassis = chassis.model_copy(update=airy)
    watts = (table.pick(100, 120, 160) if scarce else 900) * (3 if table.mild else 1)
    live = table.aside.pick(True, False, None) if table.aside.chance(10, "storage") else None
    supply = PowerSupply.model_validate(
        {"id": f"supply-{name}", "watts": watts, "plugs": plugs, "carries_3v3": live}
        | {"cables": cables(table.aside, plugs or {}) if table.is_about("plugs", "leads") else ()}
    )
    return Machine(
        in_machine(
            table.aside,
            BuildMachine(
                id=name,
                board="board",
                processors=in_sockets(table, absent=absent),
                firmware=table.pick(None, "1.9", "1.10") if table.is_about("fitted") else None,
                keeps=kept(table),
                base_w=None if table.is_about("unknown") and table.chance(30) else 60,
                inlet_c=table.pick(None, 30, 45) if table.is_about("air") else None,
                supply_limit_percent=table.pick(80, 100) if scarce else 100,
            ),
        ),
        board(table, f"board-{name}"),
        None if table.is_about("unknown") and table.chance(20) else chassis,
        None if table.chance(5) else supply,
    )


# --- parts -------------------------------------------------------------------


def part_of(**facts: Any) -> PartSpec:
    """A part as a file would have it."""
    return PartSpec.model_validate(facts)


def card(table: Table, name: str, **said: Any) -> PartSpec:
    """A card with one link."""
    width = table.pick(1, 4, 4, 8, 8, 16)
    thick = table.pick(1, 2, 2, 3) if table.chance(8, "thickness") else 1
    facts: Facts = {
        "id": name,
        "plug": {"form": "cem", "width": width},
        "links": ({"at": 0, "lanes": width},),
        "generation": table.pick(3, 4),
        "thickness": thick,
        "length_mm": table.pick(120, 200, 310) if table.chance(10, "room") else 120,
        "height_mm": 68.9 if table.chance(30) else 111.15,
        "bracket": table.pick("full", "low", "both") if table.chance(8, "room") else "both",
        "power": card_power(table, width),
        "cooling": table.pick("none", "passive", "passive", "fan")
        if table.chance(20, "air")
        else "none",
        "demand": table.pick(None, 1, 3, {"in_gb_s": 0.5, "out_gb_s": 6}),
        "ports": network_ports(table.aside),
    }
    if table.is_about("guests"):
        facts["virtual_functions"] = table.pick(None, 0, 1, 8)
        facts["mediated"] = table.pick(None, True, False)
    if facts["cooling"] == "passive":
        facts["airflow_lfm"] = table.pick(80, 200, 400, None)
        shape = ("wide", "wide", "narrow", None)[len(table.groups) % 4]
        facts["receptacles"] = ({"id": "mount", "form": "cooling-mount", "mount": shape},)
        facts |= warmth(table)
    if table.is_about("unknown"):
        for key in ("thickness", "length_mm", "height_mm", "bracket", "generation", "power"):
            if table.chance(8):
                facts[key] = None
    if table.chance(6, "lanes"):
        facts["min_lanes"] = table.pick(4, 8)
    if table.chance(6, "lanes"):
        facts["min_generation"] = table.pick(3, 4)
    return PartSpec.model_validate(facts | said)


def in_turn(table: Table, *things: Thing) -> Thing:
    """One of them, by how the board came out: the dice go on as they would without it."""
    return things[(len(table.groups) + table.choices_left) % len(things)]


def warmth(table: Table) -> Facts:
    """For which air a figure holds, and for which modules."""
    if not table.is_about("air"):
        return {}
    return {
        "airflow_at_c": table.pick(30, 40, None),
        "modules_w": table.pick(4, None),
        "component_mm": table.pick(None, 15, 25),
    }


def card_power(table: Table, width: int) -> Facts:
    """What a card draws; hungry ones need plugs."""
    slot_w: float = table.pick(9, 9, 20, 25, 66 if width == 16 else 24)
    if not table.chance(20, "plugs", "supply"):
        rails = (("3.3v", "12v"), ("3.3v",), ("12v",), None)[len(table.receptacles) % 4]
        return {"slot_w": slot_w, "rails": rails if table.is_about("adapter") else None}
    aux = table.pick(("pcie-8",), ("pcie-6",), ("pcie-8", "pcie-6"), ("eps-8",))
    facts = {"slot_w": slot_w, "aux": aux, "aux_w": table.pick(50, 120), "plug_at": "end"}
    if table.is_about("plugs"):
        facts["plug_at"] = in_turn(table, "end", "top", None)
    return facts


def two_endpoints(table: Table, name: str) -> PartSpec:
    """Two endpoints on one card, which only a divided slot shows both of."""
    links = ({"at": 0, "lanes": 8}, {"at": 8, "lanes": 8})
    return card(table, name, plug={"form": "cem", "width": 16}, links=links)


def wide_card(table: Table, name: str) -> PartSpec:
    """A card that could use sixteen lanes."""
    links = ({"at": 0, "lanes": 16},)
    return card(table, name, plug={"form": "cem", "width": 16}, links=links, demand=None)


def hungry_card(table: Table, name: str) -> PartSpec:
    """A card that draws as much as any slot gives, or has a socket of unknown rating."""
    power: Facts = {"slot_w": 66, "graphics": table.pick(True, False)}
    if table.chance(60):
        power |= {"aux": ("12v-2x6",), "aux_w": table.pick(None, 120, 280, 500)}
    width = {"plug": {"form": "cem", "width": 16}, "links": ({"at": 0, "lanes": 16},)}
    cooling = table.pick("fan", "none", None)
    return card(table, name, power=power, bracket="full", cooling=cooling, **width)


def power_only(table: Table, name: str) -> PartSpec:
    """A card that takes power and room, no lanes."""
    made = card(table, name, links=(), plug={"form": "cem", "width": 4}, min_lanes=None)
    plugs = away(table.aside) if table.is_about("opening") else None
    if made.power is None or plugs is None:
        return made
    power = made.power.model_copy(update={"aux_away": plugs})
    return made.model_copy(update={"power": power})


def loss(table: Table, most: int = 16) -> Facts:
    """What a signal loses in a piece of the way, where somebody says it."""
    table = table.aside
    if not table.chance(6, "riser", "adapter", "unknown"):
        return {}
    gen4 = table.pick(2, 6, 11, most)
    return {"loss_db": {"gen4": gen4, "gen5": gen4 + 4} if table.chance(80) else {"gen4": gen4}}


def carrier(table: Table, name: str) -> PartSpec:
    """A passive carrier of M.2 drives."""
    count, width = table.pick((2, 8), (2, 16), (4, 16))
    return card(
        table,
        name,
        part_class="carrier",
        plug={"form": "cem", "width": width},
        links=tuple({"at": 4 * n, "lanes": 4, "to": (f"s{n}",)} for n in range(count)),
        generation=table.pick(3, 4, 4, None) if table.is_about("unknown") else table.pick(3, 4),
        receptacles=sockets(count),
        power={"slot_w": 1},
        makes_rails=in_turn(table, ("3.3v",), (), ("3.3v",), None),
        demand=None,
        min_lanes=None,
        retimer=table.aside.chance(10, "unknown"),
        **loss(table),
    )


def sockets(count: int, **said: Any) -> tuple[Facts, ...]:
    """M.2 sockets on a part."""
    return tuple(
        {"id": f"s{n}", "form": "m2-m", "drive_lengths": (80,), "power_w": 9, **said}
        for n in range(count)
    )


def switch_carrier(table: Table, name: str) -> PartSpec:
    """A carrier whose switch shares one link among its drives."""
    return card(
        table,
        name,
        part_class="carrier",
        plug={"form": "cem", "width": 8},
        links=({"at": 0, "lanes": table.pick(4, 8)},),
        wiring="switch",
        receptacles=sockets(2, lanes=4),
        demand=None,
        generation=3,
        isolates_guests=table.pick(True, False, None),
        makes_rails=("3.3v",),
    )


def riser(table: Table, name: str) -> PartSpec:
    """A riser with one slot, or two that share its lanes."""
    two = table.chance(40)
    receptacles = [
        {
            "id": f"r{n}",
            "form": "cem",
            "width": 16,
            "open_end": False,
            "row": "in",
            "position": n,
            "power_w": table.pick(10, 25, 75),
            "length_mm": 320,
            "height_mm": 120,
            "bracket": "full",
        }
        for n in range(1 + two)
    ]
    links = [{"at": 0, "lanes": 8, "to": ("r0",)}, {"at": 8, "lanes": 8, "to": ("r1",)}]
    whole = ({"at": 0, "lanes": table.pick(8, 16), "to": ("r0",)},)
    return card(
        table,
        name,
        part_class="riser",
        plug={"form": "cem", "width": 16},
        links=tuple(links) if two else whole,
        generation=table.pick(2, 3, 4, None) if table.is_about("unknown") else table.pick(3, 4),
        receptacles=tuple(receptacles),
        **loss(table, 20),
        row_positions=table.pick(1, 2, 3),
        power=None,
        demand=None,
        min_lanes=None,
        bracket="none",
    )


def host_adapter(table: Table, name: str) -> PartSpec:
    """A controller with one or two SAS ports."""
    count = table.pick(1, 2)
    facts: Facts = {"part_class": "host-bus-adapter", "wiring": "controller"}
    facts["modes"] = (None, ("plain",), ("plain", "raid"))[len(table.receptacles) % 3]
    return card(table, name, receptacles=sas_ports(table, "p", count), **facts)


def sas_ports(table: Table, name: str, count: int) -> tuple[Facts, ...]:
    """Ports for cables of four SAS lanes."""
    port = {"form": "sff-8643", "bus": "sas", "lanes": 4, "generation": 3}
    return tuple(
        {"id": f"{name}{n}", "run_mm": table.pick(300, 400, 600), **port} for n in range(count)
    )


def looped_adapter(table: Table, name: str) -> PartSpec:
    """A controller with a further plug, which a cable could join to its own port."""
    plug = {"form": "sff-8643"}
    link = {"lanes": 4, "bus": "sas"}
    return card(
        table,
        name,
        wiring="controller",
        receptacles=sas_ports(table, "p", 2),
        extra_plugs=({"id": "in", "plug": plug, "links": (link,), "generation": 3},),
        min_lanes=None,
    )


def straight_cable(table: Table, name: str) -> PartSpec:
    """A cable from one SAS port to another, or one that makes others longer."""
    end = {"gender": table.aside.pick(None, None, "socket", "plug")}
    return part_of(
        id=name,
        part_class=table.aside.pick("cable", "cable", "cable", "other"),
        plug={"form": "sff-8643"},
        links=({"at": 0, "lanes": 4, "bus": "sas", "to": ("end",)},),
        receptacles=({"id": "end", "form": "sff-8643", "bus": "sas", **end},),
        reach_mm=table.aside.pick(500, 500, 500, None),
    )


def expander(table: Table, name: str) -> PartSpec:
    """A card that takes power from a slot and its lanes over a plug of its own."""
    first, last = sas_ports(table, "d", 2)
    if table.aside.chance(90):
        last = {"id": "d1", "form": "sas", "bus": "sas", "lanes": 1, "generation": 3}
    behind_bays = table.aside.chance(25)
    if behind_bays:
        last = {**last, "bay": table.aside.pick(None, "2.5", "2.5", "3.5")}
    return card(
        table,
        name,
        **({"part_class": "backplane"} if behind_bays else {}),
        links=(),
        plug={"form": "cem", "width": 4},
        wiring="switch",
        receptacles=(first, last),
        extra_plugs=(
            {
                "id": "up",
                "plug": {"form": "sff-8643", "gender": table.aside.pick("plug", "plug", None)},
                "links": ({"lanes": table.aside.pick(1, 4), "bus": "sas"},),
                "generation": 3,
                "feeds": ("d0", "d1"),
            },
        ),
        buffers=table.aside.pick(True, False, None),
        own_bays=table.aside.pick(True, False, None) if behind_bays else None,
        demand=None,
        min_lanes=None,
        min_generation=None,
        cooling="none",
    )


def wide_expander(table: Table, name: str) -> PartSpec:
    """An expander with two plugs that make one wide port."""
    plug = {"plug": {"form": "sff-8643"}, "links": ({"lanes": 4, "bus": "sas"},), "generation": 3}
    plain = expander(table, name)
    return PartSpec.model_validate(
        plain.model_dump(by_alias=True)
        | {
            "extra_plugs": (
                {"id": "up", "feeds": ("d0", "d1"), **plug},
                {"id": "up2", "joins": "up", **plug},
            )
        }
    )


def breakout(table: Table, name: str) -> PartSpec:
    """A cable from a SAS port to two drives, at times to SATA drives only."""
    bus = "sata" if table.aside.chance(8) else "sas"
    aside = table.aside
    live = {
        "carries_3v3": aside.pick(True, False) if aside.chance(6, "storage") else None,
        "port_multiplier": aside.pick(True, False, None),
    }
    return part_of(
        id=name,
        part_class="cable",
        plug={"form": "sff-8643"},
        links=tuple({"at": n, "lanes": 1, "bus": bus, "to": (f"c{n}",)} for n in range(2)),
        receptacles=tuple(
            {"id": f"c{n}", "form": bus, "bus": bus, "power_w": 15, **live} for n in range(2)
        ),
        direction=table.aside.pick("forward", "reverse", None),
        reach_mm=500,
    )


def slot_adapter(table: Table, name: str) -> PartSpec:
    """An M.2 module with a slot on it."""
    return part_of(
        id=name,
        part_class="adapter",
        plug={"form": "m2-m"},
        links=({"at": 0, "lanes": table.pick(2, 4), "to": ("top",)},),
        receptacles=(
            {
                "id": "top",
                "form": "cem",
                "width": table.pick(4, 4, 16),
                "open_end": table.pick(True, True, False, None),
                "behind_mm": table.pick(60, 60, None),
                "power_w": table.pick(10, 25, None),
            },
        ),
        generation=table.pick(3, 4, None),
        length_mm=80,
        power=table.pick(None, {"slot_w": 0}, {"slot_w": 0, "aux": ("sata-power",), "aux_w": 25}),
        makes_rails=in_turn(table, ("12v",), (), None),
    )


def bay_cable(table: Table, name: str) -> PartSpec:
    """A cable from a header to two drive bays."""
    return part_of(
        id=name,
        part_class="cable",
        plug={"form": table.pick("slimsas-8", "slimsas-8", "mcio-8")},
        links=tuple({"at": 4 * n, "lanes": 4, "to": (f"b{n}",)} for n in range(2)),
        receptacles=tuple({"id": f"b{n}", "form": table.pick("u2", "u3")} for n in range(2)),
        generation=table.pick(3, 4, 5, 5, None),
        wired_for=table.aside.pick(None, (), ("board-m1",)),
        reach_mm=table.pick(500, 500, None),
    )


def bay_drive(table: Table, name: str) -> PartSpec:
    """A 2.5-inch drive."""
    return part_of(
        id=name,
        part_class="drive",
        plug={"form": table.pick("u2", "u3")},
        links=({"at": 0, "lanes": 4},),
        generation=table.pick(3, 4, 5),
        power={"slot_w": table.pick(9, 25, 30)},
        bay="2.5",
        demand=table.pick(None, {"in_gb_s": 1, "out_gb_s": 3}),
    )


def port_multiplier(name: str) -> PartSpec:
    """Two SATA drives on one port."""
    port = {"form": "sata", "bus": "sata", "lanes": 1, "generation": 3}
    return part_of(
        id=name,
        part_class="port-multiplier",
        plug={"form": "sata"},
        links=({"at": 0, "lanes": 1, "bus": "sata"},),
        generation=3,
        wiring="switch",
        receptacles=tuple({"id": f"d{n}", **port} for n in range(2)),
        power={"slot_w": 0},
    )


def bracket_only(table: Table, name: str) -> PartSpec:
    """Sockets on a bracket, or a fan in its place: no card edge."""
    return part_of(
        id=name,
        plug={"form": "opening"},
        thickness=table.pick(1, 1, 2),
        bracket=table.pick("full", "low", "both"),
        power={"slot_w": 0, "aux_away": away(table.aside)},
    )


def away(table: Table) -> tuple[str, ...] | None:
    """Plugs of a part that is fed without a slot."""
    return table.pick(None, (), ("pcie-8",), ("pcie-8",), ("pcie-6",))


def nvme(table: Table, name: str) -> PartSpec:
    """An M.2 drive."""
    return part_of(
        id=name,
        part_class="drive",
        plug={"form": "m2-m"},
        links=({"at": 0, "lanes": 4},),
        generation=table.pick(3, 4),
        length_mm=table.pick(80, 110) if table.chance(20) else 80,
        power={"slot_w": table.pick(5, 8)},
        **loss(table, 9),
        demand=table.pick(None, {"in_gb_s": 1, "out_gb_s": 3}),
        component_mm=table.aside.pick(None, 2, 9) if table.is_about("air") else None,
        **asking(table),
    )


def asking(table: Table) -> Facts:
    """Drives that ask for air, or would if somebody had said how much."""
    if not table.is_about("air"):
        return {}
    return {"cooling": table.pick(None, "passive"), "airflow_lfm": table.pick(None, None, 50, 150)}


def disk(table: Table, name: str) -> PartSpec:
    """A SATA or SAS disk, at times a multiplier for two."""
    bus = table.pick("sata", "sas")
    if table.aside.chance(4):
        table.pick("3.5", "2.5")
        return port_multiplier(name)
    return part_of(
        id=name,
        part_class="drive",
        plug={"form": bus},
        links=({"at": 0, "lanes": 1, "bus": bus},),
        generation=3,
        power={"slot_w": 9},
        power_disable=table.aside.pick(None, None, False, True),
        bay=table.pick("3.5", "2.5"),
        demand={"in_gb_s": 0.25, "out_gb_s": 0.25},
        **asking(table),
    )


def spinning(table: Table, name: str) -> PartSpec:
    """A disk that takes more while it starts, and a part of its watts at 5 V."""
    power: Facts = {"slot_w": 0, "aux": ("sata-power",), "aux_w": 9}
    power |= {"start_w": table.pick(None, 20, 30), "idle_w": table.pick(None, 5)}
    power["rails_w"] = table.pick(None, {}, {"5": 4}, {"5": 5, "3.3": 3})
    spec = disk(table, name)
    said = {"id": name, "power": power, "bay": table.pick("3.5", "3.5", "2.5")}
    return part_of(**{f: getattr(spec, f) for f in type(spec).model_fields} | said)


def accelerator(table: Table, name: str) -> PartSpec:
    """A card that takes more for a millisecond."""
    power: Facts = {"slot_w": 20, "aux": ("pcie-8",), "aux_w": table.pick(50, 60)}
    power["peak_w"] = table.pick(None, 90, 150)
    return card(table, name, part_class="accelerator", power=power)


def air_mover(table: Table, name: str) -> PartSpec:
    """A blower that is mounted on a card."""
    return part_of(
        id=name,
        part_class="air-mover",
        plug={"form": "cooling-mount"},
        gives_airflow_lfm=table.pick(150, 400, None),
        mounts=table.pick(("wide",), ("wide",), ("wide", "narrow"), None),
        adds_length_mm=table.pick(60, 200),
        power={"slot_w": 0, "aux": ("molex-4",), "aux_w": 5} if table.chance(20) else {"slot_w": 0},
    )


def lead(table: Table, name: str) -> PartSpec:
    """An adapter from 8-contact plugs, or a splitter."""
    form, tails = table.pick(
        ("12v-2x6", ("pcie-8",) * table.pick(2, 3, 4)),
        ("eps-8", ("pcie-8", "pcie-8")),
        ("molex-4", ("molex-4",)),
    )
    return part_of(id=name, plug={"form": form}, power={"slot_w": 0, "aux": tails, "aux_w": 0})


def plugged_card(table: Table, name: str) -> PartSpec:
    """A card with sockets for which the supply may have no plugs."""
    aux, most = table.pick(
        (("12v-2x6",), 500), (("12v-2x6",), 280), (("eps-8",), 320), (("molex-4",), 90)
    )
    power = {"slot_w": 9, "aux": aux, "aux_w": table.pick(60, most, most, None), "plug_at": "end"}
    return card(table, name, power=power, cooling="fan")


def warm_drive(table: Table, name: str) -> PartSpec:
    """A module or a disk; or a fan for all of them."""
    return table.pick(nvme, nvme, disk, fan)(table, name)


def fan(table: Table, name: str) -> PartSpec:
    """A fan for the chassis."""
    return part_of(
        id=name,
        part_class="fan",
        plug={"form": "fan-header"},
        pins=table.pick(3, 4, 4, 6, None),
        min_rpm=table.pick(300, 900, None),
        power={"slot_w": table.pick(4, 20)},
    )


Maker = Callable[[Table, str], PartSpec]

PARTS: dict[str, tuple[Maker, ...]] = {
    "carriers": (carrier, nvme, nvme, carrier, card),
    "order": (carrier, two_endpoints, nvme, card),
    "lanes": (two_endpoints, carrier, card, card),
    "switch": (switch_carrier, nvme, nvme, card),
    "riser": (riser, card, carrier, nvme),
    "storage": (host_adapter, breakout, disk, disk, nvme),
    "expander": (host_adapter, expander, straight_cable, disk),
    "processors": (card, power_only, card, card),
    "air": (card, air_mover, card, warm_drive),
    "guests": (card, carrier, nvme, nvme, switch_carrier, disk, disk),
    "presence": (wide_card, power_only, card, nvme, disk),
    "nested": (wide_card, card, power_only, bracket_only),
    "power": (riser, carrier, nvme, nvme, card),
    "unknown": (riser, card, carrier, nvme, two_endpoints),
    "adapter": (slot_adapter, card, nvme, riser),
    "cabled": (bay_cable, bay_drive, bay_drive, card),
    "opening": (bracket_only, power_only, card, card),
    "loop": (looped_adapter, straight_cable, breakout, disk),
    "wide": (host_adapter, wide_expander, straight_cable, straight_cable),
    "leads": (plugged_card, lead, plugged_card, lead),
    "doubt": (host_adapter, breakout, disk, hungry_card),
    "moments": (spinning, spinning, accelerator, card),
}
"""Theme -> what its parts are drawn from, the first ones more surely."""

ANY: tuple[Maker, ...] = (card, card, card, two_endpoints, power_only, carrier)


def makers(table: Table) -> Iterator[Maker]:
    """What to make, part after part."""
    liked = PARTS.get(table.theme, ())
    for number in range(table.parts):
        if number < len(liked) and table.chance(70):
            yield liked[number]
        else:
            yield table.pick(*(liked or ANY), *ANY[:2])


def modules(table: Table, spec: PartSpec) -> Facts:
    """What is plugged into the ports of a card."""
    if not table.is_about("air") or spec.part_class != "other":
        return {}
    dice = table.aside
    ends = {f"p{number}": end(dice) for number in range(dice.pick(0, 0, 1, 2))}
    return {"modules_w": table.pick(None, 0, 3, 8, 8), "ends": ends}


OUTSIDE = {"near": 1.25, "far": 3.1, "dim": None}
"""What stands at far ends, with its rate."""


def end(dice: Table) -> PortEnd:
    """What is plugged into a port, and where it leads."""
    power = Power(slot_w=dice.pick(0.1, 1, 4)) if dice.pick(1, 1, 0) else None
    module = PartSpec(
        id=f"module-{dice.pick(1, 2)}",
        plug=Plug(form=dice.pick("sfp28", "sfp28", "sfp-plus", "qsfp28")),
        gb_s=dice.pick(None, (1.25,), (1.25, 3.1), (12.5,)),
        medium=dice.aside.pick(None, "twinax", "multimode", "multimode", "twisted-pair"),
        reach_m=dice.pick(None, 3, 100),
        power=power,
    )
    by = dice.pick(module, module, None)
    return PortEnd(to=dice.pick(*OUTSIDE), by=by, run_m=dice.pick(None, 2, 30, 300))


def connected(dice: Table, parts: list[Part]) -> list[Part]:
    """The parts, at times with a cable from a port of one to a port of another."""
    cards = [part for part in parts if part.wish.ends and part.companion_of is None]
    if len(cards) < 2 or dice.chance(30):
        return parts
    one, other = dice.dice.sample(cards, 2)
    port, far = next(iter(one.wish.ends)), dice.pick("p0", "p1")
    ends = {
        **one.wish.ends,
        port: one.wish.ends[port].model_copy(update={"to": f"{other.id}/{far}"}),
    }
    wish = one.wish.model_copy(update={"ends": ends})
    return [replace(part, wish=wish) if part is one else part for part in parts]


def network_ports(dice: Table) -> tuple[Port, ...] | None:
    """Two ports of a card, told one by one."""
    if not dice.is_about("air"):
        return None
    shape: Facts = {"cage": dice.pick("sfp28", "sfp28", "qsfp28", "rj45", None)}
    said = shape | {"gb_s": dice.pick(None, (1.25,), (1.25, 3.1))}
    said["shares_speed_with"] = dice.pick(None, (), ("p1",))
    ports = (Port(id="p0", **said), Port(id="p1", **shape))
    return ports if dice.pick(1, 1, 0) else None


def guests_of(table: Table, spec: PartSpec) -> Facts:
    """Whom a part is for: the host, a guest, or several that share it."""
    if not spec.receptacles and table.chance(12):
        how = table.pick(None, "virtual-functions", "mediated", "host-service")
        return {"guest": ("red", "blue"), "shared_by": how}
    return {"guest": table.pick(None, "red", "red", "blue")}


def handed_over(table: Table, spec: PartSpec) -> Facts:
    """Adapters and disks that a guest gets, and the mode of the adapter's firmware."""
    is_adapter = spec.wiring == "controller"
    often = 16 if is_adapter else 8 if spec.part_class == "drive" else 0
    if not table.is_about("storage") or not table.chance(often):
        return {}
    mode = table.pick(None, None, "plain", "raid") if is_adapter else None
    return {"guest": "red", "mode": mode if spec.has_modes else None}


def soldered(table: Table) -> tuple[Device, ...] | None:
    """Devices of the board, some in the groups of slots."""
    if not table.is_about("guests"):
        return None
    ids = ("ports", "usb")[: table.pick(0, 1, 2)]
    groups = ("a", "b", "s1", "nobody-else", None)
    devices = tuple(Device(id=name, isolation=table.pick(*groups)) for name in ids)
    return table.pick(devices, devices, devices, None)


def wish(
    table: Table, name: str, spec: PartSpec, receptacles: Sequence[str], machines: Sequence[str]
) -> BuildPart:
    """What the build file asks for one part."""
    worn = (None, None, "full", "low")[len(name + spec.id) % 4 * table.is_about("room")]
    facts: Facts = {"id": name, "part": spec.id, "bracket": worn}
    airy = ("air",) if spec.plug.form != "cem" else ()
    if table.mild or table.chance(25, "optional", "moments", *airy):
        facts |= {"required": False, "weight": table.pick(1, 1, 2, 5)}
    if table.chance(20, "processors"):
        facts["near"] = table.pick("cpu0", "cpu1")
        facts["must_be_near"] = table.chance(10, "processors")
    if table.chance(4):
        facts["only"] = tuple(dict.fromkeys(table.pick(*receptacles) for _ in range(2)))
    elif table.chance(5):
        facts["ban"] = (table.pick(*receptacles),)
    if table.is_about("machines") and table.chance(30):
        facts["machine"] = table.pick(*machines)
    if table.is_about("guests"):
        facts |= guests_of(table, spec)
    facts |= modules(table, spec) | handed_over(table.aside, spec)
    if spec.links and table.chance(8, "carriers", "lanes", "order"):
        facts["endpoints"] = len(spec.links)
    return BuildPart(**facts)


# --- builds ------------------------------------------------------------------


def small_build(dice: Random, theme: str | None = None) -> Problem:
    """A build that is small enough to look at every plan."""
    about = theme or dice.choice(THEMES)
    machines = 2 if about == "machines" else 1
    slots = dice.randint(2, 3) if about in ("machines", "presence", "wide") else dice.randint(3, 4)
    return build(Table(dice, about, slots, dice.choice((2, 3, 3, 4))), machines)


def big_build(dice: Random, slots: int, parts: int) -> Problem:
    """A build of a real machine's size."""
    about = dice.choice(("lanes", "carriers", "thickness", "supply", "switch", "processors"))
    return build(Table(dice, about, slots, parts, choices_left=1 << 62, mild=True), 1)


def build(table: Table, machine_count: int) -> Problem:
    """Machines, parts and wishes."""
    machines = tuple(machine(table, f"m{number}") for number in range(1, machine_count + 1))
    receptacles = [
        Receptacle(name_of(machine_count, machine, receptacle.id), machine.id, True, receptacle)
        for machine in machines
        for receptacle in machine.receptacles
    ]
    names = [receptacle.id for receptacle in receptacles]
    parts: list[Part] = []
    machine_names = [machine.id for machine in machines]
    for number, maker in enumerate(makers(table), start=1):
        letter = chr(96 + table.dice.randint(1, 26))
        name = f"{'mm' if letter == 'm' else letter}{number}"  # m1 and m2 are machines
        twin = alike(table, parts, maker)
        spec = twin.spec if twin else maker(table, f"{maker.__name__}-{number}")
        if twin and table.chance(60):
            asked = twin.wish.model_copy(update={"id": name})  # nothing tells the two apart
        else:
            asked = wish(table, name, spec, names, machine_names)
        parts += parts_of(asked, spec)
    parts = connected(table.aside, parts)
    if table.is_about("moments"):
        machines = tuple(lived_in(table, machine, parts) for machine in machines)
    on_parts = [receptacle for part in parts for receptacle in receptacles_on(part)]
    on_parts += power_sockets(parts)
    return Problem(
        id="drawn",
        machines=machines,
        parts=tuple(parts),
        receptacles=(*receptacles, *on_parts),
        together=groups(table, parts, 40),
        apart=groups(table, parts, 60),
        today=today(table, parts, names),
        preferences=preferences(table),
        retire=retired(table, [*parts, *machines]),
        outside=OUTSIDE,
    )


def lived_in(table: Table, machine: Machine, parts: Sequence[Part]) -> Machine:
    """The machine at its wall: volts, supplies, moments, and perhaps a meter's figures."""
    supply = machine.power_supply
    if supply is None:
        return machine
    watts = table.pick(120, 160, 200, 260)
    said: Facts = {"watts": watts, "plugs": {"sata-power": 4, "pcie-8": 3, "pcie-6": 1}}
    said |= {"low_line_w": table.pick(None, None, 90)}
    said |= {"start_w": table.pick(None, watts, watts + 20, watts + 40)}
    said |= {"peak_w": table.pick(None, watts, 2 * watts)}
    said |= {"rails_w": table.pick(None, None, {"5": 6}, {"5": 9, "5+3.3": 9})}
    entry: Facts = {
        "staggered_start": table.pick(None, True, False),
        "input_v": table.pick(None, 115, 230),
        "supplies": table.pick(None, None, Supplies(fitted=2, needed=1)),
    }
    inside: dict[str, PartSpec] = {}
    if table.chance(40):
        whole = [part for part in parts if part.companion_of is None]
        some = table.dice.sample(whole, min(table.pick(0, 1, 2), len(whole)))
        inside = {part.id: part.spec for part in some}
        entry |= {
            "base_w": table.pick(None, 60),
            "measured": Measured(
                idle_w=table.pick(None, 30),
                load_w=table.pick(None, 70, 90, 130),
                with_=tuple(inside),
            ),
        }
    return replace(
        machine,
        entry=machine.entry.model_copy(update=entry),
        power_supply=supply.model_copy(update=said),
        inside=inside,
    )


def name_of(machines: int, machine: Machine, receptacle: str) -> str:
    """A board receptacle's receptacle id."""
    return receptacle if machines == 1 else f"{machine.id}/{receptacle}"


def alike(table: Table, parts: Sequence[Part], maker: Maker) -> Part | None:
    """One that is there already, to make another of its kind."""
    made = [part for part in parts if part.spec.id.startswith(f"{maker.__name__}-")]
    whole = [part for part in made if not part.companion_of and part.spec.plug.form != "opening"]
    simple = [
        part for part in whole if maker not in (expander, wide_expander)
    ]  # its plugs are parts of their own
    return simple[0] if simple and table.chance(50) else None


def groups(table: Table, parts: Sequence[Part], percent: int) -> tuple[Group, ...]:
    """Parts to keep together, or apart."""
    if len(parts) < 2 or not table.is_about("company", "machines") or not table.chance(percent):
        return ()
    part_ids = table.dice.sample([part.id for part in parts if not part.companion_of], 2)
    return (Group(parts=tuple(part_ids), by=table.pick(*get_args(Scope))),)


def today(table: Table, parts: Sequence[Part], names: Sequence[str]) -> dict[str, str]:
    """Where some parts sit now."""
    if not table.is_about("today"):
        return {}
    places = table.dice.sample(list(names), min(len(names), len(parts)))
    return {part.id: place for part, place in zip(parts, places, strict=False)}


def retired(table: Table, things: Sequence[Part | Machine]) -> tuple[str, ...]:
    """A machine or a part that leaves."""
    leaves = table.is_about("machines", "optional") and table.chance(20)
    return (table.pick(*things).id,) if leaves else ()


def preferences(table: Table) -> tuple[Any, ...]:
    """The usual order, or some of it in another."""
    if table.chance(60):
        return DEFAULT_STAGES
    count = table.dice.randint(3, len(DEFAULT_STAGES))
    return tuple(table.dice.sample(list(DEFAULT_STAGES), count))
