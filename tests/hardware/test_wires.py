"""
What passive wires do to a link, over all seats of random builds and in everything that is printed.

Sources: PCI Express Base (as quoted): both ends settle on the lower of their rates, and wires have
no say. Channel loss budgets of 28 dB at generation 4 and 36 dB at 5 for the whole way (as quoted).
"""

from __future__ import annotations

from collections.abc import Iterator
from random import Random

import pytest

from slotfit import api
from slotfit.answers.place.of_plan import place
from slotfit.answers.place.plan import state_all
from slotfit.hardware.wires import held_ports
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.part import PartSpec
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat, Seating
from slotfit.sheet.steps import steps_of
from tests.builds import small_build
from tests.limits import SECONDS

THEMES = ("riser", "carriers", "adapter", "cabled", "power", "order")


def way_down(problem: Problem, seating: Seating, seat: Seat) -> Iterator[tuple[PartSpec, str]]:
    """Every part below with the receptacle on it that is used, the nearest first."""
    while seat.parents:
        owner, _, socket = seat.receptacle.partition("/")
        yield problem.part[owner].spec, socket
        seat = seating.by_key[seat.parents[0]]


def ratings(problem: Problem, seating: Seating, seat: Seat) -> tuple[list[int | None], bool]:
    """What each passive piece on the way to the port is good for; whether a switch is the port."""
    found: list[int | None] = []
    for spec, socket in way_down(problem, seating, seat):
        if spec.wiring != "passive":
            return found, True
        wires = [link for link in spec.links if socket in link.to]
        found += [link.generation or spec.generation for link in wires]
    return found, False


def states_losses(problem: Problem) -> bool:
    """Whether any file says what its wires lose."""
    boards = (one for machine in problem.machines for one in machine.board.receptacles)
    return any(part.spec.loss_db for part in problem.parts) or any(one.loss_db for one in boards)


@pytest.mark.parametrize("theme", THEMES)
@pytest.mark.parametrize(
    "number", [*range(6), *(pytest.param(n, marks=pytest.mark.long) for n in range(6, 120))]
)
def test_no_link_outruns_its_wires_without_a_word(theme: str, number: int) -> None:
    problem = small_build(Random(f"wires {theme} {number}"), theme)
    seating, _ = state_all(problem)
    for seat in seating.seats:
        ends = [link for link in seat.links if link.lanes and link.bus == "pcie" and not link.to]
        rated, switched = ratings(problem, seating, seat)
        known = [one for one in rated if one is not None]
        port = seat.upstream.generation
        speeds = [
            min(g for g in (link.able_generation, port) if g)
            for link in ends
            if link.able_generation or port
        ]
        doubted = {fact.rule for fact in seat.facts}
        if known and max(speeds, default=0) > min(known):
            held = held_ports(problem, [seat])
            assert held or "LANE018" in doubted
            assert all(one.generation <= min(known) for one in held)
            assert not (held and switched), "no setting of the board slows a switch's port"
            assert all((link.generation or 0) <= min(known) for link in ends)
        else:
            assert not held_ports(problem, [seat])
            assert "LANE018" not in doubted
        fastest = max((link.generation or 0 for link in ends), default=0)
        assert ("LANE012" in doubted) == (fastest > 3 and None in rated)
        if not states_losses(problem):  # with losses the sum decides: tables of LANE017
            assert ("LANE017" in doubted) == (fastest > 3 and len(rated) > 1)


BUILD = """
kind: build
id: risers
machines:
  - id: tower
    base_w: 60
    board:
      id: b
      processors: [{id: cpu0}]
      receptacles:
        - {id: slot1, label: SLOT1, form: cem, width: 16, lanes: 16, generation: 4, splits: [],
           power_w: 75, %s}
parts:
  - id: riser
    part: {id: r, class: riser, plug: cem x16, links: x16, generation: 3, power: {slot_w: 0},
           receptacles: [{id: slot, form: cem, width: 16}]}
  - id: card
    part: {id: c, class: network-card, plug: cem x16, links: x16, generation: 4,
           power: {slot_w: 20}, length_mm: 100, height_mm: 100, bracket: none, thickness: 1}
today: {}
"""


def test_plan_sheet_and_sequence_say_to_hold_the_slot_down() -> None:
    text = BUILD % 'speed_setting: "Slot 1 link speed"'
    problem = load_build_text(text, Catalog(()), "b.yaml")
    answer = place(problem, SECONDS)
    (speed,) = answer.do.speeds
    assert (speed.site, speed.generation, speed.items) == ("slot1", 3, ("card",))
    said = "Slot 1 link speed: generation 3"
    assert said in " ".join(api.text(answer).split())
    steps = [step.text for section in steps_of(answer) for step in section.steps]
    assert "Set “Slot 1 link speed” to generation 3" in steps
    assert not any("held" in one.fact for one in answer.watch.rests_on)
    windows = api.text(api.sequence(problem, seconds=SECONDS))
    assert f"SET {said}" in " ".join(windows.split())


def test_without_a_known_setting_it_is_a_fact_to_prove() -> None:
    answer = place(load_build_text(BUILD % "open_end: false", Catalog(()), "b.yaml"), SECONDS)
    assert answer.do.speeds == ()
    held = [one for one in answer.watch.rests_on if "held to generation 3" in one.statement]
    assert [one.items for one in held] == [("card",)]
    assert "LnkSta" in held[0].find_out
