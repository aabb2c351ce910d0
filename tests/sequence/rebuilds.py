"""The rebuilds of `examples/`, and small ones written in a test, made ready and planned."""

from __future__ import annotations

from functools import cache
from pathlib import Path
from typing import Any

import yaml

from slotfit import api
from slotfit.answers.sequence.task import made_ready
from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import Catalog, standard_catalog
from slotfit.model.plan import Placed
from slotfit.model.problem import Problem
from slotfit.model.windows import Scheduled, Task
from slotfit.solve.engine import Clock
from slotfit.solve.windows import schedule

EXAMPLES = Path(__file__).parents[2] / "examples"
LIGHTHOUSE = EXAMPLES / "sequence-lighthouse" / "build.yaml"
NO_WAY = EXAMPLES / "sequence-no-way" / "build.yaml"


@cache
def catalog() -> Catalog:
    return standard_catalog(())


def example(path: Path) -> Problem:
    return load_build(path, catalog())


def changed(path: Path, **keys: Any) -> Problem:
    """An example with some top keys of its file replaced."""
    content = yaml.safe_load(path.read_text("utf-8")) | keys
    return load_build_text(yaml.safe_dump(content, sort_keys=False), catalog(), beside=path.parent)


def asked_otherwise(path: Path, **keys: Any) -> Problem:
    """An example with some keys of its `sequence` replaced."""
    content = yaml.safe_load(path.read_text("utf-8"))
    return changed(path, sequence=content["sequence"] | keys)


def best(problem: Problem, seconds: float) -> Placed:
    return api.place(problem, seconds)


def ready(problem: Problem) -> Task:
    task = made_ready(problem, best, Clock(60)).task
    assert task is not None
    return task


def planned(task: Task, seconds: float = 60) -> Scheduled:
    return schedule(task, Clock(seconds), lambda *_: None)
