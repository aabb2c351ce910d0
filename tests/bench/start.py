"""
How long a command takes from start to end: `python -m tests.bench.start`.

No test: nothing here is asserted. Processor time (user and system) of whole processes in
milliseconds, medians over rounds in which every command runs once, so that a busy machine slows all
alike. The limit is one and a half times the bare import of pydantic and typer, plus 60 ms.
Bytecode is kept in a folder for the run, as an installed package has it; `--no-bytecode` compiles
every time, as with PYTHONDONTWRITEBYTECODE.
"""

from __future__ import annotations

import argparse
import os
import sys
import tempfile
from collections.abc import Iterator, Mapping, Sequence
from pathlib import Path
from statistics import median

ROOT = Path(__file__).parents[2]
BUILD = str(ROOT / "examples/demo/build.yaml")
BARE = ("-c", "import pydantic, typer")
COMMANDS = (
    "--help",
    "check --help",
    "catalog show hba-8i-sas3",
    "catalog show carrier-m2x4-gen4",
    "catalog show workstation",
    "catalog show server-2p-eleven",
    "check hba-8i-sas3 desktop-small",
    "check carrier-m2x4-gen4 workstation",
    "check carrier-m2x4-gen4 workstation --with nvme-2280-gen4",
    "check nic-100g-2p server-2p",
    "check carrier-m2x4-gen4 server-2p-risers --with nvme-2280-gen4",
    f"check hba {BUILD}",
    "carriers workstation",
    "catalog list",
    f"why {BUILD} hba slot1",
    f"draw {BUILD}",
    f"place {BUILD}",
)


def spent_ms(command: Sequence[str], around: Mapping[str, str]) -> float:
    """Processor time of one process, in ms; what it prints goes nowhere."""
    nowhere = [(os.POSIX_SPAWN_OPEN, to, os.devnull, os.O_WRONLY, 0) for to in (1, 2)]
    line = [sys.executable, *command]
    child = os.posix_spawn(sys.executable, line, {**around}, file_actions=nowhere)
    used = os.wait4(child, 0)[2]
    return (used.ru_utime + used.ru_stime) * 1000


def environment(bytecode: str | None) -> dict[str, str]:
    """This one's, with bytecode kept in a folder or not at all."""
    kept = {key: value for key, value in os.environ.items() if not key.startswith("PYTHON")}
    kept["PYTHONPATH"] = str(ROOT)
    if bytecode is None:
        return {**kept, "PYTHONDONTWRITEBYTECODE": "1"}
    return {**kept, "PYTHONPYCACHEPREFIX": bytecode}


def table(rounds: int, around: Mapping[str, str], words: Sequence[str]) -> Iterator[str]:
    """A line a command, after one round that is not counted."""
    asked = {line: ("-m", "slotfit", *line.split()) for line in COMMANDS}
    chosen = {line: asked[line] for line in asked if not words or any(w in line for w in words)}
    times: dict[str, list[float]] = {}
    for _ in range(rounds + 1):
        for line, command in {"": BARE, **chosen}.items():
            times.setdefault(line, []).append(spent_ms(command, around))
    bare = median(times.pop("")[1:])
    yield f"bare import {bare:.0f} ms, limit {1.5 * bare + 60:.0f} ms"
    for line, took in times.items():
        yield f"{line.replace(BUILD, 'demo'):64}{median(took[1:]):6.0f} ms"


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.strip().splitlines()[0])
    asked.add_argument("words", nargs="*", help="only commands with one of these in them")
    asked.add_argument("--rounds", type=int, default=9)
    asked.add_argument("--no-bytecode", action="store_true")
    said = asked.parse_args()
    with tempfile.TemporaryDirectory() as folder:
        around = environment(None if said.no_bytecode else folder)
        for line in table(said.rounds, around, said.words):
            sys.stdout.write(line + "\n")


if __name__ == "__main__":
    main()
