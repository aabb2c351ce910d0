"""`draw`, `sheet` and `place --draw` as a user calls them."""

from __future__ import annotations

import struct
import sys
import webbrowser
from pathlib import Path
from xml.etree import ElementTree as ET

import html5lib
import pytest

from slotfit.answers.place.plan import best_plan
from slotfit.cli.main import run
from slotfit.draw import picture
from slotfit.draw.slot_row import slot_row_svg
from slotfit.errors import InputError
from slotfit.load.build_file import load_build
from slotfit.load.catalog import standard_catalog
from slotfit.model.plan import Placed
from tests.limits import SECONDS
from tests.render.hand_answer import hand_answer

DEMO = str(Path(__file__).parents[2] / "examples" / "demo" / "build.yaml")
"""Its answer is yes, if an unproven fact holds: exit code 4."""

IMPOSSIBLE = """
kind: build
id: no-way
machines: [{id: box, board: desktop-small}]
parts:
  - {id: one, part: {kind: part, id: one, plug: cem x16, links: x16}}
  - {id: two, part: {kind: part, id: two, plug: cem x16, links: x16}}
  - {id: three, part: {kind: part, id: three, plug: cem x16, links: x16}}
  - {id: four, part: {kind: part, id: four, plug: cem x16, links: x16}}
  - {id: five, part: {kind: part, id: five, plug: cem x16, links: x16}}
"""


def slotfit(monkeypatch: pytest.MonkeyPatch, *arguments: str | Path) -> int:
    """The exit code of `slotfit ARGUMENTS`."""
    monkeypatch.setattr(sys, "argv", ["slotfit", *map(str, arguments)])
    with pytest.raises(SystemExit) as done:
        run()
    return int(done.value.code or 0)


@pytest.fixture(scope="module")
def demo_answer() -> Placed:
    return best_plan(load_build(Path(DEMO), standard_catalog(())), SECONDS)


SOLVING = ("slotfit.answers.place.of_plan", "slotfit.sheet.sheet", "slotfit.cli.place")
"""Where the commands of this file have a plan worked out."""


@pytest.fixture
def solved_once(monkeypatch: pytest.MonkeyPatch, demo_answer: Placed) -> None:
    """The demo's answer stands ready: what is tested here comes after it."""
    for module in SOLVING:
        monkeypatch.setattr(f"{module}.best_plan", lambda *_: demo_answer)


@pytest.fixture
def solved_never(monkeypatch: pytest.MonkeyPatch) -> None:
    """Whoever places anything fails the test."""

    def solved(*_: object) -> None:
        pytest.fail("it was solved first")

    for module in SOLVING:
        monkeypatch.setattr(f"{module}.best_plan", solved)


@pytest.mark.usefixtures("solved_once")
@pytest.mark.parametrize("view", ["row", "topology"])
def test_a_drawing_is_written_to_the_file_or_printed(
    view: str, tmp_path: Path, monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str]
) -> None:
    file = tmp_path / "out.svg"
    assert slotfit(monkeypatch, "draw", DEMO, "--view", view, "-o", file) == 4
    assert ET.fromstring(file.read_text("utf-8")).tag.endswith("svg")
    assert capsys.readouterr().out == ""
    assert slotfit(monkeypatch, "draw", DEMO, "--view", view) == 4
    assert capsys.readouterr().out.strip() == file.read_text("utf-8").strip()


@pytest.mark.usefixtures("solved_once")
def test_the_sheet_is_written(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    file = tmp_path / "sheet.html"
    assert slotfit(monkeypatch, "sheet", DEMO, "-o", file) == 4
    html5lib.HTMLParser(strict=True).parse(file.read_text("utf-8"))
    assert [one.name for one in tmp_path.iterdir()] == ["sheet.html"]


@pytest.mark.usefixtures("solved_once")
def test_the_sheet_is_shown_in_the_browser(tmp_path: Path, monkeypatch: pytest.MonkeyPatch) -> None:
    shown: list[str] = []

    def show(url: str) -> bool:
        shown.append(url)
        return True

    monkeypatch.setattr(webbrowser, "open", show)
    file = tmp_path / "sheet.html"
    assert slotfit(monkeypatch, "sheet", DEMO, "-o", file, "--open") == 4
    assert shown == [file.as_uri()]


@pytest.mark.parametrize(
    ("arguments", "complaints"),
    [
        (["draw", "-o", "{}/a.pdf"], ["a.pdf: write a name that ends in .svg or .png"]),
        (["draw", "-o", "{}/no/a.svg"], ["a.svg: there is no folder"]),
        (["draw", "--view", "topology", "-o", "{}"], ["write a name that ends in"]),
        (["sheet", "-o", "{}/a.txt"], ["a.txt: write a name that ends in .html or .htm"]),
        (["place", "--draw", "{}/a", "--draw", "{}/no/b.dot"], ["ends in", "no folder"]),
    ],
    ids=str,
)
@pytest.mark.usefixtures("solved_never")
def test_a_bad_file_name_is_told_before_anything_is_worked_out(
    arguments: list[str],
    complaints: list[str],
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    verb, *rest = (argument.format(tmp_path) for argument in arguments)
    assert slotfit(monkeypatch, verb, DEMO, *rest) == 2
    lines = capsys.readouterr().err.strip().splitlines()
    assert len(lines) == len(complaints)
    assert all(said in line for said, line in zip(complaints, lines, strict=True))
    assert list(tmp_path.iterdir()) == []


@pytest.mark.parametrize(("verb", "name"), [("draw", "a.svg"), ("sheet", "a.html")])
def test_without_a_plan_the_board_is_drawn_and_the_answer_is_no(
    verb: str,
    name: str,
    tmp_path: Path,
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
) -> None:
    build = tmp_path / "build.yaml"
    build.write_text(IMPOSSIBLE, "utf-8")
    assert slotfit(monkeypatch, verb, build, "-o", tmp_path / name) == 1
    assert capsys.readouterr().err.startswith("No: no plan exists")
    assert "free" in (tmp_path / name).read_text("utf-8")


def png_size(data: bytes) -> tuple[int, int]:
    """Width and height in pixels (PNG, third edition, 11.2.1)."""
    assert data[:8] == b"\x89PNG\r\n\x1a\n"
    wide, high = struct.unpack(">II", data[16:24])
    return wide, high


def test_the_topology_is_drawn_as_pixels_and_as_dot(tmp_path: Path) -> None:
    for ending in ("png", "dot"):
        picture.write_topology(hand_answer(), tmp_path / f"a.{ending}")
    assert min(png_size((tmp_path / "a.png").read_bytes())) > 500
    assert (tmp_path / "a.dot").read_text("utf-8").startswith("digraph")


def test_the_slot_row_is_drawn_as_pixels_without_a_browser(tmp_path: Path) -> None:
    resvg_py = pytest.importorskip("resvg_py", reason="the extra `png` is missing")
    if picture.plain_family(resvg_py.svg_to_bytes) is None:
        pytest.skip("no font is installed")
    picture.write_svg(slot_row_svg(hand_answer()), tmp_path / "a.png")
    assert min(png_size((tmp_path / "a.png").read_bytes())) > 500


def test_a_missing_png_library_is_told_with_the_way_out(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.setitem(sys.modules, "resvg_py", None)
    with pytest.raises(InputError, match=r"pip install 'slotfit\[png\]'"):
        picture.write_svg(slot_row_svg(hand_answer()), tmp_path / "a.png")


def test_a_machine_without_fonts_gets_no_empty_picture() -> None:
    assert picture.plain_family(lambda **_: b"same") is None


def test_whichever_plain_font_is_there_is_used() -> None:
    def draw(svg_string: str, sans_serif_family: str = "Arial") -> bytes:
        return b"M" if "text" in svg_string and sans_serif_family == "DejaVu Sans" else b""

    assert picture.plain_family(draw) == "DejaVu Sans"


def test_the_layout_program_that_came_along_is_found(monkeypatch: pytest.MonkeyPatch) -> None:
    monkeypatch.setenv("PATH", "")
    assert Path(picture.layout_program()).name == "graphviz-pure"
    monkeypatch.setattr(sys, "executable", "/nowhere/python")
    with pytest.raises(InputError, match="graphviz-pure"):
        picture.layout_program()


def test_windows_are_drawn_as_the_sequence_draws_them(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    build = str(Path(__file__).parents[2] / "examples" / "sequence-lighthouse" / "build.yaml")
    drawn, sequence = tmp_path / "drawn.svg", tmp_path / "sequence.svg"
    assert slotfit(monkeypatch, "draw", build, "--view", "windows", "-o", str(drawn)) == 0
    assert slotfit(monkeypatch, "sequence", build, "--draw", str(sequence)) == 0
    assert drawn.read_text("utf-8") == sequence.read_text("utf-8")


@pytest.mark.usefixtures("solved_never")
def test_a_board_is_drawn_with_nothing_in_it(
    monkeypatch: pytest.MonkeyPatch, capsys: pytest.CaptureFixture[str], tmp_path: Path
) -> None:
    file = tmp_path / "board.svg"
    assert slotfit(monkeypatch, "catalog", "show", "workstation", "--draw", file) == 0
    assert "workstation" in capsys.readouterr().out
    drawn = ET.parse(file).getroot()
    receptacles = {one.get("data-site") for one in drawn.iter() if one.get("data-site")}
    assert receptacles == {f"slot{number}" for number in range(1, 8)}
    assert not [one for one in drawn.iter() if one.get("data-item")]
    text = " ".join(drawn.itertext())
    assert "workstation: Workstation" in text
    assert "Everything required is placed" not in text


@pytest.mark.parametrize(
    ("name", "file", "said"),
    [
        ("hba-8i-sas3", "row.svg", "only boards are drawn"),
        ("workstation", "row.pdf", "write a name that ends in .svg or .png"),
        ("workstation", "no/row.svg", "there is no folder"),
    ],
)
def test_what_cannot_be_drawn_is_told_before_anything_is_printed(
    monkeypatch: pytest.MonkeyPatch,
    capsys: pytest.CaptureFixture[str],
    tmp_path: Path,
    name: str,
    file: str,
    said: str,
) -> None:
    assert slotfit(monkeypatch, "catalog", "show", name, "--draw", tmp_path / file) == 2
    told = capsys.readouterr()
    assert said in told.err
    assert told.out == ""
    assert list(tmp_path.iterdir()) == []
