"""The rulebook as a whole: ids, words, and a table for every rule."""

from __future__ import annotations

import doctest
import re
from pathlib import Path

import pytest

import slotfit.rule
import slotfit.rules
from slotfit.rule import Rule
from slotfit.rulebook import (
    BY_ID,
    HARDWARE_PLAN_RULES,
    HARDWARE_SEAT_RULES,
    PLAN_RULES,
    RULES,
    SEAT_RULES,
)
from tests.rules.tables import KEYS, tables

FILES = sorted(Path(slotfit.rules.__file__).parent.glob("[!_]*.py"))

MARKS = ("as quoted", "read in the source", "measured", "from memory", "common practice, no source")
OUR_OWN = ("our own word", "description", "build file", "board file", "chassis", "supply")
"""What a rule may rest on beside documents: the user's own files."""

EVERY_RULE = pytest.mark.parametrize("rule", RULES, ids=lambda rule: rule.id)


def test_examples_in_docstrings() -> None:
    assert doctest.testmod(slotfit.rule) == doctest.TestResults(failed=0, attempted=1)


def test_the_rules_about_hardware_are_those_that_forbid_or_darken() -> None:
    assert {rule.id for rule in (*HARDWARE_SEAT_RULES, *HARDWARE_PLAN_RULES)} == {
        rule.id for rule in RULES if rule.severity in ("forbids", "darkens")
    }


def test_ids_are_unique_and_in_order() -> None:
    ids = [rule.id for rule in RULES]
    assert ids == sorted(set(ids))
    assert list(BY_ID) == ids
    assert len(SEAT_RULES) + len(PLAN_RULES) == len(RULES)


def test_every_file_is_one_rule_and_named_for_its_id() -> None:
    stems = [path.stem.partition("_")[0].upper() for path in FILES]
    assert stems == [rule.id for rule in RULES]


@EVERY_RULE
def test_id_is_an_area_and_three_digits(rule: Rule) -> None:
    assert re.fullmatch(r"[A-Z]{3,4}\d{3}", rule.id)


@EVERY_RULE
def test_the_file_is_headed_by_id_and_title(rule: Rule) -> None:
    path = next(path for path in FILES if path.stem.startswith(rule.id.lower()))
    assert path.read_text("utf-8").startswith(f'"""{rule.id}: {rule.title}."""\n')


@EVERY_RULE
def test_title_names_a_fault_and_gives_no_advice(rule: Rule) -> None:
    assert rule.title
    assert not rule.title.endswith(".")
    assert not {"must", "should", "please"} & set(rule.title.split())


@EVERY_RULE
def test_why_is_a_sentence(rule: Rule) -> None:
    assert rule.why[0].isupper()
    assert rule.why.endswith(".")


@EVERY_RULE
def test_source_names_a_document_with_its_mark_or_the_users_own_file(rule: Rule) -> None:
    assert any(word in rule.source for word in (*MARKS, *OUR_OWN, "standards/"))


@EVERY_RULE
def test_rule_has_a_table_with_a_speaking_and_a_silent_case(rule: Rule) -> None:
    table = tables()[rule.id]
    assert table["rule"] == rule.id
    assert table["source"]
    spoken = [bool(case.get("says") or case.get("rests_on")) for case in table["cases"].values()]
    assert any(spoken), "no case in which the rule speaks"
    assert not all(spoken), "no case in which the rule is silent"


def test_every_table_belongs_to_a_rule() -> None:
    assert sorted(tables()) == [rule.id for rule in RULES]


def test_every_key_of_a_case_means_something() -> None:
    """A slip in a key would leave a case silent for the wrong reason."""
    unknown = [
        f"{rule}, {name}: {key}"
        for rule, table in tables().items()
        for name, case in table["cases"].items()
        for key in case.keys() - KEYS
    ]
    assert unknown == []


def expected_words() -> list[str]:
    """Every reason and statement in the tables."""
    return [
        words
        for table in tables().values()
        for case in table["cases"].values()
        for words in (*case.get("says", ()), *case.get("rests_on", ()))
    ]


@pytest.mark.parametrize("words", sorted(set(expected_words())))
def test_reasons_fit_after_because(words: str) -> None:
    """A clause: no capital but of a name or quotation, no full stop, all on one line."""
    assert not words.endswith(".")
    assert "\n" not in words
    first = words.split(maxsplit=1)[0]
    assert not re.fullmatch(r"[A-Z][a-z]+", first)
