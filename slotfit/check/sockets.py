"""The same drives in other sockets of the part."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import permutations

from slotfit.check.answer import OtherOrder, Verdict
from slotfit.check.bench import Bench
from slotfit.check.question import is_lane_socket
from slotfit.check.verdict import order, verdict_on

MOST_TRIED = 60
"""Orders; beyond that nobody wants to read the answer either."""


def other_orders(bench: Bench, verdict: Verdict) -> Iterator[OtherOrder]:
    """The best other order, if it is better than the one asked about."""
    question = bench.question
    today = bench.lay(question.today, {})
    tried = []
    for drives in orders(bench):
        other = bench.asking(question._replace(drives=drives))
        tried.append((verdict_on(other, verdict.site.id, today), drives))
    better = [one for one in tried if one[0].outcome and worth(one[0]) < worth(verdict)]
    if better:
        best, drives = min(better, key=lambda one: worth(one[0]))
        yield OtherOrder(tuple(drives.items()), best)


def worth(verdict: Verdict) -> tuple[int, tuple[int, ...]]:
    """Best first."""
    return verdict.word.rank, order(verdict.outcome) if verdict.outcome else ()


def orders(bench: Bench) -> Iterator[dict[str, str]]:
    """Every different way to put the drives into sockets; none if there are too many."""
    question = bench.question
    part = question.item.part
    free = [one.id for one in part.receptacles if is_lane_socket(part, one.id)]
    names = list(question.drives)
    kinds = [bench.problem.item[name].part.id for name in names]
    seen: set[tuple[tuple[str, str], ...]] = set()
    for chosen in permutations(free, len(names)):
        key = tuple(sorted(zip(chosen, kinds, strict=True)))
        if key in seen:
            continue
        seen.add(key)
        if len(seen) > MOST_TRIED:
            return
        yield {
            name: f"{question.part}/{socket}" for name, socket in zip(names, chosen, strict=True)
        }
