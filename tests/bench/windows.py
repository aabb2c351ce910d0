"""
How long windows take, in seconds of processor time: `python -m tests.bench.windows`.

No test: figures of one machine say little of another's, and nothing here is asserted. Rebuilds are
made by hand (windows.yaml), and drawn as in tests/sequence/dice.py, with eleven or more parts and
eleven slots in two machines; both ends, the fewest windows and the best sequence are worked out,
the start of Python left out. Beside them stands what loading OR-Tools by its usual module takes.
"""

from __future__ import annotations

import argparse
import resource
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import replace
from random import Random
from statistics import median

from slotfit.errors import InputError
from slotfit.model.problem import Problem
from slotfit.model.windows import Scheduled
from slotfit.solve.engine import Clock
from slotfit.solve.windows import schedule
from tests.bench.hand_made import cases, whole
from tests.sequence.dice import Size, rebuild
from tests.sequence.test_against_breadth_first import task_of

LARGE = Size(machines=2, slots=6, sockets=2, cards=8, carriers=2, drives=4)
PARTS = range(11, 14)
SLOTS = 11
MOST_WINDOWS = 5


def drawn(wanted: int) -> Iterator[tuple[int, Problem]]:
    """Rebuilds of the size, by the seed of their dice."""
    seed, found = 0, 0
    while found < wanted:
        seed += 1
        try:
            problem = rebuild(Random(seed), LARGE)
        except InputError:
            continue
        slots = sum(one.spec.form == "cem" for one in problem.receptacles if one.on_board)
        if len(problem.parts) in PARTS and len(problem.machines) == 2 and slots >= SLOTS:
            found += 1
            asked = problem.sequence.model_copy(update={"most_windows": MOST_WINDOWS})
            yield seed, replace(problem, on_the_way=asked)


def measure(problem: Problem) -> tuple[float, Scheduled] | None:
    """Seconds of processor time and the answer; None where a drawn layout cannot be."""
    began = time.process_time()
    task = task_of(problem)
    if task is None:
        return None
    made = schedule(task, Clock(120), lambda *_: None)
    return time.process_time() - began, made


REPEATS = 5
"""Of as many goes at one rebuild made by hand the median counts, and the longest is told."""


def by_hand(name: str) -> str:
    """What one rebuild made by hand took."""
    problem = whole(name)
    found = [one for one in (measure(problem) for _ in range(REPEATS)) if one]
    times = [seconds for seconds, _ in found]
    made = found[0][1]
    windows = made.schedule.totals.windows if made.schedule else made.status.value
    return f"{name:26} {windows}: {median(times):.2f}, at most {max(times):.2f}"


def import_s() -> float:
    """What a bare import of OR-Tools' usual module takes more than none."""

    def spent(code: str) -> float:
        before = resource.getrusage(resource.RUSAGE_CHILDREN)
        subprocess.run([sys.executable, "-c", code], check=True)
        after = resource.getrusage(resource.RUSAGE_CHILDREN)
        return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime

    bare = median(spent("") for _ in range(5))
    return median(spent("from ortools.sat.python import cp_model") for _ in range(5)) - bare


def main() -> None:
    """Print a line a number of windows."""
    parser = argparse.ArgumentParser(description=__doc__)
    parser.add_argument("--rebuilds", type=int, default=400, help="drawn; most cannot be")
    rows: dict[str, list[tuple[float, int]]] = {}
    for seed, problem in drawn(parser.parse_args().rebuilds):
        measured = measure(problem)
        if measured:
            seconds, made = measured
            windows = made.schedule.totals.windows if made.schedule else None
            name = f"{windows} windows" if windows is not None else made.status.value
            rows.setdefault(name, []).append((seconds, seed))
    sys.stdout.write(f"import of cp_model: {import_s():.2f} s\n")
    for made_by_hand in cases():
        sys.stdout.write(f"{by_hand(made_by_hand)}\n")
    for name, times in sorted(rows.items()):
        middle = median(seconds for seconds, _ in times)
        worst, seed = max(times)
        figures = f"{middle:.2f}, at most {worst:.2f} (seed {seed})"
        sys.stdout.write(f"{name:12} {len(times):3} rebuilds: {figures}\n")


if __name__ == "__main__":
    main()
