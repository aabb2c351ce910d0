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
from slotfit.model.part import PartSpec
from slotfit.model.problem import Part, Receptacle
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
        tried.append((verdict_on(other, verdict.receptacle.id, today), drives))
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
    spec = question.part.spec
    free = [one.id for one in spec.receptacles if is_lane_socket(spec, one.id)]
    names = list(question.drives)
    kinds = [bench.problem.part[name].spec.id for name in names]
    seen: set[tuple[tuple[str, str], ...]] = set()
    for chosen in permutations(free, len(names)):
        key = tuple(sorted(zip(chosen, kinds, strict=True)))
        if key in seen:
            continue
        seen.add(key)
        if len(seen) > MOST_TRIED:
            return
        yield {
            name: f"{question.part_id}/{socket}" for name, socket in zip(names, chosen, strict=True)
        }


PartsLike = Callable[[str, int], Iterable[PartSpec]]
"""Carriers, adapters and risers with at least so many receptacles of a form."""

MOST_SHOWN = 3


def other_parts(bench: Bench, found: Sequence[Verdict], shelf: PartsLike) -> Iterator[OtherPart]:
    """Those that show every endpoint on this board, the fastest first."""
    sockets = wanted_sockets(bench)
    if sockets and bench.question.part.spec.wiring != "controller":
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
    spec = way.part
    size = (spec.wiring != "passive", len(spec.receptacles), spec.plug.width or 0)
    return (-rate(way.verdict.outcome), size, best_first(way.verdict, {}), spec.id)


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
    spec = question.part.spec
    by_receptacle = {receptacle: name for name, receptacle in question.drives.items()}
    return [
        one.form
        for one in spec.receptacles
        if is_lane_socket(spec, one.id)
        and (not by_receptacle or f"{question.part_id}/{one.id}" in by_receptacle)
    ]


def instead(bench: Bench, sockets: Sequence[str], shelf: PartsLike) -> Iterator[OtherPart]:
    """Parts with as many sockets of the form, with the same drives in them."""
    drives = [bench.problem.part[name] for name in bench.question.drives]
    for spec in shelf(sockets[0], len(sockets)):
        if spec.id != bench.question.part.spec.id and len(set(sockets)) == 1:
            yield from tried(bench, spec, drives, between=False)


def between(bench: Bench, shelf: PartsLike) -> Iterator[OtherPart]:
    """Parts that go onto the board and take the part asked about."""
    asked = bench.question.part
    seen: set[str] = set()
    for form in FORMS:
        if plug_fits(asked.spec.plug.form, form):
            for spec in shelf(form, 1):
                if spec.id not in seen and spec.id != asked.spec.id:
                    seen.add(spec.id)
                    yield from tried(bench, spec, [asked], between=True)


def tried(
    bench: Bench, spec: PartSpec, drives: Sequence[Part], *, between: bool
) -> Iterator[OtherPart]:
    """The part held to the same receptacles, with drives in its first sockets that take them."""
    question = bench.question
    sockets = [one for one in spec.receptacles if is_lane_socket(spec, one.id)]
    placed: dict[str, str] = {}
    for drive in drives:
        takers = [one for one in sockets if plug_fits(drive.spec.plug.form, one.form)]
        if not takers:
            return
        placed[drive.id] = f"{spec.id}/{takers[0].id}"
        sockets.remove(takers[0])
    part = Part(spec.id, spec, wish_for(question.part, spec.id))
    gone = {question.part_id, *question.drives}
    kept = [one for one in question.problem.parts if one.id not in gone]
    problem = replace(
        question.problem,
        parts=(*kept, part, *drives),
        receptacles=(
            *(one for one in question.problem.receptacles if one.owner not in gone),
            *(Receptacle(f"{spec.id}/{one.id}", spec.id, False, one) for one in spec.receptacles),
            *(one for one in question.problem.receptacles if one.owner in {d.id for d in drives}),
        ),
    )
    asked = Question(problem, spec.id, question.receptacles, placed, question.today)
    best = verdicts(Bench(asked, bench.seat_rules, bench.plan_rules))[0]
    yield OtherPart(spec, between, best)


def wish_for(part: Part, name: str) -> BuildPart:
    """The asked part's wish, which wishes nothing, under another name."""
    return part.wish.model_copy(update={"id": name, "demand": None})


def moves_away(bench: Bench, found: Sequence[Verdict]) -> Iterator[MoveAway]:
    """Receptacles that one move would free, the best first."""
    ways = [move for verdict in found for move in freed(bench, verdict)]
    ways.sort(key=lambda move: best_first(move.verdict, {}))
    yield from ways[:MOST_SHOWN]


def freed(bench: Bench, verdict: Verdict) -> Iterator[MoveAway]:
    """Where one part stands in the way: the verdict without it, and where it could go."""
    blockers = {part for reason in verdict.reasons for part in reason.blockers}
    if verdict.word is not Word.NO or len(blockers) != 1:
        return
    (part,) = blockers
    question = bench.question
    rest = {one: receptacle for one, receptacle in question.today.items() if one != part}
    today = bench.lay(question.today, {})
    without = bench.asking(question._replace(today=leave(bench, rest, part)))
    then = verdict_on(without, verdict.receptacle.id, today)
    if then.word not in (Word.WORKS, Word.ONCE_SET) or then.outcome is None:
        return
    for receptacle in sorted(
        {seat.receptacle for seat in bench.seating.by_part.get(part, [])}, key=natural
    ):
        if receptacle != question.today[part] and goes(bench, then, part, receptacle, today):
            yield MoveAway(part, receptacle, then)
            return


def leave(bench: Bench, rest: dict[str, str], part: str) -> dict[str, str]:
    """What stays where it is while the part, and what is on it, is out."""
    return {
        one: receptacle
        for one, receptacle in rest.items()
        if bench.problem.receptacle[receptacle].owner != part
    }


def goes(bench: Bench, then: Verdict, part: str, receptacle: str, today: Layout) -> bool:
    """Whether a part, moved to a receptacle, works as well as today while the asked one is in."""
    question, outcome = bench.question, then.outcome
    sits = {
        **question.today,
        part: receptacle,
        question.part_id: then.receptacle.id,
        **question.drives,
    }
    if outcome is None or len(set(sits.values())) < len(sits):
        return False
    group = outcome.seat.upstream.group
    fixed = {group: str(outcome.way.id)} if group and outcome.way else {}
    layout = bench.lay(sits, fixed, also=(part,), as_set=False)
    if layout.broken or layout.unseated:
        return False
    before, after = today.seats.get(part), layout.seats[part]
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
    others = [one for one in all_receptacles(question) if one not in question.receptacles]
    if not others:
        return
    asked = Question(
        question.problem, question.part_id, tuple(others), question.drives, question.today
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


def all_receptacles(question: Question) -> list[str]:
    """Every receptacle the part could be held to."""
    mine = {question.part_id, *question.drives}
    return [one.id for one in question.problem.receptacles if one.on_board or one.owner not in mine]
