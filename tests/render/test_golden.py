"""Drawings and page of a plan made by hand, byte for byte."""

from __future__ import annotations

import re

import pytest
from markupsafe import Markup

from slotfit.draw.row_measure import StandName
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.topology import topology
from slotfit.sheet import sheet as sheet_module
from slotfit.sheet.sheet import Explorer, ExplorerCell, SheetAnswer, as_sheet
from tests.render.golden import GOLDEN, compare
from tests.render.hand_answer import hand_answer

EXPLORER = Explorer(
    parts=(("nic", "A card"), ("disk-1", "A drive")),
    sites=(("slot1", "SLOT1", "cem"), ("carrier/m2a", "M2A", "m2-m, on carrier")),
    cells=(
        ExplorerCell("nic", "slot1", "works once set", True, ("gen 4 x4", "Choose x4x4."), ()),
        ExplorerCell("nic", "carrier/m2a", "does not work", False, (), ("its plug is another",)),
        ExplorerCell("disk-1", "slot1", "does not work", False, (), ("its plug is another",)),
        ExplorerCell("disk-1", "carrier/m2a", "not known", True, ("gen 4 x4",), (), ("an aside",)),
    ),
    beside=("Each answer is about one part.",),
)


@pytest.fixture
def update(request: pytest.FixtureRequest) -> bool:
    return bool(request.config.getoption("--update"))


@pytest.mark.parametrize("stand", ["flat", "tower"])
def test_the_slot_row_is_drawn_as_it_was(stand: StandName, update: bool) -> None:
    svg = re.sub(
        r"(<(?:g|text|rect|svg|style|defs)\b)", r"\n\1", slot_row_svg(hand_answer(), stand)
    )
    compare(f"row-{stand}.svg", svg.lstrip() + "\n", update=update)


def test_the_topology_is_written_as_it_was(update: bool) -> None:
    compare("topology.dot", topology(hand_answer()).graph.source, update=update)


def test_the_sheet_is_written_as_it_was(update: bool, monkeypatch: pytest.MonkeyPatch) -> None:
    """Its drawings have files of their own here, and one is laid out by another program."""
    drawing = Markup("<svg></svg>")
    for drawer in ("topology_or_nothing", "slot_row_svg"):
        monkeypatch.setattr(sheet_module, drawer, lambda *_: drawing)
    compare("sheet.html", as_sheet(SheetAnswer(hand_answer(), EXPLORER)), update=update)


def test_a_changed_answer_is_told_and_shown() -> None:
    kept = (GOLDEN / "topology.dot").read_text("utf-8")
    with pytest.raises(AssertionError, match="has changed"):
        compare("topology.dot", kept.replace("digraph", "graph", 1), update=False)
