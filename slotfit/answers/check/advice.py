"""Another part of the catalog that would do: instead of this one, or between it and the board."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace
from itertools import permutations

from slotfit.answers.check.answer import (
    Advice,
    MoveAway,
    OtherOrder,
    OtherPart,
    OtherReceptacle,
    Outcome,
    Verdict,
    Word,
)
from slotfit.answers.check.bench import Bench, Layout
from slotfit.answers.check.question import Question, is_lane_socket
from slotfit.answers.check.verdict import best_first, order, verdict_on, verdicts
from slotfit.listing import natural
from slotfit.model.build import BuildPart
from slotfit.model.part import Part
from slotfit.model.problem import Item, Site
from slotfit.standards.forms import FORMS, plug_fits

MOST_TRIED = 60
"""Orders; beyond that nobody wants to read the answer either."""


def other_orders(bench: Bench, verdict: Verdict) -> Iterator[OtherOrder]:
    """The best other order, if it is better than the one asked about."""
    question = bench.question
    today = bench.lay(question.today, {})
    tried = []
    for drives in seatings_of_drives(bench):
        other = bench.asking(question._replace(drives=drives))
        tried.append((verdict_on(other, verdict.site.id, today), drives))
    better = [
        one for one in tried if one[0].outcome and worth_in_order(one[0]) < worth_in_order(verdict)
    ]
    if better:
        best, drives = min(better, key=lambda one: worth_in_order(one[0]))
        yield OtherOrder(tuple(drives.items()), best)


def worth_in_order(verdict: Verdict) -> tuple[int, tuple[int, ...]]:
    """Best first."""
    return verdict.word.rank, order(verdict.outcome) if verdict.outcome else ()


def seatings_of_drives(bench: Bench) -> Iterator[dict[str, str]]:
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


PartsLike = Callable[[str, int], Iterable[Part]]
"""Carriers, adapters and risers with at least so many receptacles of a form."""

MOST_SHOWN = 3


def other_parts(bench: Bench, found: Sequence[Verdict], shelf: PartsLike) -> Iterator[OtherPart]:
    """Those that show every endpoint on this board, the fastest first."""
    sockets = wanted_sockets(bench)
    if sockets and bench.question.item.part.wiring != "controller":
        ways = instead(bench, sockets, shelf)
    elif found and found[0].word is Word.NO:
        ways = between(bench, shelf)
    else:
        return
    good = [way for way in ways if way.verdict.word in (Word.WORKS, Word.ONCE_SET)]
    good.sort(key=worth)
    shown: list[OtherPart] = []
    for way in good:
        if not any(is_no_better(way, than) for than in shown):
            shown.append(way)
    yield from shown[:MOST_SHOWN]


def is_no_better(way: OtherPart, than: OtherPart) -> bool:
    """Whether a part that is shown already does as much with as small a connector, as plainly."""
    smaller = (way.part.plug.width or 0) < (than.part.plug.width or 0)
    plainer = way.part.wiring == "passive" and than.part.wiring != "passive"
    return not smaller and not plainer


def worth(way: OtherPart) -> tuple[object, ...]:
    """Fast ones first; of equal ones those without a switch, then the smaller."""
    part = way.part
    size = (part.wiring != "passive", len(part.receptacles), part.plug.width or 0)
    return (-rate(way.verdict.outcome), size, best_first(way.verdict, {}), part.id)


def rate(outcome: Outcome | None) -> int:
    """What each of its endpoints has when all are busy, in MB/s."""
    if outcome is None:
        return 0
    rates = [one.mb_s or 0 for one in outcome.counted]
    upwards = [one.mb_s or 0 for one in outcome.endpoints if one.kind == "upwards"]
    return min([*rates, *(up // max(outcome.total, 1) for up in upwards)], default=0)


def wanted_sockets(bench: Bench) -> list[str]:
    """Forms of the sockets that are to show something."""
    question = bench.question
    part = question.item.part
    by_site = {site: name for name, site in question.drives.items()}
    return [
        one.form
        for one in part.receptacles
        if is_lane_socket(part, one.id) and (not by_site or f"{question.part}/{one.id}" in by_site)
    ]


def instead(bench: Bench, sockets: Sequence[str], shelf: PartsLike) -> Iterator[OtherPart]:
    """Parts with as many sockets of the form, with the same drives in them."""
    drives = [bench.problem.item[name] for name in bench.question.drives]
    for part in shelf(sockets[0], len(sockets)):
        if part.id != bench.question.item.part.id and len(set(sockets)) == 1:
            yield from tried(bench, part, drives, between=False)


def between(bench: Bench, shelf: PartsLike) -> Iterator[OtherPart]:
    """Parts that go onto the board and take the part asked about."""
    asked = bench.question.item
    seen: set[str] = set()
    for form in FORMS:
        if plug_fits(asked.part.plug.form, form):
            for part in shelf(form, 1):
                if part.id not in seen and part.id != asked.part.id:
                    seen.add(part.id)
                    yield from tried(bench, part, [asked], between=True)


def tried(
    bench: Bench, part: Part, drives: Sequence[Item], *, between: bool
) -> Iterator[OtherPart]:
    """The part held to the same receptacles, with drives in its first sockets that take them."""
    question = bench.question
    sockets = [one for one in part.receptacles if is_lane_socket(part, one.id)]
    placed: dict[str, str] = {}
    for drive in drives:
        takers = [one for one in sockets if plug_fits(drive.part.plug.form, one.form)]
        if not takers:
            return
        placed[drive.id] = f"{part.id}/{takers[0].id}"
        sockets.remove(takers[0])
    item = Item(part.id, part, wish_for(question.item, part.id))
    gone = {question.part, *question.drives}
    kept = [one for one in question.problem.items if one.id not in gone]
    problem = replace(
        question.problem,
        items=(*kept, item, *drives),
        sites=(
            *(site for site in question.problem.sites if site.owner not in gone),
            *(Site(f"{part.id}/{one.id}", part.id, False, one) for one in part.receptacles),
            *(site for site in question.problem.sites if site.owner in {d.id for d in drives}),
        ),
    )
    asked = Question(problem, part.id, question.sites, placed, question.today)
    best = verdicts(Bench(asked, bench.seat_rules, bench.plan_rules))[0]
    yield OtherPart(part, between, best)


def wish_for(item: Item, name: str) -> BuildPart:
    """The asked part's wish, which wishes nothing, under another name."""
    return item.wish.model_copy(update={"id": name, "demand": None})


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


def advice(bench: Bench, found: Sequence[Verdict], shelf: PartsLike | None) -> Iterator[Advice]:
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
