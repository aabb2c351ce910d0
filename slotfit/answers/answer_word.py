"""The word that an answer begins with: the same in text, in JSON and as an exit code."""

from __future__ import annotations

from collections.abc import Mapping
from typing import Literal

from slotfit.model.plan import Status

AnswerWord = Literal["yes", "yes, if", "no", "out of time", "bad input"]

EXIT: dict[AnswerWord, int] = {"yes": 0, "no": 1, "bad input": 2, "out of time": 3, "yes, if": 4}
"""What a command exits with."""

OF_STATUS: Mapping[Status, AnswerWord] = {
    Status.PROVEN: "yes",
    Status.UNPROVEN: "out of time",
    Status.IMPOSSIBLE: "no",
    Status.UNKNOWN: "out of time",
}
"""How a search ended -> the answer in a word, as long as nothing unproven decides."""


def answered(word: AnswerWord, text: str, facts: int = 0) -> str:
    """
    A text behind its word; `facts`: so many unproven ones decide.

    >>> answered("no", "it does not fit"), answered("yes, if", "it fits", 2)
    ('No: it does not fit', 'Yes, if 2 unproven facts hold: it fits')
    """
    what = "1 unproven fact holds" if facts == 1 else f"{facts} unproven facts hold"
    condition = f" {what}" if word == "yes, if" and facts else ""
    return f"{word[0].upper()}{word[1:]}{condition}: {text}"


def on_condition(word: AnswerWord, *, facts: bool) -> AnswerWord:
    """A yes that rests on something unproven is a yes, if."""
    return "yes, if" if word == "yes" and facts else word
