"""Plans, dumps and builds damaged at random: every command ends with a code that is promised."""

from __future__ import annotations

import json
import random
import re
from collections.abc import Callable, Iterator
from functools import cache
from pathlib import Path
from typing import Any
from unittest.mock import patch

import pytest
import yaml

from slotfit.cli import read as cli_read
from slotfit.errors import UNSEEN
from slotfit.read.machine import MachineSeen
from tests.catalog_command.typed import Done, typed
from tests.read.invented import files
from tests.read.test_damage import DAMAGES, survives
from tests.verify.scenes import TABLE, document, planned_bus, seen_on

CODES = {0, 1, 2, 3, 4}
"""Those of docs/reference/exit-codes.md that need neither a fault nor a signal."""

RAW = {chr(code) for code in UNSEEN} - {"\n", "\t"}
EVIL = "\x1b[31m\x9b2J\u202eevil\u2066\n\x00\x7f\u200f"
HUGE = float("9e999")

JUNK: tuple[Any, ...] = (
    None, True, False, 0, -1, 1, 99, 1 << 40, 10**400, HUGE, -HUGE, float("nan"), 0.5, 1e300, "",
    "x", EVIL, "\ud800", "9" * 5000, "²", [], [[]], {}, {"": []}, [[[]]], [None], [EVIL],
    {EVIL: EVIL},
)  # fmt: skip

SIGNS = EVIL.encode("utf-8", "surrogatepass")
NUMBER = b"9" * 5000
TEXTS = (SIGNS, NUMBER, NUMBER, NUMBER, b"-1", b"0", b"\xb2", b"\xff", b"1e999", b"")


def ways(value: Any, here: tuple[Any, ...] = ()) -> Iterator[tuple[Any, ...]]:
    """The way to everything inside a value."""
    steps: list[Any] = list(value) if isinstance(value, dict) else []
    steps = list(range(len(value))) if isinstance(value, list) else steps
    for step in steps:
        yield (*here, step)
        yield from ways(value[step], (*here, step))


def junk_inside(value: Any, dice: random.Random) -> Any:
    """A copy with things in it exchanged: mostly for some of their own type, which are read on."""
    made = json.loads(json.dumps(value))
    wild = dice.random() < 0.3
    for _ in range(dice.randrange(1, 4 if wild else 20)):
        if not (found := [*ways(made)]):
            break
        *way, last = dice.choice(found)
        holder = made
        for step in way:
            holder = holder[step]
        if not wild:
            holder[last] = another(holder[last], dice)
        elif dice.random() < 0.2:
            del holder[last]
        else:
            holder[last] = dice.choice(JUNK)
    return made


def another(value: Any, dice: random.Random) -> Any:
    """A value of the same type, as no honest file has it."""
    if isinstance(value, bool):
        return not value
    if isinstance(value, int):
        return dice.choice((0, -1, 1, 2, 8, 99, 1 << 40))
    if isinstance(value, float):
        return dice.choice((0.0, -1.0, 75.0, 1e300, HUGE, float("nan")))
    if isinstance(value, str):
        return dice.choice(
            ("", "x", EVIL, value + EVIL, "²", "9" * 5000, value + "/x", "cpu0", "s1")
        )
    if isinstance(value, list):
        return dice.choice(([], value * 2, value[::-1], [[]] if dice.random() < 0.05 else value))
    return value


def damaged(data: bytes, dice: random.Random) -> bytes:
    """Text or table: bytes anywhere, or every number behind some word, are what nobody expects."""
    if dice.random() < 0.3:
        return dice.choice(DAMAGES)(data, dice)
    for _ in range(dice.randrange(1, 9)):
        if before := before_numbers(data):
            data = exchanged(data, dice.choice(before), dice.choice(TEXTS))
    return data


def before_numbers(data: bytes) -> list[bytes]:
    """What stands right before the numbers in a text."""
    return sorted({*re.findall(rb"[A-Za-z#:]+\W{0,3}(?=\d)", data)})


def exchanged(data: bytes, before: bytes, new: bytes) -> bytes:
    """Every number behind this is another text."""
    return re.sub(rb"(?<=" + re.escape(before) + rb")\d+(?:\.\d+)?", new, data)


def promised(done: Done, *, as_json: bool) -> None:
    """The code is promised, and no terminal obeys what was printed."""
    assert done.code in CODES, done
    assert not RAW & {*done.out, *done.err}
    if done.code == 2:
        assert (done.out, done.err.strip() != "") == ("", True)
    elif as_json and done.out:
        json.loads(done.out)


BUS = "".join(one.dump(128) for one in planned_bus().values())


def plan_text(value: Any, dice: random.Random) -> bytes:
    """As JSON; numbers without end as `1e999`, as such a file may say them."""
    text = json.dumps(value, ensure_ascii=dice.random() < 0.8).replace("Infinity", "1e999")
    data = text.encode("utf-8", "surrogatepass")
    return damaged(data, dice) if dice.random() < 0.1 else data


def verify_plan(dice: random.Random) -> None:
    plan = document()
    part = dice.choice(("plan", "plan", "plan", ""))
    if part:
        plan[part] = junk_inside(plan[part], dice)
    else:
        plan = junk_inside(plan, dice)
    Path("plan.json").write_bytes(plan_text(plan, dice))
    as_json = dice.random() < 0.3
    words = ["--json"] if as_json else []
    with patch.object(cli_read, "machine_seen", lambda _: seen()):
        promised(typed("verify", "plan.json", "not-read", *words), as_json=as_json)


def verify_dump(dice: random.Random) -> None:
    Path("plan.json").write_text(json.dumps(document()))
    Path("bus.txt").write_bytes(damaged(BUS.encode(), dice))
    run_verify(dice)


def run_verify(dice: random.Random) -> None:
    Path("table.bin").write_bytes(damaged(TABLE, dice) if dice.random() < 0.3 else TABLE)
    as_json = dice.random() < 0.3
    words = ["--json"] if as_json else []
    promised(typed("verify", "plan.json", "bus.txt", "table.bin", *words), as_json=as_json)


@cache
def seen() -> MachineSeen:
    """The machine as planned, read once."""
    return seen_on(planned_bus())


SAMPLE = files()


def read_dump(dice: random.Random) -> None:
    """Of each format."""
    folder = dice.choice(("dmidecode", "lspci", "smbios", "sysfs"))
    name = dice.choice([name for name in sorted(SAMPLE) if name.startswith(folder)])
    Path(f"dump{Path(name).suffix}").write_bytes(damaged(SAMPLE[name], dice))
    as_json = dice.random() < 0.3
    words = ["--json"] if as_json else []
    done = typed("read", f"dump{Path(name).suffix}", "-o", "made", "--force", *words)
    promised(done, as_json=as_json)
    for file in Path("made").glob("**/*.yaml") if Path("made").exists() else ():
        assert not RAW & {*file.read_text("utf-8")}


@pytest.mark.parametrize("name", ["dmidecode/kiln.txt", "dmidecode/loom.txt", "lspci/loom-2.2.txt"])
@pytest.mark.parametrize("number", [NUMBER, b"999999999", "²".encode()], ids=len)
def test_no_number_behind_any_word_stops_a_reader(name: str, number: bytes) -> None:
    for before in before_numbers(SAMPLE[name]):
        survives(exchanged(SAMPLE[name], before, number))


BUILD: dict[str, Any] = yaml.safe_load("""
kind: build
id: small
machines:
- id: box
  board:
    kind: board
    id: b
    processors: [{id: cpu0}]
    receptacles:
    - {id: s1, form: cem, width: 16, lanes: 16, splits: [x8x8], generation: 4}
    - {id: s2, form: cem, width: 8, lanes: 4, open_end: true, position: 2}
parts:
- id: nic
  count: 1
  part: {kind: part, id: n, name: A card, plug: cem x8, links: x8, generation: 3, power_w: 20}
- {id: hba, only: [s1, s2], part: {kind: part, id: h, plug: cem x8, links: x8}}
today: {nic: s1}
""")


def place_build(dice: random.Random) -> None:
    text = yaml.safe_dump(junk_inside(BUILD, dice), allow_unicode=dice.random() < 0.5)
    data = text.encode("utf-8", "surrogatepass")
    Path("build.yaml").write_bytes(damaged(data, dice) if dice.random() < 0.3 else data)
    as_json = dice.random() < 0.3
    words = ["--json"] if as_json else []
    promised(typed("place", "build.yaml", "--ways", "1", *words), as_json=as_json)


Command = Callable[[random.Random], None]
COMMANDS: dict[Command, int] = {verify_plan: 30, verify_dump: 5, read_dump: 15, place_build: 15}
"""How often each is tried by default; in the long run so many times as often."""
LONGER = 10
EACH = pytest.mark.parametrize("command", COMMANDS, ids=lambda one: str(one.__name__))


@EACH
def test_what_is_damaged_is_answered_or_refused(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    tried(command, range(COMMANDS[command]))


@pytest.mark.long
@EACH
def test_what_is_damaged_is_answered_or_refused_at_length(
    command: Command, tmp_path: Path, monkeypatch: pytest.MonkeyPatch
) -> None:
    monkeypatch.chdir(tmp_path)
    tried(command, range(1000, 1000 + COMMANDS[command] * LONGER))


def tried(command: Command, seeds: range) -> None:
    for seed in seeds:
        try:
            command(random.Random(seed))
        except Exception as fault:
            fault.add_note(f"{command.__name__}, seed {seed}")
            raise
