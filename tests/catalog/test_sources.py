"""Every figure says where it comes from, with one of the project's marks."""

import re
from pathlib import Path
from typing import Any

import pytest

from slotfit.model.part import PartSpec
from slotfit.standards.source import MARKS
from tests.catalog.entries import BOARD_IDS, FILES, IDS, PART_IDS, boards, load, parts, raw

PARTS = [path for path in FILES if raw(path)["kind"] == "part"]
CHECKOUT = Path(__file__).parents[2]
INVENTED = [path for path in FILES if raw(path)["kind"] != "part"]
INVENTED_IDS = [path.stem for path in INVENTED]

TEXT = {"kind", "id", "name", "class", "about", "mind", "sources"}
"""Fields that hold words, in which a digit is no figure."""

MARKED = re.compile(rf"\(({'|'.join(map(re.escape, MARKS))})\)")


def holds_a_figure(value: Any) -> bool:
    """A number, or a short form such as `cem x8` with one in it."""
    match value:
        case bool():
            return False
        case int() | float():
            return True
        case str():
            return bool(re.search(r"x\d|\dx", value))
        case dict():
            return any(holds_a_figure(inner) for inner in value.values())
        case list():
            return any(holds_a_figure(inner) for inner in value)
    return False


def unsourced(content: dict[str, Any]) -> set[str]:
    """Fields with a figure and without a source; none in a thing that says it is invented."""
    if content.get("invented"):
        return set()
    figures = {key for key, value in content.items() if key not in TEXT and holds_a_figure(value)}
    return figures - set(content.get("sources", {}))


def unmarked(content: dict[str, Any]) -> dict[str, str]:
    """Sources that do not say how sure they are."""
    sources: dict[str, str] = content.get("sources", {})
    return {
        key: text
        for key, text in sources.items()
        if not MARKED.search(text) and "invented" not in text
    }


@pytest.mark.parametrize("path", PARTS, ids=PART_IDS)
def test_every_figure_has_a_source(path: Path) -> None:
    assert unsourced(raw(path)) == set()


@pytest.mark.parametrize("path", FILES, ids=IDS)
def test_every_source_carries_a_mark(path: Path) -> None:
    assert raw(path)["sources"]
    assert unmarked(raw(path)) == {}


@pytest.mark.parametrize("path", PARTS, ids=PART_IDS)
def test_no_source_speaks_of_a_field_that_is_not_there(path: Path) -> None:
    content = raw(path)
    assert set(content["sources"]) - set(content) == set()


CEM_REVISIONS = {"1.0a", "1.1", "2.0", "3.0", "4.0", "5.0", "5.1", "6.0", "6.1"}
"""Revisions of the card electromechanical specification (from memory): none is called 1.2."""

MAKERS_PATH = re.compile(r"\b(?:[A-Z][a-z]+Pkg|[a-z]+-qcom|Amd\w+)\b")
"""Parts of a path that are named for a maker or its platform: the commit says as much."""


def cited_wrongly(text: str) -> set[str]:
    """Revisions that were never published, and makers' names where a number would do."""
    revisions = set(re.findall(r"\bCEM (\d\.\d\w?)", text))
    return (revisions - CEM_REVISIONS) | set(MAKERS_PATH.findall(text))


@pytest.mark.parametrize("folder", ["catalog", "slotfit", "docs"])
def test_citations_lead_to_documents_that_exist(folder: str) -> None:
    root = CHECKOUT / folder
    files = [path for path in root.rglob("*") if path.suffix in {".yaml", ".py", ".md"}]
    assert len(files) > 10
    found = {
        path.name: wrong for path in files if (wrong := cited_wrongly(path.read_text("utf-8")))
    }
    assert found == {}


def test_no_newer_slot_rests_on_the_oldest_revision_alone() -> None:
    """Watts of a slot of generation 4 or 5 are not those of 2005 unless later ones keep them."""
    newer = {path.stem for path in FILES if re.search(r"generation: [45]", path.read_text("utf-8"))}
    alone = {
        f"{path.stem}: {text}"
        for path in FILES
        for text in raw(path)["sources"].values()
        if path.stem in newer and "CEM 1.1" in text and not re.search(r"2\.0 to 5\.1|later", text)
    }
    assert alone == set()


@pytest.mark.parametrize("name", BOARD_IDS)
def test_a_boards_sources_name_its_fields_or_receptacles(name: str) -> None:
    board = boards()[name]
    fields = {key for one in board.receptacles for key in type(one).model_fields}
    known = fields | {one.id for one in board.receptacles} | set(type(board).model_fields)
    assert set(board.sources) - known == set()


@pytest.mark.parametrize("path", INVENTED, ids=INVENTED_IDS)
def test_what_is_invented_says_so_first(path: Path) -> None:
    content = raw(path)
    assert content["invented"] is True
    thing = {"board": "board", "chassis": "chassis", "power-supply": "supply"}[content["kind"]]
    assert content["about"].startswith(f"An archetype, not your {thing}; ")


def test_no_part_pretends_to_be_invented() -> None:
    """A generic part is no invention: each figure must stand on its own."""
    assert [name for name, part in parts().items() if part.invented] == []


def test_the_checks_above_can_fail() -> None:
    bare = {"kind": "part", "id": "x", "name": "8 ports", "plug": "cem x8", "power": {"slot_w": 9}}
    assert unsourced(bare) == {"plug", "power"}
    assert unsourced({**bare, "invented": True}) == set()
    assert unsourced({**bare, "sources": {"plug": "a", "power": "b"}}) == set()
    assert unmarked({"sources": {"plug": "somebody said so"}}) == {"plug": "somebody said so"}
    assert unmarked({"sources": {"plug": "CEM connectors (as quoted)"}}) == {}
    assert cited_wrongly("half length, CEM 1.2 card outline") == {"1.2"}
    assert cited_wrongly("FooPkg Some.c, CEM 2.0") == {"FooPkg"}


def test_a_shown_part_still_has_its_sources() -> None:
    part = load("hba-8i-sas3", PartSpec)
    assert part.sources["power"].endswith("(typical, ask the data sheet)")
