"""A question answered: every receptacle, best first."""

from __future__ import annotations

from collections.abc import Mapping

from slotfit.check.answer import Verdict, Word
from slotfit.check.bench import Bench
from slotfit.check.verdict import order, verdict_on
from slotfit.natural_order import natural


def verdicts(bench: Bench) -> tuple[Verdict, ...]:
    """A verdict for every receptacle the question names, best first."""
    today = bench.lay(bench.question.today, {})
    found = [verdict_on(bench, site, today) for site in bench.question.sites]
    rows = {
        (rig.id, row.id): number
        for rig in bench.problem.rigs
        for number, row in enumerate(rig.board.rows)
    }
    return tuple(sorted(found, key=lambda verdict: best_first(verdict, rows)))


def best_first(verdict: Verdict, rows: Mapping[tuple[str, str], int]) -> tuple[object, ...]:
    """
    By what is certain to be seen, then by what may be, then where people look first.

    `rows` numbers the rows (owner, row) of the boards, where there are several.
    """
    outcome = verdict.outcome
    sure = outcome if outcome is None or outcome.certain else verdict.certain
    known = [reason.rule for reason in verdict.reasons]
    row = verdict.site.row
    return (
        min(verdict.word.rank, Word.IN_PART.rank),
        verdict.word is Word.NO,
        -sure.alive if sure else 0,
        order(outcome) if outcome else (),
        known == ["FIT001"],
        (0, rows.get(row, 0), verdict.site.receptacle.position) if row else (1, 0, 0),
        natural(verdict.site.id),
    )
