"""Each bad file says exactly what is wrong, where, and what to write instead."""

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.errors import InputError
from slotfit.load import yaml_file
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.load.entities import read_inline
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec

HERE = Path(__file__).parent
TABLES = sorted((HERE / "bad_files").glob("*.yaml"))
MODELS: dict[str, Any] = {
    "part": PartSpec,
    "board": Board,
    "chassis": Chassis,
    "power-supply": PowerSupply,
}


def cases() -> Iterator[Any]:
    for table in TABLES:
        content = yaml.safe_load(table.read_text(encoding="utf-8"))
        for name, case in content["cases"].items():
            yield pytest.param(
                content["kind"], case["text"], case["says"], id=f"{table.stem}-{name}"
            )


def said_of(kind: str, text: str) -> list[str]:
    """What the loader says of a text; a text without mistakes is a failure of the test."""
    with pytest.raises(InputError) as caught:
        read(kind, text)
    return str(caught.value).split("\n")


def read(kind: str, text: str) -> object:
    if kind == "build":
        return load_build_text(text, Catalog([HERE / "catalog"]))
    return read_inline(text, MODELS[kind], f"{kind}.yaml")


@pytest.mark.parametrize(("kind", "text", "says"), [*cases()])
def test_every_mistake_is_said_with_its_line(
    kind: str, text: str, says: list[str], monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(HERE)  # files below it are shown relative to it
    assert said_of(kind, text) == says


def test_the_parser_in_pure_python_says_the_same(monkeypatch: pytest.MonkeyPatch) -> None:
    """Where PyYAML comes without its C library, messages do not change."""
    monkeypatch.chdir(HERE)
    monkeypatch.setattr(yaml_file, "LOADER", yaml.SafeLoader)
    for case in cases():
        kind, text, says = case.values
        assert said_of(kind, text) == says


TEN = {
    "board": (
        "id: my board",
        "from: cpu1",
        "x8",
        "slot9:",
        "prof:",
        "widht:",
        "position: 7",
        "lanes: 16",
        "id: slot2",
        "generation: 4.5",
    ),
    "build": (
        "colour:",
        "cpu2]",
        "count: many",
        "part: carrier-3",
        "near: gpu0",
        "id: card, part: carrier-2, only",
        "slot8]",
        "id: box",
        "weight: 0",
        "card: m2",
    ),
}
"""What is wrong in the file of ten mistakes, in its order."""


@pytest.mark.parametrize("kind", sorted(TEN))
def test_ten_mistakes_print_ten_lines_that_point_at_them(kind: str) -> None:
    content = yaml.safe_load((HERE / "bad_files" / f"{kind}.yaml").read_text(encoding="utf-8"))
    text = content["cases"]["ten_mistakes"]["text"]
    lines = said_of(kind, text)
    assert len(lines) == len(TEN[kind]) == 10
    for line, wrong in zip(lines, TEN[kind], strict=True):
        _, row, column, _ = line.split(":", 3)
        assert text.splitlines()[int(row) - 1][int(column) - 1 :].startswith(wrong)


def test_many_mistakes_are_cut_short() -> None:
    text = "id: b\n" + "".join(f"key{number}: 1\n" for number in range(150))
    lines = said_of("part", text)
    assert len(lines) == 101
    assert lines[-1] == "and 51 more"
