"""Reasons as sentences: like facts are said once, requirements before facts."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.explain.alike_facts import alike
from slotfit.explain.reasons import Case, Reason, asks
from slotfit.explain.tellers import REQUIRED, TELLERS
from slotfit.explain.told import Sentence


def sentences_of(case: Case, reasons: Sequence[Reason]) -> tuple[Sentence, ...]:
    """All the reasons, told; every reason is in exactly one sentence."""
    told: list[Sentence] = []
    by_rule: dict[str, list[Reason]] = {}
    for reason in sorted(reasons, key=lambda one: (not must(one), not asks(one), one.order)):
        by_rule.setdefault(reason.rule, []).append(reason)
    for rule, same in by_rule.items():
        told += TELLERS.get(rule, alike)(case, same, reasons)
    return tuple(told)


def must(reason: Reason) -> bool:
    """Whether it says that a part must be placed."""
    return reason.rule == REQUIRED
