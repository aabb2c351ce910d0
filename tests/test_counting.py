"""Every figure that `benchmarks/house.py` reads off sources, on a tree small enough to count."""

import json
from pathlib import Path

import pytest

from benchmarks import house

TREE = {
    "rules/__init__.py": '"""Rules."""\n',
    "rules/fit001_too_long.py": '''\
        """FIT001: too long; LANE002 is another."""

        ID = "FIT001"
        WHY = "neither FIT9999 nor XFIT001 is a rule"
    ''',
    "rules/lane002_dark.py": '''\
        """LANE002: dark."""

        ID, OTHER = "LANE002", "FIT001"
    ''',
    "engine.py": '''\
        """Names rules, here FIT001 without effect."""

        from __future__ import annotations

        import json  # noqa: E401 - a remark that allows something else

        TABLE = {"FIT001": "see LANE002 and FIT001, not XFIT001", "FIT003": ""}
        MARK = "PLC0415"


        def first(text: str) -> str:
            """Docstrings are not counted."""
            from json import dumps  # noqa: PLC0415 - on purpose

            def inner() -> str:
                import re

                return re.escape(text)

            return (
                dumps(text)
                # a remark inside is part of a body, and no code
                + inner()
            )


        def second() -> None:
            """No body but this."""
    ''',
    "views.py": '''\
        """Classes."""

        from dataclasses import dataclass


        @dataclass
        class Seat:
            part: str
            """Text below a field,

            on three lines."""
            slot: str
            lanes: int | None = None


        @dataclass
        class SeatView:
            """Half of it is copied."""

            part: str
            slot: str
            lanes: int
            label: str


        class Wide(Seat):
            part: str
            slot: str
            lanes: int | None
            more: str


        class Wider(Wide):
            part: str
            slot: str
            lanes: int | None
            far: str


        class Small:
            part: str
            slot: str


        class Other:
            part: bytes
            slot: str
            weight: int

            class Small:
                pass
    ''',
}


@pytest.fixture
def checkout(tmp_path: Path) -> Path:
    for name, text in TREE.items():
        path = tmp_path / "slotfit" / name
        path.parent.mkdir(parents=True, exist_ok=True)
        lines = text.splitlines(keepends=True)
        path.write_text("".join(line.removeprefix(" " * 8) for line in lines).rstrip(" "), "utf-8")
    return tmp_path


@pytest.fixture
def modules(checkout: Path) -> list[house.Module]:
    return house.modules_of(checkout)


def module(modules: list[house.Module], name: str) -> house.Module:
    return next(one for one in modules if one.path == Path(name))


def test_blanks_docstrings_and_comments_are_no_code(modules: list[house.Module]) -> None:
    engine, views = module(modules, "engine.py"), module(modules, "views.py")
    code = house.code_lines(engine)
    text = engine.text.splitlines()
    assert [text[number - 1].strip() for number in sorted(code)] == [
        "from __future__ import annotations",
        "import json  # noqa: E401 - a remark that allows something else",
        'TABLE = {"FIT001": "see LANE002 and FIT001, not XFIT001", "FIT003": ""}',
        'MARK = "PLC0415"',
        "def first(text: str) -> str:",
        "from json import dumps  # noqa: PLC0415 - on purpose",
        "def inner() -> str:",
        "import re",
        "return re.escape(text)",
        "return (",
        "dumps(text)",
        "+ inner()",
        ")",
        "def second() -> None:",
    ]
    # 1 import, 2 decorators, 7 classes, 3 + 4 + 4 + 4 + 2 + 3 fields, 1 pass
    assert len(house.code_lines(views)) == 1 + 2 + 7 + 20 + 1


def test_a_text_that_is_a_value_is_code(tmp_path: Path) -> None:
    path = tmp_path / "slotfit" / "said.py"
    path.parent.mkdir()
    path.write_text('SAID = """\n# not a comment\n\nend"""\n', "utf-8")
    assert house.code_lines(house.modules_of(tmp_path)[0]) == {1, 2, 4}


def test_each_figure_of_the_small_tree(modules: list[house.Module]) -> None:
    assert house.counted(modules) == {
        "code lines": 14 + 31 + 2 + 1,
        "lines of imports": 5,
        "modules": 5,
        "lines of a module, median": 4,
        "functions": 3,
        "lines of a body, median": 3,  # inner: import, blank, return
        "lines of a body, nine of ten": 12,
        "lines of a body, longest": 12,
        "late imports, marks": 1,
        "late imports, statements": 2,
        "rules": 2,
        "rule ids elsewhere, whole constants": 1,
        "rule ids elsewhere, words in constants": 3,
        "modules that name rules": 1,
        "classes": 7,
        "class names twice or more": 1,
        "classes half copied": 4,  # part and slot: two of three fields, or of four
        "classes called ...View": 1,
    }


def test_the_list_names_what_was_counted(modules: list[house.Module]) -> None:
    told = list(house.listed(modules))
    assert "  engine.py: 3" in told
    assert "  Small: views.py, views.py" in told
    assert "  first (engine.py:11): 12" in told


def test_a_child_that_repeats_its_parents_fields_is_no_copy(modules: list[house.Module]) -> None:
    """Wide and Wider repeat what they inherit; SeatView does not inherit it."""
    found = house.copies(house.classes(modules))
    assert found == {
        "Seat (views.py)": "SeatView (views.py)",
        "SeatView (views.py)": "Wider (views.py)",
        "Wide (views.py)": "SeatView (views.py)",
        "Wider (views.py)": "SeatView (views.py)",
    }


def test_the_table_and_the_object_say_the_same(
    checkout: Path, capsys: pytest.CaptureFixture[str]
) -> None:
    house.main([str(checkout), "--json"])
    figures = json.loads(capsys.readouterr().out)
    house.main([str(checkout)])
    rows = capsys.readouterr().out.splitlines()[2:]
    cells = [[cell.strip() for cell in row.strip("|").split("|")] for row in rows]
    assert {name: float(figure) for name, figure in cells} == figures


def test_a_folder_without_slotfit_is_refused(tmp_path: Path) -> None:
    with pytest.raises(SystemExit, match="no Python files"):
        house.main([str(tmp_path)])
