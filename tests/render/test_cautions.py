"""What to mind at the open case is said where the plan calls for it, and only there."""

from __future__ import annotations

from typing import Any

import pytest

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from tests.limits import SECONDS
from tests.rules.tables import problem_of

BACKUP, CABLES, AIR, SUPPORT = "Back up", "power cables", "need the air", "end support"
PLUGGED = {"slot_w": 10, "aux": ["pcie-8"], "aux_w": 100}


# Common practice, no source; the cables by notes of supply makers, the air by data sheets of cards.
@pytest.mark.parametrize(
    ("card", "said"),
    [
        ({}, set()),
        ({"weight_kg": 0.99}, set()),
        ({"weight_kg": 1}, {SUPPORT}),
        ({"weight_kg": 1.6}, {SUPPORT}),
        ({"power": PLUGGED}, {CABLES}),
        ({"cooling": "passive", "airflow_lfm": 150}, {AIR}),
        ({"class": "host-bus-adapter"}, {BACKUP}),
        ({"class": "carrier", "weight_kg": 1.1, "power": PLUGGED}, {BACKUP, CABLES, SUPPORT}),
    ],
)
def test_each_caution_is_there_for_the_card_that_needs_it(
    card: dict[str, Any], said: set[str]
) -> None:
    placed = best_plan(problem_of({"card": card, "chassis": {}, "supply": {}}), SECONDS)
    cautions = answer_of(placed).do.cautions
    of_cards = (BACKUP, CABLES, AIR, SUPPORT)
    assert {one for one in of_cards if any(one in text for text in cautions)} == said
    assert any("pull every power cord" in text for text in cautions)
