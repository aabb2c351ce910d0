"""
Random small builds as texts of build files, each from its number alone.

Nothing of the package and of the other tests is used here, so that the same number gives the same
build whatever becomes of them. Each build has a theme that makes one kind of trouble likely.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Iterator, Mapping
from dataclasses import dataclass, field
from random import Random
from typing import Any, TypeVar

THEMES = (
    "lanes",
    "thickness",
    "plugs",
    "supply",
    "sharing",
    "guests",
    "nesting",
    "cables",
    "machines",
    "unknown",
    "wishes",
    "air",
    "today",
    "rebuild",
    "rebuild",
)

HOLDING = ("machines", "today", "rebuild")
"""Parts sit somewhere already, and had better be able to."""

Said = dict[str, Any]
"""What a file says of a thing."""

Thing = TypeVar("Thing")


@dataclass
class Table:
    """Dice, and what has been drawn so far."""

    dice: Random
    theme: str
    rarer: int = 1
    """Trouble is so many times as rare, so that parts can be placed together."""
    places: dict[str, list[str]] = field(default_factory=dict)
    """Form -> receptacles of that form, as a build file names them."""
    forms: dict[str, str] = field(default_factory=dict)
    """Part -> form of its plug."""
    machines: list[str] = field(default_factory=list)
    parts: list[Said] = field(default_factory=list)

    @property
    def gentle(self) -> bool:
        return self.rarer > 1

    def is_about(self, *themes: str) -> bool:
        return self.theme in themes

    def chance(self, percent: int, *themes: str) -> bool:
        """Yes in so many of a hundred; in four times as many where the theme says so."""
        often = percent * (4 if self.theme in themes else 1)
        return self.dice.randrange(100 * self.rarer) < often

    def odds(self, yes: int, cases: int) -> bool:
        """Yes in so many of so many cases, whatever the theme."""
        return self.dice.randrange(cases) < yes

    def pick(self, *things: Thing) -> Thing:
        return things[self.dice.randrange(len(things))]

    def some(self, things: list[Thing], count: int) -> list[Thing]:
        """So many of them, in any order."""
        left = list(things)
        return [left.pop(self.dice.randrange(len(left))) for _ in range(min(count, len(left)))]


def drawn(seed: int) -> str:
    """The build file of this number."""
    dice, theme = Random(f"yardstick {seed}"), THEMES[seed % len(THEMES)]
    rarer = 10 if theme in HOLDING else (1, 3)[dice.randrange(100) < 45]
    table = Table(dice, theme, rarer)
    return text_of(build(table, f"drawn-{seed}"))


def said(**facts: Any) -> Said:
    """What is said of a thing: what is None is not said."""
    return {key.rstrip("_"): value for key, value in facts.items() if value is not None}


# --- boards ------------------------------------------------------------------


def slot(table: Table, number: int, source: str, **more: Any) -> Said:
    """A slot of the row, with lanes of its own unless `more` takes them away."""
    unknown = table.is_about("unknown")
    width = table.pick(16) if table.gentle else table.pick(4, 8, 16, 16, 16)
    lanes = min(width, table.pick(4, 8, 16, 16))
    facts = {
        "id": f"slot{number}",
        "form": "cem",
        "width": width,
        "open_end": table.pick(True, False, None) if table.chance(12, "unknown") else width < 8,
        "behind_mm": table.pick(None, 20, 60) if unknown else 60,
        "row": "rear",
        "position": number - 1,
        "power_w": table.pick(10, 25, None) if table.chance(8, "supply", "unknown") else 75,
        "height_mm": table.pick(70, 120) if table.chance(4) else None,
        "length_mm": table.pick(170, 300) if table.chance(4, "thickness") else None,
        "isolation": table.pick("a", "a", "b", f"s{number}", None)
        if table.is_about("guests")
        else None,
        "blocked_by": [f"slot{number - 1}"] if number > 1 and table.chance(3, "sharing") else None,
        "from": None if unknown and table.chance(25) else source,
        "lanes": lanes,
        "generation": None if unknown and table.chance(25) else table.pick(3, 4),
        "splits": splits(table, lanes),
        "label_order": table.pick("low-first", "high-first", None),
        "reversed": table.pick(False, None) if unknown else False,
    }
    return said(**{key.replace("from", "from_"): value for key, value in (facts | more).items()})


def splits(table: Table, lanes: int) -> list[Any] | None:
    """Ways to divide a slot's lanes; None if nobody has said."""
    if table.chance(5, "unknown"):
        return None
    ways = {16: ["x8x8", "x4x4x4x4", "x8x4x4"], 8: ["x4x4"]}.get(lanes, [])
    found: list[Any] = []
    for way in ways:
        if table.gentle or table.chance(20, "lanes", "nesting"):
            known = table.pick("documented", "documented", "seen", "menu-only", "refuted")
            found.append(way if known == "documented" else {"split": way, "proof": known})
    return [f"x{lanes}", *found] if found else []


def pair(table: Table, number: int, source: str) -> tuple[list[Said], Said]:
    """Two slots that share sixteen lanes, by presence or by a setting."""
    none = {"lanes": None, "splits": None, "generation": None, "from": None}
    none |= {"label_order": None, "reversed": None}
    first = slot(table, number, source, width=16, **none)
    second = slot(table, number + 1, source, width=table.pick(8, 16), **none)
    one, two = str(first["id"]), str(second["id"])
    by = table.pick("setting", "presence")
    ways = [{one: [16]}, {one: [8], two: [8]}, {two: [8]}, {one: [8], two: [4, 4]}]
    start = table.pick(0, 0, 1)
    chosen = ways[start : table.pick(2, 3, 4)]
    proofs = [table.pick("documented", "documented", "menu-only") for _ in chosen]
    arrangements = [
        {"gives": way, "chosen_by": by, "proof": proof}
        for way, proof in zip(chosen, proofs, strict=True)
    ]
    group = {"id": f"g{number}", "from": source, "generation": table.pick(3, 4)}
    return [first, second], group | {"arrangements": arrangements}


def sockets(table: Table, source: str) -> Iterator[Said]:
    """What a board has beside its slots."""
    for number in range(table.pick(0, 1, 2)):
        lengths = table.pick([80], [80, 110], None) if table.is_about("unknown") else [80, 110]
        yield said(
            id=f"m2_{number + 1}",
            form="m2-m",
            drive_lengths=lengths,
            power_w=9 if table.gentle else table.pick(7, 9),
            from_=source,
            lanes=table.pick(2, 4, 4),
            generation=table.pick(3, 4),
            splits=[],
        )
    if table.is_about("cables"):
        yield said(
            id="header",
            form=table.pick("slimsas-8", "slimsas-8", "mcio-8"),
            run_mm=table.pick(300, 450, 600, None),
            from_=source,
            lanes=8,
            generation=table.pick(3, 4),
            splits=table.pick(["x8", "x4x4"], ["x8", "x4x4"], []),
        )
        if table.chance(50):
            yield {"id": "sata1", "form": "sata", "from": source, "power_w": 10}
    if table.chance(20, "thickness"):
        yield {"id": "gap", "form": "opening", "row": "rear", "position": 1}


def board(table: Table, name: str, slots: int) -> Said:
    """A board of so many slots."""
    sources = ["cpu0", "cpu0", "cpu1"] if table.chance(20, "wishes") else ["cpu0", "cpu0", "hub"]
    receptacles: list[Said] = []
    groups: list[Said] = []
    number = 1
    while number <= slots:
        source = table.pick(*sources)
        if number < slots and table.chance(15, "sharing"):
            both, group = pair(table, number, source)
            receptacles += both
            groups.append(group)
            number += 2
        else:
            receptacles.append(slot(table, number, source))
            number += 1
    receptacles += sockets(table, table.pick(*sources))
    hub = {"id": "hub", "from": "cpu0", "generation": 3, "lanes": table.pick(1, 2, 4)}
    return said(
        kind="board",
        id=f"board-{name}",
        size=None if table.chance(3, "unknown") else "atx",
        processors=[{"id": "cpu0"}, {"id": "cpu1"}],
        hubs=[hub | {"background_gb_s": table.pick(0, 0.4)}],
        rows=[{"id": "rear", "positions": slots + table.pick(0, 1)}],
        lane_groups=groups or None,
        receptacles=receptacles,
    )


def machine(table: Table, name: str) -> Said:
    """The board in its chassis, with its supply."""
    slots = table.pick(2, 2, 3) if len(table.machines) > 1 else table.pick(3, 3, 4, 5)
    unknown = table.is_about("unknown")
    low = table.chance(4)
    chassis = said(
        id=f"case-{name}",
        sizes=["atx"],
        openings=slots + (table.pick(0, -1) if table.chance(5, "thickness") else 1),
        bracket="low" if low else "full",
        card_length_mm=table.pick(200, 300, None) if table.chance(8, "unknown") else 320,
        card_height_mm=table.pick(105, None) if table.chance(4, "unknown") else 120,
        airflow_lfm=table.pick(0, 100, None) if table.chance(12, "air", "unknown") else 300,
        bays={"2.5": table.pick(0, 1, 2), "3.5": table.pick(0, 1)} if not unknown else None,
    )
    plugs = {"pcie-8": 3, "pcie-6": 1, "molex-4": 2, "sata-power": 2}
    if table.is_about("plugs"):
        plugs = {"pcie-8": table.pick(0, 1, 2, 3), "pcie-6": table.pick(0, 1, 2)}
    scarce = table.is_about("supply") or table.chance(10)
    supply = said(
        id=f"supply-{name}",
        watts=table.pick(120, 160, 260) if scarce else 900,
        plugs=None if table.chance(3, "unknown", "plugs") else plugs,
    )
    return said(
        id=name,
        board=board(table, name, slots),
        chassis=None if unknown and table.chance(25) else chassis,
        power_supply=None if unknown and table.chance(25) else supply,
        base_w=None if unknown and table.chance(40) else 60,
        supply_limit_percent=80 if table.chance(10, "supply") else None,
        processors=["cpu0"] if table.chance(5, "wishes") else None,
    )


# --- parts -------------------------------------------------------------------


def card(table: Table, **more: Any) -> Said:
    """A card with one link."""
    width = table.pick(1, 4, 4, 8, 8) if table.gentle else table.pick(1, 4, 8, 8, 16)
    unknown = table.is_about("unknown")
    thick = table.pick(1, 2, 2, 3) if table.chance(10, "thickness") else 1
    facts: Said = {
        "plug": f"cem x{width}",
        "links": f"x{width}",
        "generation": None if unknown and table.chance(20) else table.pick(3, 4),
        "thickness": None if unknown and table.chance(20) else thick,
        "length_mm": None
        if unknown and table.chance(20)
        else table.pick(120, 120, 200, 200 if table.gentle else 310),
        "height_mm": table.pick(68.9, 111.15, 111.15),
        "bracket": table.pick("full", "low", "both", None) if table.chance(6) else "both",
        "power": None if unknown and table.chance(20) else draw(table, width),
        "cooling": table.pick("none", "fan", None) if table.chance(6, "unknown") else "none",
        "demand": table.pick(None, 1, 3, {"in_gb_s": 0.5, "out_gb_s": 6}),
        "min_lanes": table.pick(4, 8) if table.chance(5, "lanes") else None,
        "min_generation": table.pick(3, 4) if table.chance(2, "lanes") else None,
    }
    return facts | more


def draw(table: Table, width: int) -> Said:
    """What a card draws; hungry ones need plugs."""
    slot_w = 9 if table.gentle else table.pick(9, 20, 25, 66 if width == 16 else 24)
    if not table.chance(16, "plugs", "supply"):
        return {"slot_w": slot_w}
    aux = table.pick(["pcie-8"], ["pcie-8"], ["pcie-6"], ["pcie-8", "pcie-6"], ["12v-2x6"])
    aux_w = table.pick(50, 120, 120, None)
    if aux == ["pcie-6"] and aux_w:
        aux_w = min(aux_w, 75)  # ATX 336521 Table 3-5, as quoted: more is no part
    return said(slot_w=slot_w, aux=aux, aux_w=aux_w)


def two_endpoints(table: Table) -> Said:
    """Two endpoints on one card, which only a divided slot shows both of."""
    return card(table, plug="cem x16", links="x8x8", min_lanes=None)


def power_only(table: Table) -> Said:
    """A card that takes power and room, no lanes."""
    return card(table, plug="cem x4", links=[], min_lanes=None, min_generation=None, demand=None)


def passive_card(table: Table) -> Said:
    """A card that needs air which something else moves."""
    needs = table.pick(80, 200, 400, None)
    mount = {"id": "mount", "form": "cooling-mount"}
    return card(table, cooling="passive", airflow_lfm=needs, receptacles=[mount])


def blower(table: Table) -> Said:
    """An air mover that is mounted on a card."""
    return {
        "class": "air-mover",
        "plug": "cooling-mount",
        "gives_airflow_lfm": table.pick(150, 400),
        "adds_length_mm": table.pick(60, 200),
        "power": {"slot_w": 0},
    }


def bracket_only(table: Table) -> Said:
    """Sockets on a bracket: no card edge."""
    return {
        "plug": "opening",
        "thickness": table.pick(1, 1, 2),
        "bracket": table.pick("full", "low", "both"),
        "power": {"slot_w": 0},
    }


def sockets_on(count: int, **more: Any) -> list[Said]:
    """M.2 sockets on a part."""
    one = {"form": "m2-m", "drive_lengths": [80], "power_w": 9}
    return [{"id": f"s{number}", **one, **more} for number in range(count)]


def carrier(table: Table) -> Said:
    """A passive carrier of M.2 drives."""
    count, width = table.pick((2, 8), (2, 16), (4, 16))
    links = [{"at": 4 * number, "lanes": 4, "to": [f"s{number}"]} for number in range(count)]
    made = card(table, plug=f"cem x{width}", links=links, receptacles=sockets_on(count))
    plain = {"power": {"slot_w": 1}, "demand": None, "min_lanes": None, "min_generation": None}
    return made | plain | {"class": "carrier"}


def switch_carrier(table: Table) -> Said:
    """A carrier whose switch shares one link among its drives."""
    made = card(
        table,
        plug="cem x8",
        links=table.pick("x4", "x8"),
        wiring="switch",
        receptacles=sockets_on(2, lanes=4),
        isolates_guests=table.pick(True, False, None),
    )
    return made | {"class": "carrier", "demand": None, "min_lanes": None, "generation": 3}


def riser(table: Table) -> Said:
    """A riser with one slot, or two that share its lanes."""
    count = table.pick(1, 1, 2)
    links = [{"at": 8 * number, "lanes": 8, "to": [f"r{number}"]} for number in range(count)]
    slots = [
        {"id": f"r{number}", "form": "cem", "width": 16, "open_end": False, "row": "in"}
        | {"position": number, "power_w": table.pick(10, 25, 75), "length_mm": 320}
        | {"height_mm": 120, "bracket": "full"}
        for number in range(count)
    ]
    plain = {"power": None, "demand": None, "min_lanes": None, "bracket": "none"}
    made = card(table, plug="cem x16", links=links, receptacles=slots, min_generation=None)
    return made | plain | {"class": "riser", "row_positions": count + table.pick(0, 1)}


def slot_adapter(table: Table) -> Said:
    """An M.2 module with a slot on it."""
    top = said(
        id="top",
        form="cem",
        width=table.pick(4, 4, 16),
        open_end=table.pick(True, True, False, None),
        behind_mm=table.pick(60, 60, None),
        power_w=table.pick(10, 25, None),
    )
    return {
        "class": "adapter",
        "plug": "m2-m",
        "links": [{"at": 0, "lanes": 4, "to": ["top"]}],
        "receptacles": [top],
        "generation": table.pick(3, 4, None),
        "length_mm": 80,
        "power": table.pick(None, {"slot_w": 0, "aux": ["sata-power"], "aux_w": 25}),
    }


def nvme(table: Table) -> Said:
    """An M.2 drive."""
    return {
        "class": "drive",
        "plug": "m2-m",
        "links": "x4",
        "generation": table.pick(3, 4),
        "length_mm": 80 if table.gentle else table.pick(80, 80, 110),
        "power": {"slot_w": table.pick(5, 8)},
        "demand": table.pick(None, {"in_gb_s": 1, "out_gb_s": 3}),
    }


def sas_ports(table: Table, name: str, count: int) -> list[Said]:
    """Ports for cables of four SAS lanes."""
    port = {"form": "sff-8643", "bus": "sas", "lanes": 4, "generation": 3}
    runs = [table.pick(300, 400, 600) for _ in range(count)]
    return [{"id": f"{name}{n}", "run_mm": run, **port} for n, run in enumerate(runs)]


def host_adapter(table: Table) -> Said:
    """A controller with one or two SAS ports."""
    ports = sas_ports(table, "p", table.pick(1, 2))
    return card(table, wiring="controller", receptacles=ports) | {"class": "host-bus-adapter"}


def expander(table: Table) -> Said:
    """A card that takes power from a slot and its lanes over a plug of its own."""
    up = {"id": "up", "plug": "sff-8643", "links": [{"lanes": 4, "bus": "sas"}]}
    made = power_only(table) | {"class": "sas-expander", "wiring": "switch", "cooling": "none"}
    made |= {"receptacles": sas_ports(table, "d", 2)}
    return made | {"extra_plugs": [up | {"generation": 3, "feeds": ["d0", "d1"]}]}


def straight_cable(_: Table) -> Said:
    """A cable from one SAS port to another."""
    return {
        "class": "cable",
        "plug": "sff-8643",
        "links": [{"at": 0, "lanes": 4, "bus": "sas", "to": ["end"]}],
        "receptacles": [{"id": "end", "form": "sff-8643", "bus": "sas"}],
        "reach_mm": 500,
    }


def breakout(_: Table) -> Said:
    """A cable from a SAS port to two drives."""
    ends = [{"id": f"c{n}", "form": "sas", "bus": "sas", "power_w": 15} for n in range(2)]
    return {
        "class": "cable",
        "plug": "sff-8643",
        "links": [{"at": n, "lanes": 1, "bus": "sas", "to": [f"c{n}"]} for n in range(2)],
        "receptacles": ends,
        "reach_mm": 500,
    }


def disk(table: Table) -> Said:
    """A SATA or SAS disk."""
    bus = table.pick("sata", "sas")
    return {
        "class": "drive",
        "plug": bus,
        "links": [{"at": 0, "lanes": 1, "bus": bus}],
        "generation": 3,
        "power": {"slot_w": 9},
        "bay": table.pick("3.5", "2.5"),
        "demand": 0.25,
    }


def bay_cable(table: Table) -> Said:
    """A cable from a header to two drive bays."""
    ends = [{"id": f"b{n}", "form": table.pick("u2", "u3")} for n in range(2)]
    return {
        "class": "cable",
        "plug": table.pick("slimsas-8", "slimsas-8", "mcio-8"),
        "links": [{"at": 4 * n, "lanes": 4, "to": [f"b{n}"]} for n in range(2)],
        "receptacles": ends,
        "generation": table.pick(3, 4, None),
        "reach_mm": table.pick(500, 500, None),
    }


def bay_drive(table: Table) -> Said:
    """A 2.5-inch drive."""
    return {
        "class": "drive",
        "plug": table.pick("u2", "u3"),
        "links": "x4",
        "generation": table.pick(3, 4),
        "power": {"slot_w": table.pick(9, 25)},
        "bay": "2.5",
        "demand": table.pick(None, 2),
    }


Maker = Callable[[Table], Said]

LIKED: Mapping[str, tuple[Maker, ...]] = {
    "lanes": (two_endpoints, carrier, card, card),
    "sharing": (card, nvme, power_only, two_endpoints),
    "guests": (card, switch_carrier, nvme, nvme, card),
    "nesting": (carrier, nvme, riser, nvme, switch_carrier, slot_adapter),
    "air": (passive_card, blower, passive_card, card),
    "unknown": (card, riser, nvme, carrier, passive_card),
    "thickness": (card, card, bracket_only, power_only),
    "rebuild": (carrier, nvme, nvme, card, switch_carrier),
    "today": (card, carrier, nvme, nvme, power_only),
}
"""Theme -> what its parts are drawn from, the first ones more surely."""

CABLED: tuple[tuple[Maker, ...], ...] = (
    (host_adapter, breakout, disk, disk),
    (bay_cable, bay_drive, bay_drive, card),
    (host_adapter, expander, straight_cable, breakout, disk),
)

ANY: tuple[Maker, ...] = (card, card, card, two_endpoints, power_only, nvme)


def makers(table: Table) -> Iterator[Maker]:
    """What to make, part after part."""
    liked = table.pick(*CABLED) if table.is_about("cables") else LIKED.get(table.theme, ())
    for number in range(max(table.pick(2, 3, 3, 4, 5), len(liked) - 1)):
        if number < len(liked) and not table.chance(15):
            yield liked[number]
        else:
            yield table.pick(*(liked or ANY), *ANY[:2])


def add_parts(table: Table) -> None:
    """Parts with what is wished for them; sometimes two of a kind."""
    on_boards = [name for names in table.places.values() for name in names]
    for number, make in enumerate(makers(table), 1):
        name = f"{make.__name__.replace('_', '-')}-{number}"
        part = said(kind="part", id=f"some-{name}", **make(table))
        form = part["plug"].split()[0]
        twice = form == "m2-m" and "receptacles" not in part and table.chance(25)
        names = [f"{name}-1", f"{name}-2"] if twice else [name]
        asked_for = wish(table, name, part, on_boards)
        if twice:
            asked_for |= {"count": 2}
            asked_for.pop("pin", None)
        table.parts.append(asked_for)
        table.forms |= dict.fromkeys(names, form)
        for one in part.get("receptacles", []):
            table.places.setdefault(one["form"], []).append(f"{name}/{one['id']}")


def wish(table: Table, name: str, part: Said, places: list[str]) -> Said:
    """A part and what the build file asks for it."""
    facts: Said = {"id": name}
    if table.chance(8, "wishes"):
        facts |= {"required": False, "weight": table.pick(1, 2, 5)}
    if table.chance(8, "wishes"):
        near = table.pick("cpu0", "cpu1")
        several = len(table.machines) > 1
        facts["near"] = f"{table.pick(*table.machines)}/{near}" if several else near
        facts["must_be_near"] = table.chance(25)
    facts |= where(table, part, places)
    if table.is_about("machines") and table.chance(30):
        facts["machine"] = table.pick(*table.machines)
    if table.is_about("guests"):
        facts["guest"] = table.pick(None, "red", "red", "blue")
    if part["plug"].startswith("cem") and part["links"]:
        facts |= widths(table, part["links"])
    return {**said(**facts), "part": part}


def where(table: Table, part: Said, places: list[str]) -> Said:
    """Where a part is wished, or not wished."""
    fitting = table.places.get(part["plug"].split()[0], [])
    if fitting and table.chance(5, "wishes"):
        key, place = table.pick("pin", "pin", "only", "ban"), table.pick(*fitting)
        return {key: place if key == "pin" else [place]}
    return {"ban": [table.pick(*places)]} if table.chance(3, "wishes") else {}


def widths(table: Table, links: str | list[Said]) -> Said:
    """How wide a link is wished, and whether every endpoint is."""
    facts: Said = {}
    if table.chance(7, "lanes"):
        facts["min_lanes"] = table.pick(1, 4, 8)
    if len(links) > 1 and not isinstance(links, str) and table.chance(10, "nesting", "lanes"):
        facts["endpoints"] = len(links)
    return facts


# --- builds ------------------------------------------------------------------


def build(table: Table, name: str) -> Said:
    """Machines, parts, wishes, and where things are today."""
    two = table.is_about("machines") or (table.is_about("rebuild") and table.odds(1, 2))
    table.machines = ["m1", "m2"] if two else ["m1"]
    machines = [machine(table, one) for one in table.machines]
    for one in machines:
        for receptacle in one["board"]["receptacles"]:
            place = f"{one['id']}/{receptacle['id']}" if two else receptacle["id"]
            table.places.setdefault(receptacle["form"], []).append(place)
    add_parts(table)
    today = layout(table) if table.is_about(*HOLDING) else None
    names = list(table.forms)
    leaving = table.is_about("rebuild") and today and table.odds(1, 2)
    retired = table.some(sorted(today), 1) if today and leaving else []
    return said(
        kind="build",
        id=name,
        invented=True,
        machines=machines,
        parts=table.parts,
        together=group(table, names),
        apart=group(table, names),
        today=today or None,
        retire=retired or None,
        sequence=asked(table, today, retired) if today and table.is_about("rebuild") else None,
    )


def group(table: Table, names: list[str]) -> list[Said] | None:
    """Parts to keep together, or apart."""
    if len(names) < 2 or not table.chance(4, "wishes", "machines"):
        return None
    by = table.pick("machine", "processor", "lane-group", "carrier")
    return [{"parts": table.some(names, 2), "by": by}]


def layout(table: Table) -> dict[str, str]:
    """Each part in some receptacle of its form, or in none."""
    places: dict[str, str] = {}
    for name, form in table.forms.items():
        free = [one for one in table.places.get(form, []) if one not in places.values()]
        if free and table.odds(4, 5):
            places[name] = table.pick(*free)
    return places


def asked(table: Table, today: dict[str, str], retired: list[str]) -> Said:
    """Demands of every kind, each in some of the rebuilds."""
    names = [name for name in table.forms if name not in retired]
    seated = [name for name in names if name in today] or sorted(today)
    drives = [name for name in table.forms if table.forms[name] == "m2-m"]
    most = table.pick(1, 2, 4)
    wanted: Said = {"most_windows": most, "at_once": table.pick(1, 1, 1, 2)}
    if table.odds(1, 2) and seated[0] not in retired:
        one = table.pick(*seated)
        others = [place for place in table.places[table.forms[one]] if place != today[one]]
        here = [place for place in others if place.partition("/")[0] not in retired]
        wanted["goal"] = {one: table.pick(*here)} if here else {}
    if len(drives) > 1 and table.odds(2, 3):
        source, target = table.some(drives, 2)
        over = table.pick("machine", "machine", "network")
        wanted["copies"] = [{"from": source, "to": target, "over": over}]
    if table.odds(2, 3):
        service: Said = {"id": "files", "needs": table.some(seated, 1)}
        service |= {"may_be_down": table.pick(0, 0, 1)}
        service |= {"windows": table.pick([1, 2], [2, 3])} if table.odds(1, 3) else {}
        wanted["services"] = [service]
    if len(seated) > 1 and table.odds(1, 2):
        wanted["mirrors"] = [{"parts": table.some(seated, 2)}]
    new = [name for name in names if name not in today]
    if new and table.odds(1, 2):
        wanted["arrivals"] = {table.pick(*new): min(most, table.pick(1, 2, 3))}
    return wanted


# --- texts -------------------------------------------------------------------

LAID_OPEN = ("machines", "board", "hubs", "receptacles", "lane_groups", "parts", "today")
"""What is in these stands on lines of its own: one thing, one line."""


def text_of(content: Said) -> str:
    """A build as YAML, one machine's fact, receptacle, lane group or part a line."""
    return "\n".join(lines_of(content, "")) + "\n"


def lines_of(content: Mapping[str, Any], indent: str) -> Iterator[str]:
    """A mapping, key by key."""
    for key, value in content.items():
        if key not in LAID_OPEN:
            yield f"{indent}{key}: {json.dumps(value)}"
        elif isinstance(value, Mapping):
            yield f"{indent}{key}:"
            yield from lines_of(value, indent + "  ")
        else:
            yield f"{indent}{key}:"
            for one in value:
                yield from entry_of(key, one, indent + "  ")


def entry_of(key: str, one: Any, indent: str) -> Iterator[str]:
    """One entry of a list: machines are laid open further."""
    if key != "machines":
        yield f"{indent}- {json.dumps(one)}"
        return
    first, *rest = lines_of(one, indent + "  ")
    yield f"{indent}- {first.strip()}"
    yield from rest
