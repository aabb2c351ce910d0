"""What was read is held against itself: a machine that nobody touched has no fault."""

from __future__ import annotations

from pathlib import Path

import pytest

from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import best_plan
from slotfit.answers.verify.answer import VerifyAnswer
from slotfit.answers.verify.planned import as_it_stands, planned_machine
from slotfit.answers.verify.verdict import verify
from slotfit.read.sources import machine_seen
from tests.describe.loading import described, loaded
from tests.limits import SECONDS
from tests.read.outside import SAMPLE, name_of, real_captures

SAMPLES = sorted(path for path in SAMPLE.rglob("*.*") if path.is_file())


def held_against_itself(source: Path, folder: Path) -> VerifyAnswer:
    """Read, written as files, loaded, and the same capture held against today's layout."""
    seen = machine_seen([source])
    problem = as_it_stands(loaded(described(seen), folder / "made"))
    placed = best_plan(problem, SECONDS)
    assert placed.plan
    return verify(planned_machine(answer_of(placed), "build.yaml"), seen, "today's layout")


@pytest.mark.parametrize("source", SAMPLES, ids=name_of)
def test_a_machine_that_nobody_touched_has_no_fault(source: Path, tmp_path: Path) -> None:
    answer = held_against_itself(source, tmp_path)
    assert answer.do.faults == ()
    bare = source.parent.name in ("dmidecode", "smbios")  # a table without the bus
    assert (answer.verdict.word == "yes, if") == bare


@pytest.mark.long
@pytest.mark.parametrize("folder", ["lspci", "sysfs"])
def test_nor_has_any_machine_of_the_collection(folder: str, tmp_path: Path) -> None:
    for number, source in enumerate(real_captures(folder, "*.[tb]*")):
        if source.suffix in (".txt", ".bz2"):
            answer = held_against_itself(source, tmp_path / str(number))
            assert (source.name, answer.do.faults) == (source.name, ())


@pytest.mark.long
def test_a_bare_table_shows_no_link_and_no_fault(tmp_path: Path) -> None:
    """Slot tables alone see no device: what they cannot tell stays open."""
    for number, source in enumerate(real_captures("dmidecode")[::8]):
        answer = held_against_itself(source, tmp_path / str(number))
        assert (source.name, answer.do.faults) == (source.name, ())
        assert [one.kind for one in answer.watch.open] == ["not-read"]
