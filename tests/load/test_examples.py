"""The examples in the loader's docstrings are true."""

import doctest
import importlib

import pytest

MODULES = ["build_file", "edit", "expand", "words", "yaml_file"]


@pytest.mark.parametrize("name", MODULES)
def test_examples_in_docstrings(name: str) -> None:
    done = doctest.testmod(importlib.import_module(f"slotfit.load.{name}"))
    assert done.attempted > 0
    assert done.failed == 0
