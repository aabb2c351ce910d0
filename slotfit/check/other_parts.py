"""Another part of the catalog that would do: instead of this one, or between it and the board."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import replace

from slotfit.check.all_sites import best_first, verdicts
from slotfit.check.answer import OtherPart, Outcome, Verdict, Word
from slotfit.check.bench import Bench
from slotfit.check.question import Question, is_lane_socket
from slotfit.model.build_part import BuildPart
from slotfit.model.part import Part
from slotfit.model.problem import Item, Site
from slotfit.standards.forms import FORMS, plug_fits

Shelf = Callable[[str, int], Iterable[Part]]
"""Carriers, adapters and risers with at least so many receptacles of a form."""

MOST_SHOWN = 3


def other_parts(bench: Bench, found: Sequence[Verdict], shelf: Shelf) -> Iterator[OtherPart]:
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


def instead(bench: Bench, sockets: Sequence[str], shelf: Shelf) -> Iterator[OtherPart]:
    """Parts with as many sockets of the form, with the same drives in them."""
    drives = [bench.problem.item[name] for name in bench.question.drives]
    for part in shelf(sockets[0], len(sockets)):
        if part.id != bench.question.item.part.id and len(set(sockets)) == 1:
            yield from tried(bench, part, drives, between=False)


def between(bench: Bench, shelf: Shelf) -> Iterator[OtherPart]:
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
