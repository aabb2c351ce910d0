"""The topology's nodes and lines: what hangs where, and how well."""

from __future__ import annotations

import re
import subprocess
from dataclasses import replace

import pytest

from slotfit.answers.place.answer import PlaceAnswer
from slotfit.draw.picture import layout_program
from slotfit.draw.topology import topology
from tests.render.hand_answer import empty_answer, hand_answer, with_plan


def edges(answer: PlaceAnswer) -> dict[tuple[str, str], str]:
    """(Title of one node, title of the other) -> the line's attributes."""
    made = topology(answer)
    found = re.findall(r"^\s*(n\d+) -> (n\d+) \[(.*)\]$", made.graph.source, re.MULTILINE)
    return {(made.titles[a], made.titles[b]): look for a, b, look in found if "invis" not in look}


LINES = {
    ("lane group pe1", "SLOT1: carrier"): ("dashed", "gen 4 x4+x4+x4, 1 of 4 not detected"),
    ("lane group pe2", "SLOT2: nic"): ("dashed", r"gen 4 x4\ncould do x8"),
    ("lane group pe3", "SLOT3: accel"): ("solid", "gen 4 x8"),
    ("lane group pe3", "SLOT4: covered"): ("dotted", "covered"),
    ("hub hub", "SLOT5: expander"): ("dotted", "power only"),
    ("processor CPU A", "hub hub"): ("dashed", r"gen 3 x4\nnot enough"),
    ("machine box, Board", "processor CPU B, not fitted"): ("dotted", ""),
}


@pytest.mark.parametrize(("ends", "expected"), LINES.items(), ids=str)
def test_a_line_tells_how_a_link_trains(ends: tuple[str, str], expected: tuple[str, str]) -> None:
    style, label = expected
    look = edges(hand_answer())[ends]
    assert f"style={style}" in look
    assert label in look


def test_a_cable_is_a_box_between_its_ends() -> None:
    ends = {pair[0] for pair in edges(hand_answer()) if pair[1].startswith("cable lead")}
    assert ends == {"HDR: lead", "SLOT5: expander"}


def test_receptacles_stand_in_their_order_from_top_to_bottom() -> None:
    """As laid out by whichever program there is: by processor, slots first, hubs after."""
    made = topology(hand_answer())
    done = subprocess.run(
        [layout_program(), "-Tplain"],
        input=made.graph.source.encode(),
        capture_output=True,
        check=True,
    )
    nodes = [line.split() for line in done.stdout.decode().splitlines() if line.startswith("node ")]
    heights = {made.titles[name]: float(y) for _, name, _, y, *_ in nodes}
    slots = [f"SLOT{n}" for n in (1, 2, 3, 4, 7, 5, 6)]
    titles = [next(title for title in heights if title.startswith(slot)) for slot in slots]
    assert [heights[title] for title in titles] == sorted(
        (heights[title] for title in titles), reverse=True
    )


def test_lanes_from_nobody_knows_where_say_so() -> None:
    answer = hand_answer()
    groups = tuple(
        replace(g, lanes_from=None) if g.id.startswith("pe1") else g for g in answer.plan.groups
    )
    source = "lanes from nobody knows which processor"
    assert (source, "lane group pe1") in edges(with_plan(answer, groups=groups))


def test_sockets_that_are_free_and_alike_are_one_box() -> None:
    answer = empty_answer()
    places = tuple(
        replace(
            answer.plan.receptacles[-1],
            site=f"sata{n}",
            id=f"sata{n}",
            label=f"sata{n}",
            group=None,
        )
        for n in range(4)
    )
    titles = topology(with_plan(answer, receptacles=places)).titles.values()
    assert "sata0 to sata3: free" in titles
