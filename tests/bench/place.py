"""
How long placing takes, in seconds of processor time: `python -m tests.bench.place`.

No test: figures of one machine say little of another's, and nothing here is asserted. Builds are
drawn as in tests/builds.py. Medians and maxima over the seeds; `--seeds` and `--sizes` change them.
"""

from __future__ import annotations

import argparse
import subprocess
import sys
import time
from collections.abc import Iterator
from dataclasses import dataclass, replace
from pathlib import Path
from random import Random
from statistics import median

from slotfit.answers.place.plan import state_all
from slotfit.model.problem import Problem
from slotfit.solve.frame import build_frame
from slotfit.solve.place import place
from tests.builds import big_build

ROOT = Path(__file__).parents[2]
SIZES = ((4, 5), (7, 9), (11, 14), (11, 17), (18, 24), (40, 60))

DISKS = """
kind: build
id: disks
machines:
  - {id: box, board: server-2p-eleven}
parts:
  - {id: hba, part: hba-16i-sas3, count: 2}
  - {id: cable, part: cable-8643-4sas-1000, count: 6}
  - {id: disk, part: hdd-sata-3.5-7200, count: 24}
"""
"""Many parts alike: each of the disks could be on any connector of any cable."""


@dataclass(frozen=True)
class Times:
    """What one build took."""

    seats: int
    variables: int
    rows: int
    state_s: float
    place_s: float
    status: str


def measure(problem: Problem, limit_s: float) -> Times:
    """State it, then place it, each with a clock of its own."""
    began = time.process_time()
    seating, clauses = state_all(problem)
    stated = time.process_time()
    answer = place(problem, seating, clauses, limit_s)
    done = time.process_time()
    model = build_frame(problem, seating, clauses, in_order=True).model
    sizes = (len(seating.seats), len(model.domains), len(model.proto.constraints))
    return Times(*sizes, stated - began, done - stated, answer.status.value)


def crowded(problem: Problem) -> Problem:
    """The same parts, all of them required: mostly impossible."""
    wish = {part.id: part.wish.model_copy(update={"required": True}) for part in problem.parts}
    parts = tuple(replace(part, wish=wish[part.id]) for part in problem.parts)
    return replace(problem, parts=parts)


def rows(sizes: list[tuple[int, int]], seeds: int, limit_s: float) -> Iterator[str]:
    """A line a size, parts optional, and one with all of them required."""
    for slots, parts in sizes:
        builds = [big_build(Random(seed), slots, parts) for seed in range(seeds)]
        yield line(f"{slots} slots, {parts} parts", [measure(b, limit_s) for b in builds])
        must = [measure(crowded(build), limit_s) for build in builds]
        yield line(f"{slots} slots, all required", must)


def line(name: str, times: list[Times]) -> str:
    """Medians, and the longest."""
    words = sorted({t.status for t in times})
    counts = ", ".join(f"{sum(t.status == word for t in times)} {word}" for word in words)
    return (
        f"{name:26}{median(t.seats for t in times):8.0f}{median(t.variables for t in times):8.0f}"
        f"{median(t.rows for t in times):8.0f}{median(t.state_s for t in times):9.3f}"
        f"{median(t.place_s for t in times):9.3f}{max(t.place_s for t in times):9.3f}  {counts}"
    )


def disks() -> Problem:
    """The build of `DISKS`, from the catalog."""
    from slotfit.files import catalog_root  # noqa: PLC0415 - only here
    from slotfit.load.build_file import load_build_text  # noqa: PLC0415
    from slotfit.load.catalog import Catalog  # noqa: PLC0415

    return load_build_text(DISKS, Catalog((catalog_root(),)))


def whole_process(*command: str) -> float:
    """Median of five runs from start to end, in seconds on the wall."""
    took = []
    for _ in range(5):
        began = time.perf_counter()
        subprocess.run([sys.executable, *command], cwd=ROOT, stdout=subprocess.DEVNULL, check=False)
        took.append(time.perf_counter() - began)
    return median(took)


def main() -> None:
    asked = argparse.ArgumentParser(description=__doc__.strip().splitlines()[0])
    asked.add_argument("--seeds", type=int, default=8)
    asked.add_argument("--limit", type=float, default=60.0, help="seconds for one build")
    asked.add_argument("--sizes", nargs="*", help="such as 11x14")
    said = asked.parse_args()
    sizes = [(int(s), int(p)) for s, p in (each.split("x") for each in said.sizes or ())]
    out = sys.stdout.write
    out(f"{'':26}{'seats':>8}{'vars':>8}{'rows':>8}{'state':>9}{'place':>9}{'longest':>9}\n")
    for text in rows(sizes or list(SIZES), said.seeds, said.limit):
        out(text + "\n")
    out(line("24 disks on 6 cables", [measure(disks(), said.limit)]) + "\n")
    out("whole process, demo: ")
    out(f"{whole_process('-m', 'slotfit', 'place', 'examples/demo/build.yaml'):.2f} s; ")
    out("import of the modelling layer alone: ")
    out(f"{whole_process('-c', 'from ortools.sat.python import cp_model'):.2f} s\n")


if __name__ == "__main__":
    main()
