"""Captures, damaged at random: a reading and a joined machine come out, whatever happens."""

from __future__ import annotations

import random
from collections.abc import Callable
from pathlib import Path

import pytest

from slotfit.read.join import join
from slotfit.read.sources import readings_of_bytes
from tests.read.outside import captures, real_captures


def cut(data: bytes, dice: random.Random) -> bytes:
    start = dice.randrange(len(data) // 2)
    return data[start : dice.randrange(start, len(data))]


def flip(data: bytes, dice: random.Random) -> bytes:
    changed = bytearray(data)
    for _ in range(dice.randrange(1, 60)):
        changed[dice.randrange(len(changed))] = dice.randrange(256)
    return bytes(changed)


def shuffle(data: bytes, dice: random.Random) -> bytes:
    lines = data.split(b"\n")
    dice.shuffle(lines)
    return b"\n".join(lines)


def lose(data: bytes, dice: random.Random) -> bytes:
    return b"\n".join(line for line in data.split(b"\n") if dice.random() > 0.2)


def glue(data: bytes, dice: random.Random) -> bytes:
    return b"".join(line + (b"" if dice.random() < 0.05 else b"\n") for line in data.split(b"\n"))


def digits(data: bytes, dice: random.Random) -> bytes:
    """Numbers changed in place: huge widths, slots, counts, addresses."""
    return bytes(
        dice.choice(b"0123456789abcdef") if 48 <= byte < 58 and dice.random() < 0.1 else byte
        for byte in data
    )


DAMAGES = [cut, flip, shuffle, lose, glue, digits]


def survives(data: bytes) -> None:
    readings = readings_of_bytes(data, "t")
    seen = join(readings)
    records = [record for one in seen.receptacles for record in one.records]
    assert len(records) == max((len(reading.slots) for reading in readings), default=0)
    assert [str(one) for one in seen.disagreements] or not seen.disagreements


@pytest.mark.parametrize("damage", DAMAGES)
@pytest.mark.parametrize(("folder", "pattern"), [("lspci", "*.txt"), ("dmidecode", "*.txt"),
                                                 ("smbios", "*.bin")])  # fmt: skip
def test_damaged_captures_are_still_read(
    damage: Callable[[bytes, random.Random], bytes], folder: str, pattern: str
) -> None:
    for number, path in enumerate(captures(folder, pattern)[:12]):
        survives(damage(path.read_bytes(), random.Random(number)))


def test_two_captures_in_one_text_are_both_read() -> None:
    table = captures("dmidecode", "kiln.txt")[0].read_bytes()
    bus = captures("lspci", "loom-3.8.txt")[0].read_bytes()
    kinds = {reading.kind for reading in readings_of_bytes(b"Hello\n" + table + bus, "t")}
    assert kinds == {"dmidecode text", "lspci text"}


@pytest.mark.long
@pytest.mark.parametrize("damage", DAMAGES)
def test_every_capture_survives_much_damage(
    damage: Callable[[bytes, random.Random], bytes],
) -> None:
    paths: list[Path] = [*real_captures("dmidecode"), *real_captures("lspci")]
    for number, path in enumerate(paths):
        for round_number in range(10):
            survives(damage(path.read_bytes(), random.Random(number * 100 + round_number)))
