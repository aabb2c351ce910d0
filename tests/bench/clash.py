"""
What an explanation costs beside a plan, in seconds of processor time.

`python -m tests.bench.clash`

No test: figures of one machine say little of another's, and nothing here is asserted. Pairs of
invented builds of eleven parts for the catalog's board of eleven slots: one that fits, and the same
with something asked that cannot be had, so that nothing fits. Medians of seven runs, the start of
Python left out; then the whole commands, from start to end, with bytecode in place. The commands
take turns, so that what else the machine does falls on all of them alike.
"""

from __future__ import annotations

import os
import resource
import subprocess
import sys
import tempfile
import time
from collections.abc import Callable, Mapping
from functools import partial
from pathlib import Path
from statistics import median

from slotfit import api
from slotfit.answers.no_plan.explain import Findings
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.plan import best_plan
from slotfit.files import catalog_root
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem

FITS = """
kind: build
id: mill
invented: true
machines: [{id: mill, board: server-2p-eleven, airflow_lfm: 450}]
parts:
  - {id: hba, part: hba-8i-sas3, near: cpu0}
  - {id: tape, part: hba-8e-sas3}
  - {id: nic-fast, part: nic-100g-1p, near: cpu1}
  - {id: nic, part: nic-25g-2p, count: 2}
  - {id: nic-old, part: nic-10g-2p}
  - {id: accelerator, part: accel-passive-70w, near: cpu1}
  - {id: carrier, part: carrier-m2x4-gen4}
  - {id: drive, part: nvme-2280-gen4, count: 3}
"""

ASKED_TOO_MUCH = {
    "lanes": ("id: nic-old, part: nic-10g-2p", "id: nic-old, part: nic-100g-1p, min_lanes: 32"),
    "one processor": ("airflow_lfm: 450", "airflow_lfm: 450, processors: [cpu0]"),
    "one slot for two": (
        "{id: tape, part: hba-8e-sas3}\n  - {id: nic-fast, part: nic-100g-1p, near: cpu1}",
        """{id: tape, part: hba-8e-sas3, only: [slot3]}
  - {id: nic-fast, part: nic-100g-1p, only: [slot3]}""",
    ),
    "four live drives": (
        "{id: carrier, part: carrier-m2x4-gen4}",
        "{id: carrier, part: carrier-m2x4-gen4, endpoints: 4, only: [slot1, slot10]}",
    ),
    "three apart": ("count: 3}", "count: 3}\napart: [{parts: [hba, tape, nic], by: processor}]"),
    "watts": (
        "airflow_lfm: 450",
        "airflow_lfm: 450, power_supply: supply-350w-flex, base_w: 200",
    ),
}
"""What is asked -> words of the build that fits, and what stands in their place."""

RUNS = 7


def seconds(work: Callable[[], object]) -> float:
    """Median of some runs."""
    took = []
    for _ in range(RUNS):
        began = time.process_time()
        work()
        took.append(time.process_time() - began)
    return median(took)


def commands_s(texts: Mapping[str, str]) -> dict[str, float]:
    """The whole `slotfit place` of each build, from start to end."""
    took: dict[str, list[float]] = {name: [] for name in texts}
    with tempfile.TemporaryDirectory() as folder:
        for number in range(RUNS + 1):
            for name, text in texts.items():
                file = Path(folder) / "build.yaml"
                file.write_text(text)
                spent = command_s(file)
                if number:  # the first may have had to compile
                    took[name].append(spent)
    return {name: median(each) for name, each in took.items()}


def command_s(file: Path) -> float:
    """One command."""
    kept = {name: said for name, said in os.environ.items() if name != "PYTHONDONTWRITEBYTECODE"}
    before = resource.getrusage(resource.RUSAGE_CHILDREN)
    subprocess.run(
        [sys.executable, "-m", "slotfit", "place", str(file)],
        stdout=subprocess.DEVNULL,
        check=False,
        env=kept,
    )
    after = resource.getrusage(resource.RUSAGE_CHILDREN)
    return after.ru_utime + after.ru_stime - before.ru_utime - before.ru_stime


def explained(problem: Problem, catalog: Catalog) -> Findings:
    """Clash and ways out, the catalog's parts read for it."""
    return api.explain(problem, Shop(catalog))


def main() -> None:
    """A line a pair."""
    catalog = Catalog((catalog_root(),))
    fits = load_build_text(FITS, catalog)
    out = sys.stdout.write
    placed = best_plan(fits)
    plan_s = seconds(lambda: best_plan(fits))
    texts = {name: FITS.replace(words, new) for name, (words, new) in ASKED_TOO_MUCH.items()}
    whole_s = commands_s({"plan": FITS, **texts})
    plan_whole_s = whole_s["plan"]
    out(f"one plan ({placed.status.value}): {plan_s:.3f}; whole command {plan_whole_s:.2f}\n")
    for name, text in texts.items():
        problem = load_build_text(text, catalog)
        told = explained(problem, catalog)
        why_s = seconds(partial(explained, problem, catalog))
        out(
            f"{name}: {len(told.clashes)} clashes, {len(told.found.ways)} ways out: {why_s:.3f}, "
            f"{why_s / plan_s:.1f} times; whole command {whole_s[name]:.2f}, "
            f"{whole_s[name] / plan_whole_s:.1f} times\n"
        )


if __name__ == "__main__":
    main()
