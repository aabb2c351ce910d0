"""How long a search may take, and how much of what could be tried is tried by default."""

from __future__ import annotations

import inspect
from collections.abc import Iterable, Sequence
from typing import TypeVar

import pytest
from _pytest.mark import ParameterSet

from slotfit.cli import progress
from slotfit.cli.main import VERBS, command_of

Value = TypeVar("Value")

SECONDS = 3600.0
"""No search of the tests comes near it, on a busy machine either: each is searched to its end."""

progress.EVERY_SECONDS = SECONDS  # no output of the tests has a line more where work takes long


def unhurried(words: Sequence[str]) -> list[str]:
    """A command as typed, with that limit if it takes one and names none."""
    verb = words[1] if len(words) > 1 else ""
    if verb not in VERBS or "--seconds" in words:
        return [*words]
    takes_one = "seconds" in inspect.signature(command_of(verb)).parameters
    return [*words, "--seconds", str(SECONDS)] if takes_one else [*words]


def mostly_long(values: Iterable[Value], every: int = 2, first: int = 0) -> list[ParameterSet]:
    """Parameters of which one in so many is tried by default, the others in the long run."""
    return [
        pytest.param(value, marks=[] if number % every == first else [pytest.mark.long])
        for number, value in enumerate(values)
    ]
