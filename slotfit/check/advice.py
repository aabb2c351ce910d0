"""What would make a part work: another order, receptacle or part, or a neighbour moved."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.check.all_sites import verdicts
from slotfit.check.answer import Advice, OtherOrder, OtherReceptacle, Verdict, Word
from slotfit.check.bench import Bench
from slotfit.check.neighbours import moves_away
from slotfit.check.other_parts import Shelf, other_parts
from slotfit.check.question import Question
from slotfit.check.sockets import other_orders


def advice(bench: Bench, found: Sequence[Verdict], shelf: Shelf | None) -> Iterator[Advice]:
    """Each kind of way out, the one that costs least first."""
    yield from orders(bench, found)
    yield from elsewhere(bench, found)
    yield from moves_away(bench, found)
    if shelf is not None:
        yield from other_parts(bench, found, shelf)


def orders(bench: Bench, found: Sequence[Verdict]) -> Iterator[OtherOrder]:
    """The same drives in other sockets, at the best receptacle that gains by it."""
    for verdict in found:
        for better in other_orders(bench, verdict):
            yield better
            return


def elsewhere(bench: Bench, found: Sequence[Verdict]) -> Iterator[OtherReceptacle]:
    """The best receptacle that was not asked about, if it is better."""
    question = bench.question
    others = [one for one in all_sites(question) if one not in question.sites]
    if not others:
        return
    asked = Question(
        question.problem, question.part, tuple(others), question.drives, question.today
    )
    best = verdicts(bench.asking(asked))[0]
    if best.word is not Word.NO and shows(best) > shows(found[0]):
        yield OtherReceptacle(best)


def shows(verdict: Verdict) -> tuple[bool, int, int]:
    """Whether it works; what is certain to be seen; what may be."""
    outcome = verdict.outcome
    sure = outcome if outcome is None or outcome.certain else verdict.certain
    good = verdict.word in (Word.WORKS, Word.ONCE_SET)
    return (good, sure.alive if sure else 0, outcome.alive if outcome else 0)


def all_sites(question: Question) -> list[str]:
    """Every receptacle the part could be held to."""
    mine = {question.part, *question.drives}
    return [site.id for site in question.problem.sites if site.on_board or site.owner not in mine]
