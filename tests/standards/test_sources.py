"""Every figure says where it comes from, and the examples in the modules hold."""

import doctest
from collections.abc import Iterator
from types import ModuleType
from typing import get_args

import pytest

from slotfit.model import words
from slotfit.standards import cages, cem, forms, pcie, power, source, storage
from slotfit.standards.source import COMMON_PRACTICE, MARKS, OWN_WORD, Source

TABLES = [power, cages, cem, forms, pcie, storage]


def by_name(module: ModuleType) -> str:
    return module.__name__.rpartition(".")[2]


def sources_in(value: object) -> Iterator[Source]:
    """Every source in a value, however deep in tables and rows."""
    if isinstance(value, Source):
        yield value
    elif isinstance(value, dict):
        for part in value.values():
            yield from sources_in(part)
    elif isinstance(value, tuple | list):
        for part in value:
            yield from sources_in(part)


def vague(found: Source) -> bool:
    """No known mark, or a claim that a document is behind it without a word on which."""
    needs_place = found.mark not in {COMMON_PRACTICE, OWN_WORD}
    return found.mark not in MARKS or (needs_place and not found.document + found.section)


@pytest.mark.parametrize("module", TABLES, ids=by_name)
def test_every_source_has_a_place_and_a_mark(module: ModuleType) -> None:
    found = [each for value in vars(module).values() for each in sources_in(value)]
    assert found
    assert [str(each) for each in found if vague(each)] == []


@pytest.mark.parametrize("module", TABLES, ids=by_name)
def test_every_row_has_its_source(module: ModuleType) -> None:
    """A row is a named tuple in a table; single values are none."""
    tables = [value for value in vars(module).values() if isinstance(value, tuple | dict)]
    rows = [
        row
        for table in tables
        for row in (table.values() if isinstance(table, dict) else table)
        if hasattr(row, "_fields")
    ]
    assert rows or module is forms
    assert [row for row in rows if not list(sources_in(row))] == []


@pytest.mark.parametrize("module", TABLES, ids=by_name)
def test_rows_cannot_be_changed(module: ModuleType) -> None:
    defined = [each for each in vars(module).values() if isinstance(each, type)]
    rows = [each for each in defined if each.__module__ == module.__name__]
    assert [each.__name__ for each in rows if not issubclass(each, tuple | Exception)] == []


def test_a_source_without_place_or_mark_is_noticed() -> None:
    assert vague(Source("a document", "1"))
    assert vague(Source("", "", source.READ))
    assert not vague(Source("", "", COMMON_PRACTICE))
    assert list(sources_in({"a": (1, Source("d", "s"))})) == [Source("d", "s")]


def test_a_source_reads_as_document_section_and_mark() -> None:
    assert str(Source("DSP0134", "7.10", source.AS_QUOTED)) == "DSP0134 7.10 (as quoted)"
    assert str(Source("DSP0134", "7.10")) == "DSP0134 7.10"
    assert str(Source("", "", COMMON_PRACTICE)) == "common practice, no source"


@pytest.mark.parametrize("module", [*TABLES, source], ids=by_name)
def test_examples_hold(module: ModuleType) -> None:
    result = doctest.testmod(module)
    assert result.failed == 0
    assert result.attempted > 0 or module in {power, forms}


def test_the_files_words_are_the_tables_words() -> None:
    """The closed vocabularies of the model name only forms and plugs that have a row."""
    assert set(get_args(words.Form)) <= set(forms.PLUG_FORMS)
    assert set(forms.FORMS) <= set(get_args(words.Form))
    assert set(get_args(words.CageForm)) == set(cages.CAGES)
    assert set(get_args(words.AuxPlug)) == set(power.PLUGS)
