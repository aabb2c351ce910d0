"""Shared bandwidth is a flow: what does not get through, by NetworkX's maximum flow."""

from __future__ import annotations

from itertools import product

import networkx as nx
import pytest

from slotfit.hardware.flow import capacity, demand_of, hub_capacity, serving, short_by_link
from slotfit.model.keys import HubKey
from slotfit.model.plan import Placed, Plan
from tests.solve.looked_at import OF_EACH_THEME, placed

THEMES = ("switch", "expander", "storage", "carriers", "lanes", "processors")


def lost(answer: Placed, plan: Plan, way: int) -> tuple[int, int]:
    """MB/s of demand that the network cannot carry one way, and how many links are shared."""
    problem, graph = answer.problem, nx.DiGraph()
    graph.add_nodes_from(["parts", "processors"])
    serves = serving(problem)
    at = {seat.part: seat for seat in plan.seats}
    wanted = 0
    for seat in plan.seats:
        demand = demand_of(problem.part[seat.part], seat, seat.part in serves)[way]
        wanted += demand
        own, hops = ("own link of", seat.part), seat.upstream.hops
        graph.add_edge("parts", own, capacity=min(demand, capacity(seat)))
        graph.add_edge(own, ("shared", hops[0]) if hops else "processors")
        for here, above in zip(hops, (*hops[1:], None), strict=False):
            room = hub_capacity(problem, here) if isinstance(here, HubKey) else capacity(at[here])
            above_it = ("shared", above) if above else "processors"
            graph.add_edge(("shared", here), above_it, capacity=room)
    shared = sum(isinstance(node, tuple) and node[0] == "shared" for node in graph)
    return wanted - nx.maximum_flow_value(graph, "parts", "processors"), shared


def flowing() -> list[tuple[Placed, Plan]]:
    """Builds with a plan."""
    answers = [placed(theme, n) for theme, n in product(THEMES, range(OF_EACH_THEME + 3))]
    return [(answer, answer.plan) for answer in answers if answer.plan]


def test_what_is_short_is_what_no_flow_can_carry() -> None:
    shared = short = 0
    for answer, plan in flowing():
        ways = [lost(answer, plan, way) for way in (0, 1)]
        by_link = short_by_link(answer.problem, plan.seats)
        assert sum(by_link.values()) == sum(loss for loss, _ in ways)
        assert all(by_link.values())
        staged = {stage.stage: stage.value for stage in plan.stages}
        if "bandwidth" in staged:
            assert staged["bandwidth"] == sum(loss for loss, _ in ways)
        shared += any(count for _, count in ways)
        short += any(link.shared for link in by_link)
    assert shared > 15
    assert short >= 3  # so that shared links do bind


@pytest.mark.long
@pytest.mark.parametrize("theme", THEMES)
def test_the_same_of_many_more(theme: str) -> None:
    for number in range(2000, 2100):
        answer = placed(theme, number)
        plan = answer.plan
        if plan is not None:
            by_link = short_by_link(answer.problem, plan.seats)
            assert sum(by_link.values()) == sum(lost(answer, plan, way)[0] for way in (0, 1))
