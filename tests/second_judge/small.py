"""
Small builds of which everything is known, drawn by dice, as texts of build files.

Each has little enough in it that every plan can be looked at.
"""

from __future__ import annotations

import json
from collections.abc import Callable, Mapping
from random import Random
from typing import Any

from tests.second_judge.build import STAGES

Facts = dict[str, Any]

SOURCES = ("cpu0", "cpu0", "cpu0", "cpu1", "cpu1", "hub", "hub", "low")


class Dice:
    """Dice of one number, and how many ways the lanes may still be divided."""

    def __init__(self, number: int) -> None:
        self.random = Random(f"small {number}")
        self.ways_left = 6

    def pick(self, *things: Any) -> Any:
        return self.random.choice(things)

    def chance(self, percent: int) -> bool:
        return self.random.randrange(100) < percent


def small_text(number: int) -> str:
    """The build file of this number."""
    dice = Dice(number)
    machines = [machine(dice, f"m{n}") for n in range(dice.pick(1, 1, 1, 2))]
    several = len(machines) > 1
    places = [
        f"{one['id']}/{here['id']}" if several else here["id"]
        for one in machines
        for here in one["board"]["receptacles"]
    ]
    parts = drawn_parts(dice, places, [one["id"] for one in machines])
    build: Facts = {"kind": "build", "id": f"small-{number}", "machines": machines, "parts": parts}
    build |= company(dice, parts)
    if dice.chance(25) and not any("receptacles" in one["part"] for one in parts):
        hand_to_guests(dice, build)
    if dice.chance(40):
        build["today"] = today(dice, parts, machines, several=several)
        build |= leaving(dice, build)
    if dice.chance(50):
        build["preferences"] = dice.random.sample(STAGES, dice.pick(3, 6, len(STAGES)))
    return json.dumps(build, indent=1)


# --- machines ----------------------------------------------------------------


def machine(dice: Dice, name: str) -> Facts:
    slots = dice.pick(3, 3, 4) if name == "m0" else 2
    plugs = {"pcie-8": dice.pick(1, 2), "pcie-6": dice.pick(0, 1)}
    chassis = {
        "id": f"case-{name}",
        "sizes": ["atx"],
        "openings": slots + dice.pick(0, 1, 1, 1),
        "bracket": dice.pick(*["full"] * 9, "low"),
        "card_length_mm": dice.pick(320, 320, 320, 200),
        "card_height_mm": dice.pick(120, 120, 120, 100),
        "airflow_lfm": dice.pick(300, 100),
        "bays": {"2.5": dice.pick(0, 1, 1), "3.5": dice.pick(0, 1, 1)},
    }
    supply = {"id": f"supply-{name}", "watts": dice.pick(250, 400, 900, 900), "plugs": plugs}
    supply["cables"] = []
    found: Facts = {
        "id": name,
        "board": board(dice, name, slots),
        "chassis": chassis,
        "power_supply": supply,
        "base_w": 60,
    }
    if dice.chance(10):
        found["supply_limit_percent"] = 80
    if dice.chance(8):
        found["processors"] = ["cpu0"]
    return found


def board(dice: Dice, name: str, slots: int) -> Facts:
    receptacles: list[Facts] = []
    groups: list[Facts] = []
    while len(receptacles) < slots:
        number = len(receptacles)
        if number + 2 < slots and dice.chance(15):
            receptacles += [bare_slot(dice, number + n) for n in range(3)]
            groups.append(triple(dice, number))
        elif number + 1 < slots and dice.chance(35):
            receptacles += [bare_slot(dice, number), bare_slot(dice, number + 1)]
            groups.append(pair(dice, number))
        else:
            receptacles.append(slot(dice, number))
    more, group = sockets(dice)
    receptacles += more
    groups += group
    hub = {"id": "hub", "from": dice.pick("cpu0", "cpu1"), "generation": dice.pick(2, 3)}
    hub |= {"lanes": dice.pick(1, 2, 4), "background_gb_s": dice.pick(0, 0.3)}
    below = {"id": "low", "from": "hub", "generation": 3, "lanes": dice.pick(1, 2)}
    return {
        "kind": "board",
        "id": f"board-{name}",
        "size": "atx",
        "processors": [{"id": "cpu0"}, {"id": "cpu1"}],
        "hubs": [hub, below] if dice.chance(50) else [hub | {"id": "low"}, hub],
        "rows": [{"id": "rear", "positions": slots + dice.pick(0, 1)}],
        "receptacles": receptacles,
        "lane_groups": groups,
    }


def bare_slot(dice: Dice, number: int) -> Facts:
    """A slot without lanes of its own."""
    found = {
        "id": f"slot{number + 1}",
        "form": "cem",
        "width": 16,
        "open_end": False,
        "row": "rear",
        "position": number,
        "power_w": dice.pick(75, 75, 75, 25),
        "speed_setting": False,
        "powered_without_processor": True,
    }
    if dice.chance(5) and number:
        found["blocked_by"] = [f"slot{number}"]
    return found


def slot(dice: Dice, number: int) -> Facts:
    """A slot with lanes of its own."""
    lanes = dice.pick(4, 8, 8, 16)
    width = dice.pick(16, 16, *[one for one in (4, 8) if one >= lanes])
    return bare_slot(dice, number) | {
        "width": width,
        "open_end": dice.chance(20),
        "behind_mm": dice.pick(0, 100),
        "from": dice.pick(*SOURCES),
        "lanes": lanes,
        "generation": dice.pick(2, 3, 3, 4),
        "label_order": dice.pick("low-first", "high-first"),
        "reversed": dice.chance(30),
        "splits": splits(dice, lanes),
    }


def splits(dice: Dice, lanes: int) -> list[Any]:
    others = {16: ["x8x8", "x8x4x4", "x4x4x4x4"], 8: ["x4x4"]}.get(lanes, [])
    if not others or dice.ways_left < 2 or dice.chance(30):
        return []
    dice.ways_left //= 2
    proof = dice.pick("documented", "seen", "menu-only", "refuted")
    other = dice.pick(*others)
    if dice.chance(10):
        return [{"split": f"x{lanes}", "proof": "refuted"}, other]
    return [f"x{lanes}", {"split": other, "proof": proof}]


def pair(dice: Dice, number: int) -> Facts:
    """Two slots that share lanes, by a setting or by what is plugged in."""
    one, two = f"slot{number + 1}", f"slot{number + 2}"
    dice.ways_left //= 2
    by = dice.pick("setting", "presence")
    ways: list[Facts] = [{one: [16]}, {one: [8], two: [8]}]
    if by == "setting" and dice.chance(40):
        ways.append({one: [8], two: [4, 4]})
    if by == "presence" and dice.chance(40):
        ways.append({two: [16]})
    proofs = ["documented", *(dice.pick("documented", "menu-only", "refuted") for _ in ways[1:])]
    if by == "presence":
        proofs = ["documented" for _ in ways]
    arrangements = [
        {"id": f"way{n}", "gives": gives, "chosen_by": by, "proof": proof}
        for n, (gives, proof) in enumerate(zip(ways, proofs, strict=True))
    ]
    found = {"id": f"g{number}", "from": dice.pick(*SOURCES), "generation": dice.pick(3, 4)}
    return found | {"arrangements": arrangements}


def triple(dice: Dice, number: int) -> Facts:
    """The manual's table of three slots; of some ways to fill them it may say nothing."""
    one, two, three = (f"slot{number + n}" for n in (1, 2, 3))
    rows: list[Facts] = [{one: [16]}, {one: [8], two: [8]}, {one: [8], two: [4], three: [4]}]
    if dice.chance(50):
        rows.append({one: [8], three: [4]})
    arrangements = [
        {"id": f"row{n}", "gives": gives, "chosen_by": "presence", "proof": "documented"}
        for n, gives in enumerate(rows)
    ]
    found = {"id": f"g{number}", "from": dice.pick(*SOURCES), "generation": dice.pick(3, 4)}
    return found | {"arrangements": arrangements}


def bay(dice: Dice) -> tuple[list[Facts], list[Facts]]:
    """A 2.5-inch bay with PCIe lanes, SATA and SAS, all or some of them."""
    here = {"id": "bay", "form": "u2", "bay": "2.5", "power_w": 25, "speed_setting": False}
    ways = [{"bay": [4]}, {"bay": [4, "sata"]}, {"bay": ["sas", "sas"]}, {"bay": ["sata"]}]
    arrangements = [
        {"id": f"bay{n}", "gives": gives, "proof": "documented"}
        for n, gives in enumerate(dice.random.sample(ways, 2))
    ]
    dice.ways_left //= 2
    group = {"id": "bays", "from": "hub", "generation": 3, "arrangements": arrangements}
    return [here | {"powered_without_processor": True}], [group]


def sockets(dice: Dice) -> tuple[list[Facts], list[Facts]]:
    """An M.2 socket and a SATA one, which may share lanes."""
    plain = {"speed_setting": False, "powered_without_processor": True}
    m2 = {"id": "m2", "form": "m2-m", "drive_lengths": dice.pick([80], [80, 110]), "power_w": 9}
    own = {"from": dice.pick(*SOURCES), "lanes": 4, "generation": 3, "splits": []}
    sata: Facts = {"id": "sata", "form": "sata", "power_w": 10} | plain
    kind = dice.pick("none", "m2", "m2", "shared", "bay")
    if kind == "none":
        return [], []
    if kind == "bay":
        return bay(dice)
    if kind == "m2":
        return [m2 | own | plain], []
    dice.ways_left //= 2
    by = dice.pick("setting", "presence")
    last = {"m2": [4]} if by == "presence" else {"m2": ["sata"], "sata": ["sata"]}
    arrangements = [
        {"gives": gives, "chosen_by": by, "proof": "documented"}
        for gives in ({"sata": ["sata"]}, last)
    ]
    group = {"id": "mixed", "from": "hub", "generation": 3, "arrangements": arrangements}
    return [m2 | plain, sata], [group]


# --- parts -------------------------------------------------------------------


def drawn_parts(dice: Dice, places: list[str], machines: list[str]) -> list[Facts]:
    makers = [card, card, card, twin, nvme, nvme, power_only]
    liked = dice.pick(*LIKED)
    found = []
    for number in range(dice.pick(2, 3, 3, 4)):
        make = liked[number] if number < len(liked) else dice.pick(*makers)
        name = f"{make.__name__.split('_')[0]}{number}"
        part = {"kind": "part", "id": f"a-{name}"} | make(dice)
        found.append(wish(dice, name, part, places, machines) | {"part": part})
        if make is nvme and len(found) < 3 and dice.chance(30):
            found[-1]["count"] = 2
    carriers = [one["id"] for one in found if one["part"].get("class") == "carrier"]
    if carriers and dice.chance(30) and found[-1]["part"]["plug"] == "m2-m":
        found[-1]["only"] = carriers[:1]
    if {"riser", "carrier"} <= {one["part"].get("class") for one in found}:
        slow_down(found)
    return found


def slow_down(parts: list[Facts]) -> None:
    """Over two passive pieces generation 4 is a doubt, which no build here is to have."""
    for one in parts:
        if one["part"].get("class") == "drive":
            one["part"]["generation"] = 3


def riser(dice: Dice) -> Facts:
    """A riser with a row of two slots."""
    slots = [
        {"id": f"r{n}", "form": "cem", "width": 16, "open_end": False, "row": "in"}
        | {"position": n, "power_w": dice.pick(25, 75), "length_mm": dice.pick(200, 320)}
        | {"height_mm": 120, "bracket": "full"}
        for n in range(2)
    ]
    links = [{"at": 8 * n, "lanes": 8, "to": [f"r{n}"]} for n in range(2)]
    found = borne(dice) | {"class": "riser", "plug": "cem x16", "bracket": "none"}
    return found | {"links": links, "receptacles": slots, "row_positions": dice.pick(2, 3)}


def bay_drive(dice: Dice) -> Facts:
    """A drive for a 2.5-inch bay of a board."""
    bus = dice.pick("pcie", "sata", "sas")
    lanes = dice.pick(2, 4) if bus == "pcie" else dice.pick(1, 2) if bus == "sas" else 1
    return {
        "class": "drive",
        "plug": "u2" if bus == "pcie" else bus,
        "links": [{"at": 0, "lanes": lanes, "bus": bus}],
        "generation": 3,
        "bay": "2.5",
        "power": {"slot_w": 9},
        "cooling": "none",
        "demand": dice.pick(0.25, 1, 3),
    }


def wish(
    dice: Dice, name: str, part: Mapping[str, Any], places: list[str], machines: list[str]
) -> Facts:
    """What is asked for one part."""
    found: Facts = {"id": name}
    if dice.chance(50):
        found |= {"required": False, "weight": dice.pick(1, 2, 5)}
    if dice.chance(25):
        found["near"] = f"{dice.pick(*machines)}/{dice.pick('cpu0', 'cpu1')}"
        found["must_be_near"] = dice.chance(10)
    if dice.chance(12):
        key = dice.pick("ban", "ban", "only")
        found[key] = sorted({dice.pick(*places) for _ in range(1 if key == "ban" else 4)})
    if len(machines) > 1 and dice.chance(20):
        found["machine"] = dice.pick(*machines)
    if isinstance(part["links"], str) and dice.chance(15):
        found["demand"] = dice.pick(0.5, 2, 5)
    if len(part["links"]) == 4 and dice.chance(25):  # x8x8
        found["endpoints"] = dice.pick(1, 2)
    return found


def card(dice: Dice) -> Facts:
    width = dice.pick(1, 4, 4, 8, 8, 16)
    aux = dice.pick([], [], [], ["pcie-8"], ["pcie-6"])
    found: Facts = {
        "plug": f"cem x{width}",
        "links": f"x{width}",
        "generation": dice.pick(2, 3, 4),
        "thickness": dice.pick(1, 1, 2),
        "length_mm": dice.pick(120, 120, 250),
        "height_mm": dice.pick(68.9, 111.15),
        "bracket": dice.pick(*["both"] * 9, "full", "full", "low"),
        "power": {"slot_w": dice.pick(9, 24, 24, 60 if width == 16 else 20)},
        "cooling": dice.pick("none", "fan", "fan", "fan", "blower", "passive"),
        "airflow_lfm": dice.pick(80, 80, 80, 200),
    }
    if aux:
        found["power"] |= {"aux": aux, "aux_w": dice.pick(40, 70), "plug_at": "end", "plug_mm": 0}
    if dice.chance(60):
        found["demand"] = dice.pick(1, 3, {"in_gb_s": 0.5, "out_gb_s": 6})
    if width == 8 and dice.chance(10):
        found |= {"min_lanes": dice.pick(4, 8), "min_generation": dice.pick(2, 3)}
    return found


def twin(dice: Dice) -> Facts:
    """Two endpoints on one card."""
    plug, links = dice.pick(("cem x8", "x4x4"), ("cem x16", "x8x8"))
    found = card(dice) | {"plug": plug, "links": links, "min_lanes": 1, "min_generation": 1}
    return found | dice.pick({}, {}, {}, {"min_lanes": 4}, {"min_lanes": 8}, {"min_generation": 3})


def power_only(dice: Dice) -> Facts:
    """A card that takes power and room."""
    found = card(dice) | {"plug": "cem x4", "links": []}
    return {
        key: value
        for key, value in found.items()
        if key not in {"demand", "min_lanes", "min_generation", "generation"}
    }


def m2_sockets() -> list[Facts]:
    one = {"form": "m2-m", "drive_lengths": [80], "power_w": 9}
    return [{"id": name} | one for name in ("a", "b")]


def passive_carrier(dice: Dice) -> Facts:
    links = [{"at": at, "lanes": 4, "to": [to]} for at, to in ((0, "a"), (4, "b"))]
    return borne(dice) | {"links": links, "receptacles": m2_sockets(), "makes_rails": ["3.3v"]}


def switch_carrier(dice: Dice) -> Facts:
    sockets = [one | {"lanes": 4} for one in m2_sockets()]
    return (
        borne(dice)
        | {"links": dice.pick("x4", "x8"), "wiring": "switch"}
        | {
            "receptacles": sockets,
            "generation": 3,
            "makes_rails": ["3.3v"],
        }
    )


def borne(dice: Dice) -> Facts:
    """A carrier's body."""
    body = {"plug": "cem x8", "generation": 4, "thickness": 1, "length_mm": 120}
    body |= {"height_mm": 68.9, "bracket": "both", "cooling": dice.pick("none", "fan")}
    return body | {"class": "carrier", "power": {"slot_w": 1}}


def nvme(dice: Dice) -> Facts:
    found: Facts = {
        "class": "drive",
        "plug": "m2-m",
        "links": "x4",
        "generation": dice.pick(3, 4),
        "length_mm": dice.pick(80, 80, 110),
        "power": {"slot_w": dice.pick(5, 8)},
        "cooling": "none",
    }
    if dice.chance(60):
        found["demand"] = {"in_gb_s": 1, "out_gb_s": 3}
    return found


def disk(dice: Dice) -> Facts:
    return {
        "class": "drive",
        "plug": "sata",
        "links": [{"at": 0, "lanes": 1, "bus": "sata"}],
        "generation": 3,
        "power": {"slot_w": 9},
        "bay": dice.pick("2.5", "3.5"),
        "cooling": "none",
        "demand": 0.25,
    }


LIKED: tuple[list[Callable[[Dice], Facts]], ...] = (
    [],
    [passive_carrier, nvme, nvme],
    [switch_carrier, nvme],
    [disk, nvme],
    [riser, card, card],
    [riser, passive_carrier, nvme],
    [bay_drive, bay_drive, card],
)

# --- what else is said -------------------------------------------------------


def company(dice: Dice, parts: list[Facts]) -> Facts:
    """Parts that belong together, or apart."""
    by = dice.pick("machine", "processor", "lane-group", "hub", "carrier")
    names = [one["id"] for one in parts if by != "carrier" or "receptacles" not in one["part"]]
    if len(names) < 2 or not dice.chance(30):
        return {}
    names = dice.random.sample(names, 2)
    return {dice.pick("together", "apart"): [{"parts": names, "by": by}]}


def leaving(dice: Dice, build: Facts) -> Facts:
    """What leaves, and how lanes are divided now."""
    found: Facts = {}
    if dice.chance(15):
        found["retire"] = [dice.pick(*build["parts"])["id"]]
    elif len(build["machines"]) > 1 and dice.chance(20):
        found["retire"] = ["m1"]
    settings = {
        f"{one['id']}/{group['id']}": dice.pick(*group["arrangements"])["id"]
        for one in build["machines"]
        for group in one["board"]["lane_groups"]
        if "id" in group["arrangements"][0] and dice.chance(50)
    }
    return found | ({"sequence": {"settings_today": settings}} if settings else {})


def hand_to_guests(dice: Dice, build: Facts) -> None:
    """Some parts to virtual machines; what shares an isolation group is known of all."""
    for one in build["machines"]:
        one["keeps"] = []
        one["board"]["devices"] = []
        for here in one["board"]["receptacles"]:
            here["isolation"] = dice.pick("a", "a", here["id"])
    for part in build["parts"]:
        if dice.chance(60):
            part["guest"] = dice.pick("red", "blue")


def today(
    dice: Dice, parts: list[Facts], machines: list[Facts], *, several: bool
) -> dict[str, str]:
    """Where some parts sit now."""
    free: dict[str, list[str]] = {}
    for one in machines:
        for here in one["board"]["receptacles"]:
            name = f"{one['id']}/{here['id']}" if several else here["id"]
            free.setdefault(here["form"], []).append(name)
    found = {}
    for part in parts:
        if "count" in part:
            continue
        left = free.get(part["part"]["plug"].split()[0], [])
        if left and dice.chance(70):
            found[part["id"]] = left.pop(dice.random.randrange(len(left)))
    return found
