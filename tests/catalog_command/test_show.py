"""One description shown: all of it, with its sources, in lines that fit."""

import doctest
import json
import re

import pytest

from slotfit.answers.catalog import show
from slotfit.answers.catalog.show import Box, boxes_drawn, show_text
from slotfit.load.catalog import described_in, standard_catalog
from slotfit.model import units
from tests.catalog.entries import BOARD_IDS, FILES, PART_IDS, raw
from tests.catalog_command.typed import typed

CATALOG = standard_catalog()
RAW = {path.stem: raw(path) for path in FILES}


def shown(name: str) -> str:
    _, _, entity = described_in(CATALOG, name)
    return show_text(entity, "here", name)


def plain(text: str) -> str:
    return re.sub(r"[\s_]", "", text.lower())


def squeezed(text: str) -> str:
    return " ".join(text.split())


@pytest.mark.parametrize("name", RAW)
def test_everything_is_shown_and_every_line_fits(name: str) -> None:
    text, content = shown(name), RAW[name]
    flat = squeezed(text)
    assert content["name"] in flat
    assert squeezed(content.get("about", "")) in flat
    for source in content["sources"].values():
        assert squeezed(source) in flat
    for one in content.get("receptacles", ()):
        assert one["id"] in flat or one.get("label", "") in flat
        assert plain(one.get("label", "")) in plain(flat)
    assert [line for line in text.splitlines() if len(line) > 80] == []
    assert [line for line in text.splitlines() if line != line.rstrip()] == []


@pytest.mark.parametrize("name", PART_IDS)
def test_every_link_of_a_plug_has_its_box(name: str) -> None:
    content = RAW[name]
    if content.get("links") == "4x4":
        assert re.search(r"lane 0 +4 +8 +12\n", shown(name))
        assert shown(name).count("[ x4 ") == 4


@pytest.mark.parametrize("name", BOARD_IDS)
def test_a_connector_is_as_long_as_it_is_and_filled_to_its_lanes(name: str) -> None:
    """Receptacles in the short form say both numbers; the drawing must show them."""
    checked = 0
    for one in RAW[name]["receptacles"]:
        if one["form"] == "cem" and "lanes" in one:
            found = re.search(rf"\[([#.?]+)\] +{re.escape(one['id'])} ", shown(name))
            assert found, one["id"]
            assert len(found[1]) == one["width"]
            assert found[1].count("#") == one["lanes"]
            checked += 1
    assert checked or "lane_groups" in RAW[name]


def test_what_nobody_has_said_is_drawn_as_unknown() -> None:
    text = shown("server-as-read")
    assert re.search(r"\[\?{8}\] +slot3 +'CPU1 SLOT3': cem x8, lanes not\s+known", text)
    assert "nobody has said" in text


def test_a_port_in_a_lane_group_carries_what_its_segments_say() -> None:
    """`desktop-steered` gives SATA ports lanes of a group that is otherwise PCIe."""
    assert re.search(r"\[#\] +sata4 +sata, SATA, chipset\n", shown("desktop-steered"))


def test_refuted_and_menu_only_divisions_are_marked() -> None:
    text = shown("old-menu-lies")
    assert re.search(r"slot2 x4\+x4\+x4\+x4 +refuted", text)
    assert re.search(r"slot2 x8\+x4\+x4 \(in some order\) +menu-only", text)


def test_lanes_that_lead_nowhere_are_dots() -> None:
    assert list(boxes_drawn([Box(4, 4, "a")], 8)) == [
        "          lane 4",
        "   . . . .[ x4 a         ]",
    ]


def test_a_drawing_too_wide_becomes_a_list() -> None:
    boxes = [Box(n, 1, f"to end{n}") for n in range(8)]
    assert list(boxes_drawn(boxes, 8))[-1] == "  lane 7: x1 to end7"


@pytest.mark.parametrize("module", [show, units])
def test_examples_in_docstrings(module: object) -> None:
    done = doctest.testmod(module)  # type: ignore[arg-type]
    assert done.attempted
    assert not done.failed


@pytest.mark.parametrize("name", ["hba-8i-sas3", "desktop-steered", "tower-mid", "supply-750w"])
def test_json_has_the_files_own_keys_and_values(name: str) -> None:
    done = typed("catalog", "show", name, "--json")
    assert done.code == 0
    data = json.loads(done.out)
    assert data["schema_version"] == 1
    assert data["file"].endswith(f"{name}.yaml")
    for key, value in RAW[name].items():
        if not isinstance(value, list | dict) and key not in ("plug", "links", "demand"):
            assert data["described"][key] == value


def test_a_file_of_ones_own_is_shown_by_its_path(tmp_path: object) -> None:
    path = f"{tmp_path}/box.yaml"
    with open(path, "w", encoding="utf-8") as stream:  # noqa: PTH123
        stream.write("kind: chassis\nid: box\nopenings: 4\n")
    done = typed("catalog", "show", path)
    assert done.code == 0
    assert "openings  4" in done.out


def test_a_name_that_is_nearly_right_is_suggested() -> None:
    done = typed("catalog", "show", "hba-8i-sas33")
    assert done.code == 2
    assert "nothing in the catalog is called hba-8i-sas33; did you mean hba-8i-sas3?" in done.err


def test_a_file_with_mistakes_tells_them_all(tmp_path: object) -> None:
    path = f"{tmp_path}/bad.yaml"
    with open(path, "w", encoding="utf-8") as stream:  # noqa: PTH123
        stream.write("kind: part\nid: bad\nplug: cem 8\nthickness: two\n")
    done = typed("catalog", "show", path)
    assert done.code == 2
    assert len(done.err.splitlines()) == 2


@pytest.mark.parametrize(
    ("text", "says"), [("kind: shelf\nid: a\n", "expected one of board"), ("", "empty")]
)
def test_a_file_of_no_kind_is_told_so(text: str, says: str, tmp_path: object) -> None:
    path = f"{tmp_path}/odd.yaml"
    with open(path, "w", encoding="utf-8") as stream:  # noqa: PTH123
        stream.write(text)
    done = typed("catalog", "show", path)
    assert done.code == 2
    assert says in done.err
