"""What counting rules out has no plan, all of it is told at once, and mending it all may help."""

from __future__ import annotations

from dataclasses import replace
from pathlib import Path
from random import Random

import networkx as nx
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit import api
from slotfit.answers.no_plan.explain import no_plan_answer
from slotfit.answers.no_plan.text import no_plan_text
from slotfit.answers.place import plan
from slotfit.answers.place.plan import best_plan, state_all
from slotfit.engine.shortage import crowds, rooms_of, shortages
from slotfit.files import catalog_root
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.solve.engine import Clock
from slotfit.solve.place import place
from tests.builds import THEMES, small_build
from tests.limits import SECONDS

EXAMPLES = Path(__file__).parents[2] / "examples"

CATALOG = Catalog([catalog_root()])

WANTS = st.dictionaries(
    st.sampled_from("abcdefgh"), st.lists(st.sampled_from("12345678"), unique=True, max_size=5)
)


@given(WANTS)
def test_crowds_are_what_a_matching_leaves_over(wants: dict[str, list[str]]) -> None:
    """Against networkx: as many parts without a receptacle as its greatest matching leaves."""
    graph = nx.Graph([(part, room) for part, rooms in wants.items() for room in rooms])
    graph.add_nodes_from(wants)
    matched = nx.bipartite.maximum_matching(graph, top_nodes=wants)
    found = [*crowds(wants)]
    assert sum(one.needed - one.there for one in found) == len(wants) - sum(
        part in matched for part in wants
    )
    for one in found:
        assert one.receptacles == tuple(rooms_of(one.parts, wants))
        assert len(one.parts) == one.needed > one.there == len(one.receptacles)


def counted_and_solved(theme: str, builds: range) -> tuple[int, int]:
    """How many have no plan by the solver, and of how many of them counting says so."""
    impossible = said = 0
    for number in builds:
        problem = small_build(Random(f"{theme} counted {number}"), theme)
        seating, clauses = state_all(problem)
        bare = replace(problem, preferences=())
        status = place(bare, seating, clauses, SECONDS).status
        impossible += status is Status.IMPOSSIBLE
        if [*shortages(seating, clauses)]:
            said += 1
            assert status is Status.IMPOSSIBLE
    return impossible, said


def test_what_counting_rules_out_the_solver_does_too() -> None:
    """The oracle as well, in tests/solve/test_best_of_all.py."""
    found = [counted_and_solved(theme, range(4)) for theme in THEMES]
    assert sum(said for _, said in found) > 0.8 * sum(impossible for impossible, _ in found)


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_so_it_does_of_hundreds(theme: str) -> None:
    counted_and_solved(theme, range(4, 200))


SHORT_OF_ALL = """\
kind: build
id: attic
machines:
  - id: loft
    base_w: 100
    board:
      id: beam
      kind: board
      size: atx
      processors: [{id: cpu0}]
      rows: [{id: rear, positions: 3}]
      receptacles:
        - {id: slot1, form: cem, width: 16, row: rear, position: 0, from: cpu0, lanes: 16,
           generation: 4, splits: [], power_w: 75}
        - {id: slot2, form: cem, width: 8, row: rear, position: 2, from: cpu0, lanes: 8,
           generation: 4, splits: [], power_w: 75}
        - {id: sata1, form: sata, bus: sata, generation: 3, from: cpu0}
        - {id: sata2, form: sata, bus: sata, generation: 3, from: cpu0}
        - {id: sata3, form: sata, bus: sata, generation: 3, from: cpu0}
    chassis: {id: trunk, sizes: [atx], openings: 3, bracket: full, card_length_mm: 320,
              card_height_mm: 130, bays: {"3.5": 2, "2.5": 0}, airflow_lfm: 500}
    power_supply: {id: old, watts: 300, plugs: {pcie-8: 1, sata-power: 8}}
parts:
  - {id: nic, part: nic-10g-2p, count: 2}
  - {id: video, part: accel-fan-250w, count: 2}
  - {id: disk, part: hdd-sata-3.5-7200, count: 3}
"""


ONE_CARD = """\
parts:
  - {id: nic, part: nic-10g-2p}
"""


def test_all_that_is_short_is_told_at_once() -> None:
    """Four cards for two slots; three disks for two bays; four plugs where one is; watts."""
    problem = load_build_text(SHORT_OF_ALL, CATALOG)
    answer = api.place(problem, SECONDS)
    assert answer.verdict.word == "no"
    cards, videos = ("nic-1", "nic-2", "video-1", "video-2"), ("video-1", "video-2")
    disks = ("disk-1", "disk-2", "disk-3")
    assert {one.items: one.says for one in answer.watch.shortages} == {
        cards: "4 parts have 2 receptacles between them, slot1 and slot2",
        disks: "3 bays needed, 2 there: trunk has 2 bays of 3.5 inch",
        videos: "4 pcie-6 or pcie-8 plugs needed, 1 there: the supply of loft has 1 pcie-6 or "
        "pcie-8 plug left for parts",
        # 2 x 8 W, 2 x (60 + 190) W and 3 x 10 W of the catalog, over 300 W less 100
        (*disks, *cards): "546 W needed, 200 W there: old has 200 W left for the parts of loft: "
        "300 W, less a base load of 100 W",
    }
    text = no_plan_text(answer, no_plan_answer(api.explain(problem, seconds=SECONDS)))
    assert "disk-1 to disk-3: 3 bays needed, 2 there" in text


def test_of_limits_within_one_another_the_tightest_is_told() -> None:
    """Three 3.5-inch disks for one bay of their size; with the one of 2.5 inch there are two."""
    with_small = SHORT_OF_ALL.replace('"3.5": 2, "2.5": 0', '"3.5": 1, "2.5": 1')
    told = api.place(load_build_text(with_small, CATALOG), SECONDS).watch.shortages
    assert [(one.needed, one.there) for one in told if one.unit == "bays"] == [(3, 1)]


def test_a_carrier_without_a_place_is_told_and_not_each_drive_on_it() -> None:
    build = (EXAMPLES / "infeasible-menu-split" / "build.yaml").read_text("utf-8")
    told = api.place(load_build_text(build, CATALOG), SECONDS).watch.shortages
    assert [one.items for one in told] == [("takes",)]
    assert told[0].says.startswith("it fits nowhere; nearest is slot2: takes shows 1 of the 4")


def fold() -> Problem:
    """58 parts of four machines that are to become two: 13 M.2 drives, 15 cards."""
    path = Path(__file__).parents[2] / "benchmarks" / "fold.yaml"
    return load_build_text(path.read_text("utf-8"), CATALOG)


def test_of_a_large_build_crowds_are_told_before_its_seats_are_judged() -> None:
    """M.2: two sockets on each of two boards, four and two on carriers. Seven slots a board."""
    placed = best_plan(fold(), SECONDS)
    assert [(one.needed, one.there) for one in placed.shortages] == [(13, 10), (15, 14)]
    assert placed.seating.seats == ()


@pytest.mark.long
def test_and_what_clashes_there_too() -> None:
    told = api.explain(fold(), ways=0, seconds=SECONDS)
    (first, *_) = told.clashes
    assert first.minimal
    assert any("barn is being retired" in one.says.text for one in first.sentences)


class Ticking(Clock):
    """A clock on which each look takes a second."""

    looks = 0

    @property
    def left(self) -> float:
        self.looks += 1
        return max(0.0, self.seconds - self.looks)


@pytest.mark.parametrize(("seconds", "status"), [(20, Status.UNKNOWN), (1e9, Status.PROVEN)])
def test_seconds_bind_the_judging_of_seats(
    seconds: float, status: Status, monkeypatch: pytest.MonkeyPatch
) -> None:
    clocks: list[Ticking] = []

    def clock(seconds: float) -> Ticking:
        clocks.append(Ticking(seconds))
        return clocks[-1]

    monkeypatch.setattr(plan, "Clock", clock)
    problem = load_build_text(SHORT_OF_ALL.split("parts:", maxsplit=1)[0] + ONE_CARD, CATALOG)
    assert best_plan(problem, seconds).status is status
    assert clocks[0].looks <= seconds + 1
