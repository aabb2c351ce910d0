"""What `check` says, case by case, against tests/cases/check.yaml."""

from __future__ import annotations

from collections.abc import Iterator
from pathlib import Path
from typing import Any

import pytest
import yaml

from slotfit.answers.check.answer import CheckAnswer, ReceptacleVerdict
from slotfit.answers.check.check import check
from slotfit.answers.check.machine_asked import MachineOptions, machine_asked, question_of
from slotfit.load.catalog import Catalog
from slotfit.load.entities import read_inline
from slotfit.model.part import PartSpec

FILE = Path(__file__).parents[1] / "cases" / "check.yaml"
TABLE: dict[str, Any] = yaml.safe_load(FILE.read_text("utf-8"))
CASES: dict[str, Any] = TABLE["cases"]

ASKED = {"slot", "board", "at", "part", "with", "fitted"}
TOLD = {"word", "seen", "alive", "setting", "gives", "says", "omits", "advice", "source"}


def board_of(case: dict[str, Any]) -> str:
    """The case's board as YAML: one processor and `slot1`, unless it says otherwise."""
    board = {"id": "board", "processors": [{"id": "cpu0"}], **case.get("board", {})}
    slot = {"id": "slot1", "form": "cem", "width": 16, "open_end": False}
    given = case.get("slot")
    if given is not None:
        slot |= {"from": "cpu0", "generation": 4, **given}
    others = board.pop("receptacles", [])
    own = [] if any(one["id"] == "slot1" for one in others) else [slot]
    said = {key: value for key, value in slot.items() if value is not None}
    return yaml.safe_dump({**board, "receptacles": [*([said] if own else []), *others]})


def part_of(named: str | dict[str, Any]) -> PartSpec:
    """A part of the table by its name, or as it stands."""
    name, said = (named, TABLE["parts"][named]) if isinstance(named, str) else ("part", named)
    return read_inline(yaml.safe_dump({"id": name, **said}), PartSpec, "the part")


def drives_of(case: dict[str, Any]) -> Iterator[tuple[str | None, PartSpec]]:
    for one in case.get("with", []):
        socket, equals, name = one.rpartition("=")
        yield (socket if equals else None), part_of(name)


def asked(case: dict[str, Any]) -> CheckAnswer:
    """The whole way, as the command line goes it."""
    fitted = tuple(case["fitted"]) if "fitted" in case else None
    machine, _ = machine_asked(
        board_of(case) + "\n", MachineOptions(processors=fitted), Catalog(())
    )
    question = question_of(
        machine, part_of(case["part"]), [*drives_of(case)], case.get("at", "slot1")
    )
    return check(question)


def told(verdict: ReceptacleVerdict) -> str:
    """Every sentence that a verdict shows."""
    facts = [*verdict.unknown, *verdict.provided]
    return "\n".join(
        [
            verdict.setting or "",
            *verdict.notes,
            *(one.statement for one in facts),
            *(one.find_out for one in facts),
            *(one.text for one in verdict.reasons),
            *(one.dark for one in verdict.endpoints),
        ]
    )


def test_every_case_says_where_its_expectation_comes_from() -> None:
    assert len(CASES) >= 40
    assert [name for name, case in CASES.items() if not case.get("source")] == []
    assert [name for name, case in CASES.items() if case.keys() - ASKED - TOLD] == []


@pytest.mark.parametrize("name", CASES)
def test_check_says_what_the_table_says(name: str) -> None:
    case = CASES[name]
    answer = asked(case)
    (verdict,) = answer.plan.receptacles
    assert verdict.status == case["word"]
    if "seen" in case:
        assert f"{verdict.alive} of {verdict.total}" == case["seen"]
    if "alive" in case:
        found = {one.name: one.text for one in verdict.endpoints if one.text != "not detected"}
        assert found == case["alive"]
    if "gives" in case:
        assert verdict.gives == case["gives"]
    assert case.get("setting", "") in (verdict.setting or "")
    for words in case.get("says", []):
        assert words in told(verdict)
    for words in case.get("omits", []):
        assert words not in told(verdict)
    for words in case.get("advice", []):
        assert words in "\n".join(one.text for one in answer.do.advice)


@pytest.mark.parametrize("word", ["works", "works once set", "works in part", "not known"])
def test_a_verdict_without_a_setting_asks_for_none(word: str) -> None:
    """Only `works once set` and what it comes to in part names a setting to make."""
    views = [asked(case).plan.receptacles[0] for case in CASES.values() if case["word"] == word]
    assert views
    for verdict in views:
        assert (verdict.setting is not None) or word != "works once set"
        assert verdict.setting is None or word != "works"


def test_every_word_is_met() -> None:
    words = {case["word"] for case in CASES.values()}
    assert words == {"works", "works once set", "works in part", "not known", "does not work"}
