"""A fact that another part of the plan settles is rested on no more."""

from __future__ import annotations

import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Plan
from tests.limits import SECONDS

BUILD = """
id: b
machines:
  - id: m
    board:
      id: board
      processors: [{id: cpu0}]
      receptacles:
        - {id: slot1, form: cem, width: 16, from: cpu0, generation: 4, lanes: 16, splits: [],
           power_w: 75}
parts:
  - id: card
    part:
      {id: hot-card, plug: cem x16, links: x16, generation: 4, thickness: 1, cooling: passive,
       airflow_lfm: 270, bracket: full, power: {slot_w: 60},
       receptacles: [{id: rear, form: cooling-mount, mount: end-2-slot}]}
"""


def placed(build: str) -> Plan:
    plan = best_plan(load_build_text(build, Catalog(())), SECONDS).plan
    assert plan is not None
    return plan


def mover(lfm: int) -> str:
    part = (
        "{id: blower, class: air-mover, plug: cooling-mount, mounts: [end-2-slot], "
        f"gives_airflow_lfm: {lfm}}}"
    )
    return f"  - {{id: blower, part: {part}}}\n"


def test_air_that_nobody_has_measured_is_a_doubt() -> None:
    assert [fact.statement for fact in placed(BUILD).facts] == ["270 LFM of air move over slot1"]


@pytest.mark.parametrize(("lfm", "facts"), [(270, 0), (350, 0), (269, 1)])
def test_a_blower_on_the_card_settles_it_if_it_is_strong_enough(lfm: int, facts: int) -> None:
    """The card's own sheet names the air it needs: data sheet 683226 5.1, as quoted."""
    plan = placed(BUILD + mover(lfm))
    assert len(plan.facts) == facts
    assert next(s.value for s in plan.stages if s.stage == "unproven-facts") == facts


def test_a_blower_that_could_be_left_out_is_mounted_where_it_settles_a_fact() -> None:
    optional = mover(350).replace("part:", "required: false, part:")
    asked = BUILD + optional + "preferences: [unproven-facts, optional-parts]\n"
    assert placed(asked).facts == ()
