"""One question with the verdicts on it, for one part or for several that are alike."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.check.answer import Verdict
from slotfit.check.question import Question


@dataclass(frozen=True)
class Told:
    """A question, and what `check` says to it."""

    question: Question
    verdicts: tuple[Verdict, ...]
    names: tuple[str, ...]
    """The parts it holds for. Where they are several, the question's part stands for each."""


@dataclass(frozen=True)
class AllTold:
    """Every part of a build in every receptacle."""

    today: tuple[Told, ...]
    """Beside what sits in the machines today."""
    carriers: tuple[Told, ...] = ()
    """In the sockets of parts that the plan brings in."""
    emptied: tuple[Told, ...] = ()
    """Where today's parts are in the way: without them."""
