"""A question answered: every receptacle, best first."""

from __future__ import annotations

from slotfit.check.answer import Verdict, Word
from slotfit.check.bench import Bench
from slotfit.check.verdict import order, verdict_on
from slotfit.natural_order import natural


def verdicts(bench: Bench) -> tuple[Verdict, ...]:
    """A verdict for every receptacle the question names, best first."""
    today = bench.lay(bench.question.today, {})
    found = [verdict_on(bench, site, today) for site in bench.question.sites]
    return tuple(sorted(found, key=best_first))


def best_first(verdict: Verdict) -> tuple[object, ...]:
    """By what is certain to be seen, then by what may be, then where people look first."""
    outcome = verdict.outcome
    sure = outcome if outcome is None or outcome.certain else verdict.certain
    known = [reason.rule for reason in verdict.reasons]
    receptacle = verdict.site.receptacle
    return (
        min(verdict.word.rank, Word.IN_PART.rank),
        verdict.word is Word.NO,
        -sure.alive if sure else 0,
        order(outcome) if outcome else (),
        known == ["FIT001"],
        (0, receptacle.position) if receptacle.row else (1, 0),
        natural(verdict.site.id),
    )
