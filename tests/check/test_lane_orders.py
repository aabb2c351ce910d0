"""
What is certain holds in either order of the lanes, and what is to be set reaches it.

Sources: EDK2-platforms (read in the source): IioRegs.h lists high lanes first, RootComplexNVParam.c
low lanes first, a header of PCIe complexes flips a port. One firmware reads all its labels
the same way.
"""

from __future__ import annotations

import json
import re
from random import Random

import pytest

from slotfit.answers.check.outcome import SeatOutcome
from slotfit.answers.check.question import LayoutModel, Question
from slotfit.answers.check.verdict import verdicts
from slotfit.hardware.order import first_lanes
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.load.expand import named
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES

MENU = ("x8x8", "x4x4x4x4", "x8x4x4", "x4x4x8", "x4x8x4", "x8x4", "x4x8")
STARTS = ((0, 4), (0, 8), (0, 4, 8), (0, 4, 8, 12), (8, 12), (4, 8), (0, 12))


def asked(listed: list[str], starts: tuple[int, ...]) -> SeatOutcome | None:
    """The best that is certain for a carrier in a slot of which only labels are known."""
    slot = {
        "id": "slot1", "form": "cem", "width": 16, "lanes": 16, "generation": 3, "power_w": 75,
        "splits": ["x16", *listed], "open_end": False,
    }  # fmt: skip
    sockets = [{"id": f"s{n}", "form": "m2-m"} for n in range(len(starts))]
    links = [{"at": at, "lanes": 4, "to": [f"s{n}"]} for n, at in enumerate(starts)]
    carrier = {
        "kind": "part", "id": "carrier", "class": "carrier", "plug": "cem x16", "links": links,
        "generation": 3, "receptacles": sockets, "power": {"slot_w": 1}, "thickness": 1,
    }  # fmt: skip
    board = {"kind": "board", "id": "b", "processors": [{"id": "cpu0"}], "receptacles": [slot]}
    parts = [{"id": "carrier", "part": carrier}]
    build = {"kind": "build", "id": "b", "machines": [{"id": "m", "board": board}], "parts": parts}
    problem = load_build_text(json.dumps(build), Catalog(()), "b.yaml")
    question = Question(problem, "carrier", ("slot1",), {})
    model = LayoutModel(question, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)
    (verdict,) = verdicts(model)
    one = verdict.outcome
    return one if one is None or one.certain else verdict.certain


def seen(label: str, starts: tuple[int, ...], *, turned: bool) -> int:
    """Links that start where a segment does, if the label is read from this end."""
    widths = named(label)[::-1] if turned else named(label)
    return sum(at in first_lanes(widths) for at in starts)


def sure(labels: tuple[str, ...], starts: tuple[int, ...]) -> int:
    """What one of the settings shows, whichever way round labels are read."""
    orders = (False, True)
    return min(max(seen(label, starts, turned=one) for label in labels) for one in orders)


@pytest.mark.parametrize(
    "seed", [*range(60), *(pytest.param(n, marks=pytest.mark.long) for n in range(60, 3000))]
)
def test_what_is_certain_holds_in_either_order_and_the_setting_reaches_it(seed: int) -> None:
    dice = Random(seed)
    listed, starts = dice.sample(MENU, dice.randint(1, 4)), dice.choice(STARTS)
    outcome = asked(listed, starts)
    pairs = [
        (one, other)
        for one in listed
        for other in listed
        if named(one) == named(other)[::-1] and one != other
    ]
    best = max(sure(labels, starts) for labels in [*((one,) for one in ("x16", *listed)), *pairs])
    assert (outcome.alive if outcome else 0) == best
    if outcome is None:
        return
    assert outcome.way is not None
    tried = re.findall(r"x[0-9x]+", str(outcome.way.setting).partition(" if ")[0])
    assert sure(tuple(tried), starts) >= outcome.alive


def test_the_setting_to_try_first_what_to_see_and_the_other_one_are_named() -> None:
    outcome = asked(["x8x4x4", "x4x4x8"], (0, 4))
    assert outcome is not None
    assert (outcome.alive, outcome.change) == (2, True)
    assert outcome.way is not None
    assert outcome.way.setting == (
        "x4x4x8, or x8x4x4 if what starts at lane 4 of slot1 is not seen"
    )
