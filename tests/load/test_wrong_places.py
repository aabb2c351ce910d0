"""A mistake is told where it was made: brackets where they open, keys where they belong."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from random import Random

import pytest
import yaml

from slotfit.errors import InputError, Mistake
from slotfit.load.elsewhere import MOST_HOMES, as_written, homes
from slotfit.load.entities import describe
from slotfit.load.findings import keys_of
from slotfit.load.words import key_hint
from slotfit.load.yaml_file import parse_yaml
from slotfit.model.board import Board
from slotfit.model.build import Build
from slotfit.model.entity import Entity, Span
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import PartSpec
from tests.limits import mostly_long

ROOT = Path(__file__).parents[2]
FILES = sorted(
    path
    for pattern in ("examples/*/*.yaml", "catalog/*/*.yaml")
    for path in ROOT.glob(pattern)
    if "{" in path.read_text("utf-8")
)

Place = tuple[int, int]
"""Line and column, from 1."""


@cache
def brackets(text: str) -> dict[Place, tuple[int, Place, int]]:
    """Place of each opening bracket -> its offset, and place and offset of the one that ends it."""
    starts = (yaml.FlowSequenceStartToken, yaml.FlowMappingStartToken)
    ends = (yaml.FlowSequenceEndToken, yaml.FlowMappingEndToken)
    open_, found = [], {}
    for token in yaml.scan(text, Loader=yaml.SafeLoader):
        mark = token.start_mark
        if isinstance(token, starts):
            open_.append(mark)
        elif isinstance(token, ends):
            first = open_.pop()
            found[first.line + 1, first.column + 1] = (
                first.index, (mark.line + 1, mark.column + 1), mark.index,
            )  # fmt: skip
    return found


def told(text: str) -> tuple[Mistake, ...]:
    with pytest.raises(InputError) as caught:
        parse_yaml(text, "build.yaml")
    return caught.value.mistakes


@pytest.mark.parametrize("seed", mostly_long(range(400), 8))
def test_a_bracket_that_is_not_closed_is_told_where_it_opens(seed: int) -> None:
    """It, or one around it: who leaves out the inner of two alike has the outer one unclosed."""
    dice = Random(f"bracket {seed}")
    text = dice.choice(FILES).read_text("utf-8")
    every = brackets(text)
    place = dice.choice([*every])
    _, _, end = every[place]
    mistakes = told(text[:end] + text[end + 1 :])
    around = [one for one, (at, _, last) in every.items() if at <= every[place][0] and last >= end]
    assert place in around
    (mistake,) = mistakes
    assert isinstance(mistake.where, Span)
    assert (mistake.where.line, mistake.where.column) in around
    sign = text[every[mistake.where.line, mistake.where.column][0]]
    assert mistake.text == f"the `{sign}` that opens here is never closed"


@pytest.mark.parametrize(
    ("text", "said"),
    [
        ("a: {b: 1]\nc: 2\n", ["1:4: the `{` that opens here is never closed"]),
        ("a: [1, 2\nb: {c: 3\nd: 4\n", [
            "1:4: the `[` that opens here is never closed",
            "2:4: the `{` that opens here is never closed",
        ]),
        ("a: 1]\n", []),
        ("a: [1]]\n", ["1:7: the `]` closes nothing"]),
        ("a: 'b\nc: 1\n", ["1:4: the `'` that opens here is never closed"]),
        ("a: [1, @x]\n", ["1:8: not YAML: found character that cannot start any token"]),
        ("parts:\n  - {id: a}\n    count: 2\n", [
            "3:5: indented below an item that is closed already; write it between its brackets"
        ]),
    ],
)  # fmt: skip
def test_every_open_bracket_is_told_and_nothing_that_is_in_order(
    text: str, said: list[str]
) -> None:
    try:
        parse_yaml(text, "f")
        mistakes: tuple[Mistake, ...] = ()
    except InputError as error:
        mistakes = error.mistakes
    assert sorted(f"{one}".removeprefix("f:") for one in mistakes) == said


KINDS: tuple[type[Entity], ...] = (Build, Board, PartSpec, Chassis, PowerSupply)


def misplaced(kind: type[Entity]) -> list[str]:
    """Every key that is known below the top of a kind of file, and not at its top."""
    top = keys_of(kind)
    return [
        key
        for key, paths in homes(kind).items()
        if key not in top and len(paths) <= MOST_HOMES and not key_hint(key, top)
    ]


def written_at(path: tuple[str, ...], key: str) -> str:
    """A file with the key there, and nothing else."""
    inner: object = {key: None}
    for step in reversed(path):
        inner = {step.removesuffix("[]"): [inner] if step.endswith("[]") else inner}
    return yaml.safe_dump(inner)


def unknown(kind: type[Entity], text: str, key: str) -> list[str]:
    """What is said of the key where it is not known."""
    mistakes = describe(kind, parse_yaml(text, "f")).mistakes
    return [one.text for one in mistakes if one.path.endswith(key) and "unknown key" in one.text]


@pytest.mark.parametrize("kind", KINDS, ids=lambda kind: kind.__name__)
def test_a_key_at_the_wrong_level_is_told_where_it_belongs(kind: type[Entity]) -> None:
    """And there it is known."""
    for key in misplaced(kind):
        (text,) = unknown(kind, written_at((), key), key)
        for path in homes(kind)[key]:
            assert as_written(path, key) in text
            assert unknown(kind, written_at(path, key), key) == []


def test_a_build_has_keys_to_misplace() -> None:
    assert {"settings_today", "base_w", "may_be_down"} <= {*misplaced(Build)}
