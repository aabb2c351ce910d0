"""A manual's slot table becomes a board: lines understood, listed, and none wrong."""

from __future__ import annotations

import random
from collections.abc import Iterator
from pathlib import Path

import pytest
import yaml

from slotfit.answers.catalog.manual_table import board_from_table
from slotfit.load.entities import read_inline
from slotfit.model.board import Board
from tests.catalog_command.manuals import MANUALS, Manual
from tests.catalog_command.manuals_of_others import MANUALS_OF_OTHERS
from tests.catalog_command.typed import typed

EVERY = {**MANUALS, **MANUALS_OF_OTHERS}
every_manual = pytest.mark.parametrize("manual", EVERY.values(), ids=EVERY)
few_or_many = pytest.mark.parametrize(
    "seeds", [range(2), pytest.param(range(2, 80), marks=pytest.mark.long)], ids=["few", "many"]
)


def made_of(text: str) -> dict[str, dict[str, object]]:
    """Label -> the fields that are written of it."""
    return {one["label"]: one for one in yaml.safe_load(board_from_table(text))["receptacles"]}


def wrong_in(text: str, manual: Manual) -> dict[str, set[str]]:
    """Label -> the fields that are not true of the manual."""
    found = {}
    for name, fields in made_of(text).items():
        truth = manual.truth.get(name)
        told = {key: value for key, value in fields.items() if key not in ("id", "label")}
        if truth is None:
            found[name] = {"label"}
        elif wrong := {key for key, value in told.items() if truth.get(key) != value}:
            found[name] = wrong
    return found


def dropped_from(text: str, source: str) -> set[str]:
    """Words of the manual that stand nowhere in the file."""
    words = source.translate(str.maketrans('|,;"', "    ")).split()
    return {word for word in words if word not in text and any(map(str.isalnum, word))}


@every_manual
def test_nothing_is_guessed_and_nothing_dropped(manual: Manual) -> None:
    text = board_from_table(manual.text)
    board = yaml.safe_load(text)
    read_inline(text, Board, "board.yaml")
    assert not wrong_in(manual.text, manual)
    ways = [way["gives"] for one in board.get("lane_groups", ()) for way in one["arrangements"]]
    assert ways == manual.groups
    assert len(board["processors"]) == manual.processors
    listed = text.partition("# Not understood")[2].count("\n#   ") // 2
    assert (len(board["receptacles"]), listed) == (manual.understood, manual.listed)
    assert not dropped_from(text, manual.text)


def lines_of(manual: Manual, words: int) -> tuple[list[str], list[int]]:
    """Its lines, and the places of those with so many words and a figure, which no heading has."""
    lines = manual.text.splitlines()
    every = [n for n, line in enumerate(lines) if len(line.split()) >= words]
    return lines, [n for n in every if any(map(str.isdigit, lines[n]))]


def drawn_lines(
    manual: Manual, words: int, seeds: range
) -> Iterator[tuple[random.Random, list[str], int]]:
    """For each seed its dice, the lines, and the place of one of them."""
    for seed in seeds:
        chance = random.Random(seed)
        lines, places = lines_of(manual, words)
        if places:
            yield chance, lines, chance.choice(places)


@few_or_many
@every_manual
def test_a_line_that_is_wrapped_behind_its_name_says_nothing_else(
    manual: Manual, seeds: range
) -> None:
    for chance, lines, at in drawn_lines(manual, 4, seeds):
        words = lines[at].split(" ")
        cut = chance.randrange(2, len(words))
        lines[at] = " ".join(words[:cut]) + "\n" + " " * 40 + " ".join(words[cut:])
        text = "\n".join(lines)
        assert not wrong_in(text, manual), text
        assert not dropped_from(board_from_table(text), text), text


UNHEARD = ("‡", "†", "¹", "共享", "нет", "ü", "quorble", "never", "except", "?", "≤")
"""Marks of footnotes, and words and signs that may take back what the line says."""


@few_or_many
@every_manual
def test_a_line_with_a_mark_or_word_that_is_not_understood_makes_nothing(
    manual: Manual, seeds: range
) -> None:
    for chance, lines, at in drawn_lines(manual, 3, seeds):
        words = lines[at].split()
        unheard = chance.choice(UNHEARD)
        words[chance.randrange(len(words) // 2, len(words))] += f" {unheard}"
        lines[at] = " ".join(words)
        board, _, _ = board_from_table("\n".join(lines)).partition("# Not understood")
        assert f" {unheard}" not in board.partition("receptacles:")[2], lines[at]


@few_or_many
@every_manual
def test_a_row_with_a_cell_too_few_or_too_many_is_listed(manual: Manual, seeds: range) -> None:
    for seed in seeds:
        chance = random.Random(seed)
        lines, places = lines_of(manual, 1)
        mark = next((mark for mark in "|;," if manual.text.count(mark) > 2 * len(lines)), None)
        if mark is None:
            return
        at = chance.choice([n for n in places if mark in lines[n]])
        within = [n for n, letter in enumerate(lines[at]) if letter == mark]
        cut = chance.choice(within[1:-1] or within)
        lines[at] = lines[at][:cut] + chance.choice(("", mark * 2)) + lines[at][cut + 1 :]
        text = "\n".join(lines)
        assert not wrong_in(text, manual), text
        assert not dropped_from(board_from_table(text), text), text


@pytest.mark.parametrize(
    "line",
    [
        "Slots:",
        "Expansion slots",
        "Onboard 2.5 GbE controller (PCIe 3.0 x1)",
        "LAN1: PCIe 3.0 x1",
        "BMC2 (PCIe 2.0 x1)",
        "Soldered PCIe 3 (PCIe 3.0 x4)",
        "PCIe 4.0 x16, from CPU",
        "CPU 1: PCIe 4.0 x16",
        "SLOT2, SLOT3: PCIe 4.0 x8",
        "SLOT2-4: PCIe 4.0 x8",
        "SLOT2/SLOT3: PCIe 4.0 x8",
        "Slot 2 and Slot 3: PCIe 4.0 x8",
        "SLOT2: PCIe 4.0 x8 slot (x16 lanes)",
        "1 x PCIe 4.0 x4 slot (X16)",
        "SLOT2: PCIe 3.0 x4, with CPU2",
    ],
)
def test_what_is_no_receptacle_makes_none(line: str) -> None:
    assert list(made_of(f"{line}\nSLOT1: PCIe 4.0 x16\n")) == ["SLOT1"]


def test_what_a_line_says_of_a_slot_ends_its_name() -> None:
    assert list(made_of("PCH SLOT1 PCI-E 3.0 X4 (IN X8)\nJM2-1 M.2 PCI-E 3.0 X4 (PCH)\n")) == [
        "PCH SLOT1",
        "JM2-1",
    ]


@pytest.mark.parametrize("name", ["SLOT1, SLOT2", "SLOT1/2", "SLOT1-2", "SLOT1 & 2"])
def test_a_row_of_several_makes_not_one(name: str) -> None:
    assert not made_of(f"| Slot | Lanes | Gen |\n|---|---|---|\n| {name} | x8 | 4 |\n")


def test_a_type_of_slot_is_not_its_name() -> None:
    head = "| Slot type | Designation | Lanes |\n|---|---|---|\n"
    assert list(made_of(f"{head}| PCIe x16 slot | SLOT1 | x8 |\n")) in ([], ["SLOT1"])


def test_two_widths_of_one_column_are_not_the_connector_and_its_wires() -> None:
    head = "| Slot | Mechanical | Electrical | PCIe gen. |\n|---|---|---|---|\n"
    assert "SLOT1" not in made_of(f"{head}| SLOT1 | x16 | x16/x8 | 4.0 |\n")


def test_a_second_heading_holds_for_the_rows_below_it() -> None:
    made = made_of(
        "| Slot | Physical | Electrical |\n|---|---|---|\n| SLOT1 | x16 | x8 |\n"
        "| Slot | Electrical | Physical |\n|---|---|---|\n| SLOT2 | x4 | x8 |\n"
    )
    assert [(one["width"], one["lanes"]) for one in made.values()] == [(16, 8), (8, 4)]


def test_a_mark_on_a_heading_holds_for_every_row() -> None:
    assert not made_of("| Slot | Lanes* | PCIe gen. |\n|---|---|---|\n| SLOT1 | x16 | 4.0 |\n")


def test_a_star_that_no_other_closes_is_a_footnotes() -> None:
    assert list(made_of("SLOT1: PCIe 4.0 x16 *\n**SLOT2**: PCIe 4.0 **x8**\n")) == ["SLOT2"]


def test_rows_of_another_length_than_the_heading_are_listed_beside_a_note() -> None:
    text = board_from_table("A note\n| Slot | Physical |\n|---|---|\n| SLOT1 | x16 | x8 |\n")
    assert "SLOT1" in text


def test_a_heading_that_no_row_fits_is_listed() -> None:
    assert "Physical" in board_from_table("| Slot | Physical |\n|---|---|\n| SLOT1 | x16 | x8 |\n")


def test_a_first_line_with_figures_is_no_heading() -> None:
    made = made_of("SLOT1, PCIe 4.0 x16, CPU\nSLOT2, PCIe 3.0 x4, CPU\n")
    assert list(made) == ["SLOT1", "SLOT2"]


def test_lengths_from_one_to_another_are_not_two_lengths() -> None:
    assert not made_of("M2_2 (M key), 2242-22110: PCIe 3.0 x4\n")


@pytest.mark.parametrize(
    ("text", "count"),
    [
        ("SLOT1: PCIe 4.0 x16, CPU1\nSLOT2: odd, CPU2\nSLOT3: PCIe 3.0 x1\n", 2),
        ("SLOT1: PCIe 4.0 x16, CPU\nSLOT2: odd, needs the second processor\n", 2),
        ("SLOT1: PCIe 4.0 x16\nPOWER: CPU 8-pin, CPU 4 fan\n", 1),
    ],
)
def test_a_processor_that_only_a_listed_line_speaks_of_is_counted(text: str, count: int) -> None:
    assert len(yaml.safe_load(board_from_table(text))["processors"]) == count


def test_a_long_line_is_listed_to_its_end() -> None:
    assert "odd quorble" in board_from_table("SLOT1: PCIe 4.0 x16, " + "odd " * 200 + "quorble\n")


def test_most_lines_are_understood() -> None:
    understood = sum(one.understood for one in MANUALS.values())
    assert understood > 2 * sum(one.listed for one in MANUALS.values())


def test_a_table_is_read_from_a_file_or_from_what_comes_in(
    tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    Path("table.txt").write_text(MANUALS["runs at"].text, "utf-8")
    assert typed("new", "board", "--table", "table.txt", "-o", "mine.yaml").code == 0
    lint = typed("catalog", "lint", "mine.yaml").out
    assert "To mend" not in lint
    assert typed("new", "part", "--table", "table.txt").code == 2
    assert typed("new", "board", "--table", "gone.txt").code == 2
