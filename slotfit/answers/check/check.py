"""A question about one part and one board, answered."""

from __future__ import annotations

from collections.abc import Iterable

from slotfit.answers.check.advice import PartsLike, advice
from slotfit.answers.check.answer import Answer as CheckAnswer
from slotfit.answers.check.bench import Bench
from slotfit.answers.check.carriers import Slot, by_slot
from slotfit.answers.check.question import Question
from slotfit.answers.check.verdict import verdicts
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES


def carriers(questions: Iterable[Question]) -> tuple[Slot, ...]:
    """The kinds of carrier that show something in each receptacle; one question a carrier."""
    return by_slot(questions, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)


def check(question: Question, shelf: PartsLike | None = None) -> CheckAnswer:
    """
    A verdict for every receptacle the question names, and what would make the part work.

    `shelf` finds parts of the catalog to offer instead; without it none are.
    """
    bench = Bench(question, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)
    answer = CheckAnswer(question, verdicts(bench))
    if answer.good:
        return answer

    return answer._replace(advice=tuple(advice(bench, answer.verdicts, shelf)))
