"""What a part's description says of firmware and of its fitting is where somebody works by it."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import pytest

from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.text import as_text
from slotfit.answers.sequence.plan import sequence
from slotfit.load.build_file import load, load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from slotfit.sheet.steps import steps_of
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

BUILD = """
kind: build
id: bench
machines:
  - id: box
    base_w: 60
    board:
      kind: board
      id: plain
      size: atx
      processors: [{id: cpu0}]
      receptacles:
        - {id: slot1, form: cem, width: 16, generation: 4, lanes: 16, splits: [], power_w: 75}
        - {id: slot2, form: cem, width: 16, generation: 4, lanes: 16, splits: [], power_w: 75}
parts:
  - {id: one, part: {kind: part, id: first, plug: cem x8, links: x8, generation: 4, thickness: 1,
     power: {slot_w: 9}, ONE}}
  - {id: two, part: {kind: part, id: second, plug: cem x8, links: x8, generation: 4, thickness: 1,
     power: {slot_w: 9}, TWO}}
"""


def answer(one: str = "cooling: none", two: str = "cooling: none") -> PlaceAnswer:
    text = BUILD.replace("ONE", one).replace("TWO", two)
    return place(load_build_text(text, Catalog(())), SECONDS)


@pytest.mark.parametrize(
    ("need", "menu"),
    [
        ("large-windows", "Above 4G Decoding"),
        ("resizable-windows", "Resizable BAR"),
        ("nvme-boot", "NVMe among the boot devices"),
        ("legacy-rom", "CSM"),
    ],
)
def test_a_part_that_needs_more_of_firmware_has_settings_to_look_for(need: str, menu: str) -> None:
    """Words of firmware menus: common practice, no source."""
    silent, told = answer(), answer(f"needs_firmware: [{need}]")
    assert silent.do.firmware == ()
    assert [(one.need, one.items) for one in told.do.firmware] == [(need, ("one",))]
    assert f"LOOK FOR {menu}" in " ".join(as_text(told).split())
    settings = next(section for section in steps_of(told) if section.id == "settings")
    assert any(menu in step.text for step in settings.steps)
    assert all(section.id != "settings" for section in steps_of(silent))


def test_what_a_build_says_of_firmware_counts_beside_the_description() -> None:
    """One drive of several alike is started from; its description cannot say which."""
    text = BUILD.replace(", ONE}", "}").replace(", TWO}", "}")
    text = text.replace("id: one,", "id: one, needs_firmware: [nvme-boot],")
    told = place(load_build_text(text, Catalog(())), SECONDS).do.firmware
    assert [(one.need, one.items) for one in told] == [("nvme-boot", ("one",))]


def test_two_cards_that_want_the_legacy_module_on_and_off_are_told_of_together() -> None:
    """Resizable windows want it off, an old start-up program on: common practice, no source."""
    alone = answer("needs_firmware: [legacy-rom]")
    both = answer("needs_firmware: [legacy-rom]", "needs_firmware: [resizable-windows]")
    assert not [note for note in alone.watch.notes if "legacy module" in note]
    assert [note for note in both.watch.notes if note.startswith("box: one wants the legacy")]


def test_what_is_to_be_minded_stands_said_before_the_part_goes_in() -> None:
    told = answer('mind: ["Two cables to a header."]')
    assert [(one.text, one.items) for one in told.do.minds] == [
        ("Two cables to a header.", ("one",))
    ]
    assert "- one: Two cables to a header." in as_text(told)
    minds = next(section for section in steps_of(told) if section.id == "minds")
    assert [step.text for step in minds.steps] == ["one: Two cables to a header."]
    assert not answer().do.minds


def talkative(problem: Problem) -> Problem:
    """Every part with a sentence of its own, and a need."""
    parts = []
    for number, part in enumerate(problem.parts):
        said = {"mind": (f"Mind {part.body} well.",), "needs_firmware": ("large-windows",)}
        quiet = part.companion_of or number % 3 == 2
        parts.append(part if quiet else replace(part, spec=part.spec.model_copy(update=said)))
    return replace(problem, parts=tuple(parts))


@pytest.mark.parametrize("theme", THEMES)
def test_every_part_of_a_plan_has_its_say_and_no_other(theme: str) -> None:
    problem = talkative(small_build(Random(f"talkative {theme}"), theme))
    told = place(problem, SECONDS)
    seated = {seat.item: problem.part[seat.item].spec for seat in told.plan.seats}
    words = " ".join(as_text(told).split())
    for part in problem.parts:
        for text in part.spec.mind if part.companion_of is None else ():
            assert (text in words) == (part.id in seated), part.id
    needing = {name for name, spec in seated.items() if spec.needs_firmware}
    assert {name for one in told.do.firmware for name in one.items} == needing
    steps = [step.text for section in steps_of(told) for step in section.steps]
    for text in {text for spec in seated.values() for text in spec.mind}:
        assert sum(step.endswith(text) for step in steps) == 1


def test_a_way_has_the_same_words_in_the_windows_where_they_count() -> None:
    problem = load(Path("examples/sequence-lighthouse/build.yaml"))
    told = sequence(talkative(problem), seconds=SECONDS)
    assert told.do is not None
    moved = {move.item for work in told.do.work for move in (*work.in_, *work.moved)}
    for part in talkative(problem).parts:
        if part.id in moved and part.spec.mind:
            text = f"{part.id}: {part.spec.mind[0]}"
            (note,) = [one for one in told.do.cautions if one.text == text]
            assert note.windows
