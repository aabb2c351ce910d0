"""
Random small rebuilds: invented boards and parts, two layouts, and what is asked for between them.

Both layouts are drawn; whether they can be at all is for those who use them to say.
"""

from __future__ import annotations

import json
from dataclasses import dataclass, field
from random import Random
from typing import Any

from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem

Described = dict[str, Any]


@dataclass
class Size:
    """How large a rebuild is at most."""

    machines: int = 2
    slots: int = 2
    sockets: int = 1
    cards: int = 2
    carriers: int = 1
    drives: int = 2


@dataclass
class Rebuild:
    """A build file in the making."""

    dice: Random
    size: Size
    machines: list[Described] = field(default_factory=list)
    parts: list[Described] = field(default_factory=list)
    forms: dict[str, list[str]] = field(default_factory=lambda: {"cem": [], "m2-m": []})
    """Form -> receptacles of that form."""
    plugs: dict[str, str] = field(default_factory=dict)
    """Part -> form of its plug."""

    def chance(self, percent: int) -> bool:
        """Yes in so many of a hundred."""
        return self.dice.randrange(100) < percent


def rebuild(dice: Random, size: Size | None = None) -> Problem:
    """A random rebuild."""
    made = Rebuild(dice, size or Size())
    count = made.size.machines if made.chance(85) else 1
    for number in range(count):
        made.machines.append(machine(made, f"m{number + 1}", count))
    add_parts(made)
    today, goal = layout(made, 90), carried(made, layout(made, 75))
    retire = [one["id"] for one in made.parts if one["id"] not in goal]
    content = {
        "kind": "build",
        "id": "drawn",
        "machines": made.machines,
        "parts": made.parts,
        "today": today,
        "retire": retire,
        "sequence": asked(made, today, goal),
    }
    if made.chance(50):
        swap_while_running(made)
    return load_build_text(json.dumps(content), Catalog(()), "drawn.yaml")


def swap_while_running(made: Rebuild) -> None:
    """Places that take a part while the machine runs, do not, or do not say."""
    described = [*(one["board"] for one in made.machines), *(one["part"] for one in made.parts)]
    for one in (one for part in described for one in part.get("receptacles", ())):
        one["live_swap"] = made.dice.choice((True, True, False, None))


def undivided_first(lanes: int, divided: list[str]) -> list[str]:
    """What a menu lists."""
    return [f"x{lanes}", *divided] if divided else []


def machine(made: Rebuild, name: str, machines: int) -> Described:
    """A board with a few slots and sockets."""
    receptacles: list[Described] = []
    for number in range(
        made.dice.randint(1, made.size.slots) if made.chance(30) else made.size.slots
    ):
        lanes = made.dice.choice((16, 8, 8, 4))
        splits = [["x4x4x4x4", "x8x8"], ["x4x4"], ["x4x4"], []][(16, 8, 8, 4).index(lanes)]
        receptacles.append(
            {
                "id": f"slot{number + 1}",
                "form": "cem",
                "width": made.dice.choice((lanes, 16)),
                "open_end": True,
                "behind_mm": 100,
                "lanes": lanes,
                "generation": made.dice.choice((3, 4)),
                "splits": undivided_first(lanes, [one for one in splits if made.chance(70)]),
                "row": "rear",
                "position": number,
                "power_w": 75,
            }
        )
    receptacles += [
        {"id": f"m2_{number + 1}", "form": "m2-m", "lanes": 4, "generation": 4}
        | {"splits": [], "power_w": 14}
        for number in range(made.dice.randint(0, made.size.sockets))
    ]
    for one in receptacles:
        made.forms[one["form"]].append(one["id"] if machines == 1 else f"{name}/{one['id']}")
    board = {
        "kind": "board",
        "id": f"board-{name}",
        "processors": [{"id": "cpu0"}],
        "rows": [{"id": "rear", "positions": made.size.slots + 1}],
        "receptacles": receptacles,
    }
    steer(made, board)
    described: Described = {"id": name, "board": board, "base_w": 50}
    if made.chance(25):
        watts = made.dice.choice((65, 75, 90))  # little is left for cards of up to 20 W
        described["power_supply"] = {"id": f"supply-{name}", "watts": watts, "plugs": {}}
    return described


def steer(made: Rebuild, board: Described) -> None:
    """Sometimes the second slot draws half of the first one's lanes once something is in it."""
    slots = [one for one in board["receptacles"] if one["form"] == "cem"]
    if len(slots) < 2 or not made.chance(25):
        return
    for slot in slots[:2]:
        for key in ("lanes", "splits", "generation"):
            del slot[key]
        slot["width"] = 16
    ways = [{"slot1": [16]}, {"slot1": [8], "slot2": [8]}]
    board["lane_groups"] = [
        {
            "id": "shared",
            "from": "cpu0",
            "generation": made.dice.choice((3, 4)),
            "arrangements": [
                {"gives": gives, "chosen_by": "presence", "proof": "documented"} for gives in ways
            ],
        }
    ]


def add_parts(made: Rebuild) -> None:
    """Cards, carriers, drives."""
    dice, size = made.dice, made.size
    for number in range(dice.randint(1, size.cards)):
        lanes = dice.choice((4, 8, 16))
        add(made, f"card{number + 1}", f"cem x{lanes}", lanes, thickness=dice.choice((1, 1, 1, 2)))
    for number in range(dice.randint(0, size.carriers)):
        name = f"carrier{number + 1}"
        switch = made.chance(30)
        said: Described = {"links": "x8", "wiring": "switch"} if switch else {"links": "x4x4"}
        add(made, name, "cem x8", 8, **said, **{"class": "carrier"})
        made.parts[-1]["part"]["receptacles"] = [
            {"id": socket, "form": "m2-m", "power_w": 14} | ({"lanes": 4} if switch else {})
            for socket in ("a", "b")
        ]
        made.forms["m2-m"] += [f"{name}/a", f"{name}/b"]
    for number in range(dice.randint(0, size.drives)):
        add(made, f"drive{number + 1}", "m2-m", 4, **{"class": "drive"})


def add(made: Rebuild, name: str, plug: str, lanes: int, **said: Any) -> None:
    """One part."""
    part = {
        "kind": "part",
        "id": f"some-{name}",
        "class": "other",
        "plug": plug,
        "links": f"x{lanes}",
        "generation": 4,
        "thickness": 1,
        "min_lanes": made.dice.choice((1, 1, lanes)) if "links" not in said else None,
        "power": {"slot_w": made.dice.choice((2, 8, 20)) if plug.startswith("cem") else 5},
        "cooling": "none",
        "bracket": "none",
        "demand": made.dice.choice((0.5, 2, 5)),
    } | said
    if "links" in said:
        del part["min_lanes"], part["demand"]
    made.parts.append({"id": name, "part": part})
    made.plugs[name] = plug.split(maxsplit=1)[0]


def layout(made: Rebuild, percent: int) -> dict[str, str]:
    """Each part in some receptacle of its form, or in none."""
    places: dict[str, str] = {}
    for name, form in made.plugs.items():
        free = [one for one in made.forms[form] if one not in places.values()]
        free = [one for one in free if not one.startswith(f"{name}/")]
        if free and made.chance(percent):
            places[name] = made.dice.choice(free)
    return places


def carried(made: Rebuild, places: dict[str, str]) -> dict[str, str]:
    """Without what would lie on a part that has no place."""
    owners = {name: receptacle.split("/")[0] for name, receptacle in places.items()}
    return {
        name: receptacle
        for name, receptacle in places.items()
        if owners[name] in places or owners[name] not in made.plugs
    }


def asked(made: Rebuild, today: dict[str, str], goal: dict[str, str]) -> Described:
    """Demands of every kind, each in some of the rebuilds."""
    dice, names = made.dice, list(made.plugs)
    wanted: Described = {"goal": goal, "most_windows": 4, "at_once": 2 if made.chance(25) else 1}
    if len(names) > 1 and made.chance(50):
        source, target = dice.sample(names, 2)
        copy: Described = {"from": source, "to": target}
        if made.chance(30):
            copy["over"] = "network"
            copy |= {"through": dice.sample(names, 1)} if made.chance(50) else {}
        wanted["copies"] = [copy]
    if today and made.chance(60):
        service: Described = {"id": "files", "needs": dice.sample(list(today), 1)}
        service |= {"may_be_down": dice.choice((0, 0, 1))}
        service |= {"windows": sorted(dice.sample((1, 2, 3, 4), 2))} if made.chance(30) else {}
        wanted["services"] = [service]
    if len(today) > 1 and made.chance(35):
        wanted["mirrors"] = [{"parts": dice.sample(list(today), 2)}]
    new = [name for name in names if name not in today]
    if new and made.chance(40):
        wanted["arrivals"] = {dice.choice(new): dice.randint(1, 3)}
    return wanted
