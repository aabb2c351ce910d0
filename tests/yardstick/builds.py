"""The builds that are asked about, by name: examples, builds worked out by hand, random ones."""

from __future__ import annotations

import re
from collections.abc import Callable
from functools import cache, partial
from pathlib import Path
from typing import Any

import yaml

from slotfit.model.problem import Problem
from tests.rules.tables import build_of
from tests.yardstick.answers import problem_in, problem_of
from tests.yardstick.drawn import drawn, text_of

ROOT = Path(__file__).parents[2]

HARD = ROOT / "tests" / "hard" / "builds.yaml"

SEEDS = range(255)


@cache
def builds() -> dict[str, Callable[[], Problem]]:
    """Name -> the build, loaded when it is asked for."""
    files = sorted((ROOT / "examples").glob("*/build.yaml"))
    found: dict[str, Callable[[], Problem]] = {
        f"example-{file.parent.name}": partial(problem_in, file) for file in files
    }
    found["example-demo-on-grebe"] = demo_on_grebe
    for name, case in yaml.safe_load(HARD.read_text("utf-8")).items():
        called = "hard-" + "-".join(re.findall(r"[a-z0-9]+", name.lower()))
        found[called] = partial(hard, called, case)
    for seed in SEEDS:
        found[f"drawn-{seed}"] = partial(random_build, seed)
    return found


def demo_on_grebe() -> Problem:
    """The demo on the board that it is compared with."""
    file = ROOT / "examples" / "demo" / "build.yaml"
    text = file.read_text("utf-8").replace("./board.yaml", "../compare/grebe.yaml")
    text = text.replace("m2_1, m2_2", "nvme1, nvme2")
    return problem_of(text, "demo-on-grebe.yaml", file.parent)


def hard(name: str, case: dict[str, Any]) -> Problem:
    """A build whose outcome was worked out by hand."""
    return problem_of(text_of(build_of(case)), f"{name}.yaml")


def random_build(seed: int) -> Problem:
    """A random build."""
    return problem_of(drawn(seed), f"drawn-{seed}.yaml")
