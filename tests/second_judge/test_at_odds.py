"""What the hardware does not do, and nobody may plan with: found by reading the pages."""

from __future__ import annotations

import json
from typing import Any

from slotfit import api
from tests.second_judge.answers import answer_to

Facts = dict[str, Any]


def build_with(receptacles: list[Facts], groups: list[Facts], parts: list[Facts]) -> str:
    board = {
        "kind": "board",
        "id": "board",
        "processors": [{"id": "cpu0"}],
        "rows": [{"id": "rear", "positions": 2}],
        "receptacles": receptacles,
        "lane_groups": groups,
    }
    machine = {"id": "machine", "board": board}
    return json.dumps({"kind": "build", "id": "odd", "machines": [machine], "parts": parts})


def slot(number: int) -> Facts:
    place = {"row": "rear", "position": number - 1, "power_w": 75}
    return {"id": f"slot{number}", "form": "cem", "width": 16} | place


def card(plug: str, links: str | list[Facts], **more: Any) -> Facts:
    body = {"thickness": 1, "power": {"slot_w": 9}, "cooling": "none", "generation": 3}
    return (
        {"kind": "part", "id": f"card-{plug.split()[1]}", "plug": plug, "links": links}
        | body
        | more
    )


def lanes_of(answer: Facts) -> dict[str, list[int]]:
    """Part -> lanes that each of its links trains at."""
    return {
        seat["item"]: [link["trains"]["lanes"] for link in seat["links"]]
        for seat in answer["plan"]["seats"]
    }


def test_a_row_that_gives_a_slot_nothing_does_not_hold_while_a_card_is_in_it() -> None:
    """Any card takes the lanes, one that only wants power as well (docs/explanation/lanes.md)."""
    rows = [{"slot1": [16]}, {"slot1": [8], "slot2": [8]}, {"slot2": [16]}]
    arrangements = [{"gives": row, "chosen_by": "presence", "proof": "documented"} for row in rows]
    group = {"id": "port", "from": "cpu0", "generation": 3, "arrangements": arrangements}
    parts: list[Facts] = [
        {"id": "expander", "pin": "slot1", "part": card("cem x4", [])},
        {"id": "gpu", "pin": "slot2", "part": card("cem x16", "x16")},
    ]
    answer = answer_to(build_with([slot(1), slot(2)], [group], parts))
    assert lanes_of(answer)["gpu"] == [8]


def test_two_drives_never_share_the_lanes_of_one_segment() -> None:
    """A segment trains as one link (docs/explanation/lanes.md); a mistake does as well."""
    sockets = [{"id": name, "form": "m2-m", "drive_lengths": [80], "power_w": 9} for name in "ab"]
    wire = [{"at": 0, "lanes": 8, "to": ["a", "b"]}]
    drive = {"kind": "part", "id": "drive", "plug": "m2-m", "links": "x4", "generation": 3}
    drive |= {"length_mm": 80, "power": {"slot_w": 5}, "class": "drive"}
    parts: list[Facts] = [
        {"id": "carrier", "part": card("cem x8", wire, receptacles=sockets)},
        {"id": "drive", "count": 2, "part": drive},
    ]
    alone = slot(1) | {"from": "cpu0", "generation": 3, "lanes": 8, "splits": []}
    text = build_with([alone], [], parts)
    try:
        answer = answer_to(text)
    except api.InputError:
        return
    assert answer["verdict"]["status"] == "impossible"


def test_todays_setting_stays_where_nothing_has_a_place() -> None:
    """Today's arrangement counts as the first (docs/explanation/preferences.md, the tie-break)."""
    ways = [{"slot1": [16]}, {"slot1": [8], "slot2": [8]}]
    arrangements = [
        {"id": f"way{number}", "gives": way, "proof": "documented"}
        for number, way in enumerate(ways)
    ]
    group = {"id": "port", "from": "cpu0", "generation": 3, "arrangements": arrangements}
    drive = {"kind": "part", "id": "drive", "plug": "m2-m", "links": "x4"}
    parts: list[Facts] = [{"id": "spare", "required": False, "part": drive}]
    text = build_with([slot(1), slot(2)], [group], parts)
    today = {"sequence": {"settings_today": {"machine/port": "way1"}}}
    answer = answer_to(json.dumps(json.loads(text) | today))
    gives = dict(answer["plan"]["groups"][0]["division"]["gives"])
    assert gives == {"slot1": "x8", "slot2": "x8"}
