"""Whatever a file calls its things, names stay names: in HTML, SVG and DOT."""

from __future__ import annotations

import json
import subprocess
from collections.abc import Iterator
from xml.etree import ElementTree as ET

import html5lib
import pytest
from hypothesis import given
from hypothesis import strategies as st

from slotfit.draw.picture import layout_program, topology_svg
from slotfit.draw.row_measure import StandName
from slotfit.draw.slot_row import slot_row_svg
from slotfit.draw.svg import cut, markup, plain, wrap
from slotfit.draw.topology import topology
from slotfit.sheet.sheet import Explorer, ExplorerCell, SheetAnswer, as_sheet
from tests.render.hand_answer import CLEAN, HOSTILE, Dirt, hand_answer

SVG = "{http://www.w3.org/2000/svg}"
XHTML = "{http://www.w3.org/1999/xhtml}"


def explorer(dirt: Dirt) -> Explorer:
    name, text = dirt.name, dirt.text
    said = (f"says{text}",), (f"why{text}",), (f"aside{text}",)
    cell = ExplorerCell(f"nic{name}", f"slot1{name}", "works", True, *said)
    receptacles = ((f"slot1{name}", f"SLOT1{text}", f"cem{text}"),)
    return Explorer(((f"nic{name}", f"A card{text}"),), receptacles, (cell,), (f"beside{text}",))


def page(dirt: Dirt) -> ET.Element:
    """The sheet as a browser reads it; any parse error counts."""
    parser = html5lib.HTMLParser(
        tree=html5lib.getTreeBuilder("etree"), strict=True, namespaceHTMLElements=True
    )
    document: ET.Element = parser.parse(as_sheet(SheetAnswer(hand_answer(dirt), explorer(dirt))))
    return document


def shape(root: ET.Element) -> Iterator[tuple[str, tuple[str, ...]]]:
    """Every element's name and attributes' names."""
    for element in root.iter():
        if isinstance(element.tag, str):
            yield element.tag, tuple(sorted(element.attrib))


def test_names_add_no_element_to_the_page() -> None:
    """A cut name brings a title of its own with it, and long ones are broken into more lines."""
    changing = {f"{SVG}title", f"{SVG}text", f"{SVG}tspan", f"{SVG}rect", f"{SVG}path"}
    changing |= {f"{SVG}polygon", f"{SVG}line", f"{SVG}circle"}
    clean, dirty = (
        [one for one in shape(page(dirt)) if one[0] not in changing] for dirt in (CLEAN, HOSTILE)
    )
    assert dirty == clean


def test_names_are_there_to_be_read() -> None:
    text = "".join(page(HOSTILE).itertext())
    assert plain(f"Made by hand{HOSTILE.text}") in text
    assert f"nic{HOSTILE.name}" in text


def test_the_data_comes_back_as_it_was() -> None:
    (data,) = [e for e in page(HOSTILE).iter(f"{XHTML}script") if e.get("type")]
    read = json.loads(data.text or "")
    assert read["parts"] == [[f"nic{HOSTILE.name}", plain(f"A card{HOSTILE.text}")]]
    assert read["texts"] == [plain(f"{word}{HOSTILE.text}") for word in ("says", "why", "aside")]


@pytest.mark.parametrize("stand", ["flat", "tower"])
def test_names_add_no_element_to_the_slot_row(stand: StandName) -> None:
    known = {tag for tag, _ in shape(ET.fromstring(slot_row_svg(hand_answer(CLEAN), stand)))}
    dirty = list(shape(ET.fromstring(slot_row_svg(hand_answer(HOSTILE), stand))))
    assert {tag for tag, _ in dirty} == known
    assert not [names for _, names in dirty if any(name.startswith("on") for name in names)]


def test_names_add_no_node_to_the_topology() -> None:
    def nodes(dirt: Dirt) -> list[str]:
        source = topology(hand_answer(dirt)).graph.source
        done = subprocess.run(
            [layout_program(), "-Tplain"], input=source.encode(), capture_output=True, check=True
        )
        lines = done.stdout.decode().splitlines()
        return [line.split()[1] for line in lines if line.startswith("node ")]

    assert sorted(nodes(HOSTILE)) == sorted(nodes(CLEAN))


def test_names_stand_in_the_topology_as_they_are() -> None:
    root = ET.fromstring(topology_svg(topology(hand_answer(HOSTILE))))
    texts = [element.text for element in root.iter(f"{SVG}text")]
    assert f"nic{HOSTILE.name}" in texts
    known = {element.tag for element in ET.fromstring(topology_svg(topology(hand_answer()))).iter()}
    assert {element.tag for element in root.iter()} == known


@given(st.text())
def test_any_text_survives_as_markup(text: str) -> None:
    element = ET.fromstring(f'<a b="{markup(text)}">{markup(text)}</a>')
    assert (element.text or "") == plain(text)
    assert element.get("b") == plain(text)


@given(st.text(), st.integers(1, 30))
def test_a_cut_text_has_no_more_characters_than_there_is_room_for(text: str, room: int) -> None:
    shown = cut(text, room)
    assert len(shown) <= room
    assert shown == plain(text) or "…" in shown


@given(st.text(alphabet="ab -", max_size=60), st.integers(3, 12), st.integers(1, 4))
def test_a_wrapped_text_keeps_to_its_lines(text: str, room: int, lines: int) -> None:
    wrapped = wrap(text, room, lines)
    assert len(wrapped) <= lines
    assert all(len(line) <= room for line in wrapped)
    if not any("…" in line for line in wrapped):
        assert " ".join(wrapped) == plain(text)
