"""What sits there today goes elsewhere, so that the part can go in."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.check.all_sites import best_first
from slotfit.check.answer import MoveAway, Verdict, Word
from slotfit.check.bench import Bench, Layout
from slotfit.check.verdict import verdict_on
from slotfit.natural_order import natural

MOST_SHOWN = 3


def moves_away(bench: Bench, found: Sequence[Verdict]) -> Iterator[MoveAway]:
    """Receptacles that one move would free, the best first."""
    ways = [move for verdict in found for move in freed(bench, verdict)]
    ways.sort(key=lambda move: best_first(move.verdict, {}))
    yield from ways[:MOST_SHOWN]


def freed(bench: Bench, verdict: Verdict) -> Iterator[MoveAway]:
    """Where one item stands in the way: the verdict without it, and where it could go."""
    blockers = {item for reason in verdict.reasons for item in reason.blockers}
    if verdict.word is not Word.NO or len(blockers) != 1:
        return
    (item,) = blockers
    question = bench.question
    rest = {one: site for one, site in question.today.items() if one != item}
    today = bench.lay(question.today, {})
    without = bench.asking(question._replace(today=leave(bench, rest, item)))
    then = verdict_on(without, verdict.site.id, today)
    if then.word not in (Word.WORKS, Word.ONCE_SET) or then.outcome is None:
        return
    for site in sorted({seat.site for seat in bench.seating.by_item.get(item, [])}, key=natural):
        if site != question.today[item] and goes(bench, then, item, site, today):
            yield MoveAway(item, site, then)
            return


def leave(bench: Bench, rest: dict[str, str], item: str) -> dict[str, str]:
    """What stays where it is while the item, and what is on it, is out."""
    return {one: site for one, site in rest.items() if bench.problem.site[site].owner != item}


def goes(bench: Bench, then: Verdict, item: str, site: str, today: Layout) -> bool:
    """Whether the item, moved to a site, works there as well as today while the part is in."""
    question, outcome = bench.question, then.outcome
    sits = {**question.today, item: site, question.part: then.site.id, **question.drives}
    if outcome is None or len(set(sits.values())) < len(sits):
        return False
    group = outcome.seat.offer.group
    fixed = {group: str(outcome.way.id)} if group and outcome.way else {}
    layout = bench.lay(sits, fixed, also=(item,), as_set=False)
    if layout.broken or layout.unseated:
        return False
    before, after = today.seats.get(item), layout.seats[item]
    return before is None or (after.dark <= before.dark and len(after.facts) <= len(before.facts))
