"""With the couplings off, placing is matching: other people's libraries must agree."""

from __future__ import annotations

from dataclasses import replace
from random import Random

import networkx as nx
import numpy as np
import pytest
from scipy.optimize import linear_sum_assignment

from slotfit.answers.place.plan import best_plan
from slotfit.load.expand import expand
from slotfit.model.board import Board
from slotfit.model.build import BuildPart
from slotfit.model.machine import BuildMachine
from slotfit.model.part import PartSpec
from slotfit.model.plan import Status
from slotfit.model.problem import Machine, Part, Problem, Receptacle
from slotfit.standards.rates import usable_mb_s
from tests.limits import SECONDS

WIDTHS = (1, 4, 8, 16)


def build(dice: Random, slots: int, cards: int) -> tuple[Problem, list[int], list[int]]:
    """Single cards on slots that are each wired for themselves; only width and speed count."""
    wired = [dice.choice(WIDTHS) for _ in range(slots)]
    edges = [dice.choice(WIDTHS) for _ in range(cards)]
    board = Board.model_validate(
        {
            "id": "b",
            "processors": [{"id": "cpu0"}],
            "receptacles": [
                {"id": f"slot{n}", "form": "cem", "width": lanes, "from": "cpu0",
                 "generation": 3, "lanes": lanes, "splits": [], "power_w": 75, "open_end": False}
                for n, lanes in enumerate(wired)
            ],
        }
    )  # fmt: skip
    parts = [
        PartSpec.model_validate(
            {"id": f"card{n}", "plug": f"cem x{lanes}", "links": f"x{lanes}", "generation": 3,
             "thickness": 1, "power": {"slot_w": 5}, "demand": usable_mb_s("pcie", 3, lanes) / 1000}
        )
        for n, lanes in enumerate(edges)
    ]  # fmt: skip
    machine = Machine(BuildMachine(id="m", board="b", base_w=10), expand(board))
    problem = Problem(
        id="matching",
        machines=(machine,),
        parts=tuple(Part(spec.id, spec, BuildPart(id=spec.id, part=spec.id)) for spec in parts),
        receptacles=tuple(Receptacle(r.id, "m", True, r) for r in machine.board.receptacles),
        preferences=("bandwidth",),
    )
    return problem, wired, edges


def fits(card: int, slot: int) -> bool:
    """A closed slot takes cards no longer than itself (CEM, connector lengths, as quoted)."""
    return card <= slot


@pytest.mark.parametrize("seed", range(40))
def test_placeable_or_not_is_a_maximum_matching(seed: int) -> None:
    problem, wired, edges = build(Random(seed), 6, 5)
    graph = nx.Graph()
    cards = [f"c{n}" for n in range(len(edges))]
    graph.add_nodes_from(cards)
    graph.add_edges_from(
        (f"c{c}", f"s{s}")
        for c, card in enumerate(edges)
        for s, slot in enumerate(wired)
        if fits(card, slot)
    )
    matching = nx.bipartite.maximum_matching(graph, top_nodes=cards)
    complete = sum(name in matching for name in cards) == len(cards)
    assert (best_plan(problem, SECONDS).status is Status.PROVEN) == complete


@pytest.mark.parametrize("seed", range(40))
def test_bandwidth_alone_is_an_assignment(seed: int) -> None:
    """Optional cards of weights, worth their weight where they fit: scipy's assignment agrees."""
    dice = Random(1000 + seed)
    problem, wired, edges = build(dice, 5, 6)
    weights = [dice.randint(1, 50) for _ in edges]
    parts = tuple(
        replace(part, wish=part.wish.model_copy(update={"required": False, "weight": weight}))
        for part, weight in zip(problem.parts, weights, strict=True)
    )
    worth = np.array(
        [
            [weight if fits(card, slot) else 0 for slot in wired]
            for card, weight in zip(edges, weights, strict=True)
        ]
    )
    rows, columns = linear_sum_assignment(worth, maximize=True)
    best = int(worth[rows, columns].sum())
    answer = best_plan(replace(problem, parts=parts, preferences=("optional-parts",)), SECONDS)
    assert answer.plan is not None
    assert answer.plan.stages[0].value == sum(weights) - best
