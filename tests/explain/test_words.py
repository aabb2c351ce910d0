"""The words of explanations: lists of names, like facts told once, the table in the how-to."""

from __future__ import annotations

import doctest
from pathlib import Path

import pytest

from slotfit import api, listing
from slotfit.answers.no_plan.case import canonical, case_of
from slotfit.answers.no_plan.clash import clash_of
from slotfit.answers.no_plan.give_up import KINDS
from slotfit.answers.place.plan import best_plan
from slotfit.load.build_file import load_build, load_build_text
from slotfit.load.catalog import standard_catalog
from slotfit.model.plan import Status
from slotfit.solve.engine import Clock
from tests.builds import THEMES
from tests.limits import SECONDS
from tests.solve.looked_at import of_theme

ROOT = Path(__file__).parents[2]
HOWTO = ROOT / "docs" / "howto" / "when-it-does-not-fit.md"
EXAMPLES = sorted((ROOT / "examples").glob("infeasible-*/build.yaml"))


def test_examples_in_docstrings() -> None:
    done = doctest.testmod(listing)
    assert done.attempted > 0
    assert done.failed == 0


@pytest.mark.parametrize("theme", THEMES)
def test_every_reason_of_a_clash_is_told_once(theme: str) -> None:
    for problem, best in of_theme(theme):
        if best.cost is None:
            case = case_of(canonical(problem))
            clash, core = clash_of(case, Clock(SECONDS))
            assert clash is not None
            assert core is not None
            told = [reason for sentence in clash.sentences for reason in sentence.reasons]
            assert len(told) == len(core.names)
            rules = sorted(case.reasons[name].rule for name in core.names)
            assert rules == sorted(s.says.rule for s in clash.sentences for _ in s.reasons)


def test_the_how_to_lists_every_kind_in_its_order() -> None:
    rows = [
        f"| {kind.title} | {kind.why} | {', '.join(f'`{word}`' for word in kind.closed_by)} |"
        for kind in KINDS
    ]
    table = "\n".join(rows).replace("|  |", "| |")
    assert table in HOWTO.read_text("utf-8")


@pytest.mark.parametrize("file", EXAMPLES, ids=lambda file: file.parent.name)
def test_an_example_does_not_fit_and_says_where_each_fact_stands(file: Path) -> None:
    problem = load_build(file, standard_catalog())
    assert best_plan(problem, SECONDS).status is Status.IMPOSSIBLE
    told = api.explain(problem, ways=1, seconds=SECONDS)
    for clash in told.clashes:
        assert clash.minimal
        for sentence in clash.sentences:
            assert sentence.says.where
            for place in sentence.says.where:
                written, number, column = place.rsplit(":", 2)
                line = (ROOT / written).read_text("utf-8").splitlines()[int(number) - 1]
                assert len(line) >= int(column)


def test_there_are_three_examples() -> None:
    assert len(EXAMPLES) == 3


CARRIED = """
id: carried
machines:
  - {id: tower, board: server-1p, base_w: 180,
     power_supply: {id: small, watts: 500, plugs: {pcie-8: 2, pcie-6: 2, sata-power: 8}}}
parts:
  - {id: accel, part: accel-fan-250w}
  - {id: hba, part: hba-8i-sas3}
  - {id: wire, part: cable-8643-4sas-500, count: 2}
  - {id: disk, part: hdd-sas-3.5-7200, count: 8}
"""


def test_a_sum_counts_what_carries_the_parts_and_shows_the_clash() -> None:
    # 500 W less 180 W are 320 W. The accelerator takes 250 W, a disk 11 W: six disks come to 316 W,
    # which would do; the adapter without which no disk has a seat takes 13 W more.
    problem = canonical(load_build_text(CARRIED, standard_catalog(), beside=ROOT))
    clash, _ = clash_of(case_of(problem), Clock(SECONDS))
    assert clash is not None
    (power,) = [one.says.text for one in clash.sentences if one.says.rule == "POW003"]
    assert power.endswith(
        "accel takes 250 W, disk-1 to disk-6 take 11 W each, hba takes 13 W (it carries disk-1 to "
        "disk-6), 329 W in all"
    )
