"""What would make a part work: other sockets or receptacles, a move, another part."""

from __future__ import annotations

from collections.abc import Callable, Iterable, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import permutations

from slotfit.answers.check.answer import Advice
from slotfit.answers.check.outcome import SeatOutcome, setting_text
from slotfit.answers.check.question import (
    LayoutModel,
    Question,
    SeatedParts,
    is_lane_socket,
    is_on,
)
from slotfit.answers.check.verdict import Verdict, Word, best_first, order, verdict_on, verdicts
from slotfit.answers.names import gb_s, short_name
from slotfit.answers.no_plan.changed import with_parts
from slotfit.listing import natural
from slotfit.model.part import PartSpec
from slotfit.model.problem import Part
from slotfit.standards.forms import FORMS, plug_fits

PartsLike = Callable[[str, int], Iterable[PartSpec]]
"""Carriers, adapters and risers with at least so many receptacles of a form."""

MOST_TRIED = 60
"""Orders; beyond that nobody wants to read the answer either."""

MOST_SHOWN = 3


def advised(kind: str, text: str, then: Verdict, part: str | None = None) -> Advice:
    """One way out: how it comes out then follows its text."""
    return Advice(kind, text, part, then.receptacle.id, then.word.value)


def outcome_at(verdict: Verdict) -> str:
    """`SLOT3 (choose "..." in firmware setup): works once set, 4 of 4 drives are seen`."""
    outcome = verdict.outcome
    if outcome is None:
        return short_name(verdict.receptacle)
    setting = f" ({setting_text(outcome)})" if outcome.change else ""
    return f"{short_name(verdict.receptacle)}{setting}: {verdict.word.value}, {verdict.summary}"


# --- the same part otherwise ----------------------------------------------------------------------


def other_order(model: LayoutModel, found: Sequence[Verdict]) -> Iterator[Advice]:
    """The same drives in other sockets, at the best receptacle that gains by it."""
    question = model.question
    today = model.lay(question.today, {})
    for verdict in found:
        tried = [
            (
                verdict_on(
                    model.asking(replace(question, drives=drives)), verdict.receptacle.id, today
                ),
                drives,
            )
            for drives in seatings_of_drives(model)
        ]
        better = [one for one in tried if one[0].outcome and in_order(one[0]) < in_order(verdict)]
        if better:
            best, drives = min(better, key=lambda one: in_order(one[0]))
            placed = ", ".join(
                f"{receptacle.rpartition('/')[2]}: {model.problem.part[drive].spec.id}"
                for drive, receptacle in drives.items()
            )
            text = f"Put the drives into other sockets ({placed}). {outcome_at(best)}."
            yield advised("order", text, best)
            return


def in_order(verdict: Verdict) -> tuple[int, tuple[int, ...]]:
    """Best first."""
    return verdict.word.rank, order(verdict.outcome) if verdict.outcome else ()


def seatings_of_drives(model: LayoutModel) -> Iterator[dict[str, str]]:
    """Every different way to put the drives into sockets; none if there are too many."""
    question = model.question
    spec = question.part.spec
    free = [one.id for one in spec.receptacles if is_lane_socket(spec, one.id)]
    sockets = {f"{question.part_id}/{socket}" for socket in free}
    names = [name for name, receptacle in question.drives.items() if receptacle in sockets]
    stay = {name: one for name, one in question.drives.items() if name not in names}
    kinds = [model.problem.part[name].spec.id for name in names]
    seen: set[tuple[tuple[str, str], ...]] = set()
    for chosen in permutations(free, len(names)):
        key = tuple(sorted(zip(chosen, kinds, strict=True)))
        if key in seen:
            continue
        seen.add(key)
        if len(seen) > MOST_TRIED:
            return
        sits = (f"{question.part_id}/{socket}" for socket in chosen)
        yield {**stay, **dict(zip(names, sits, strict=True))}


def other_receptacle(model: LayoutModel, found: Sequence[Verdict]) -> Iterator[Advice]:
    """The best receptacle that was not asked about, if it is better."""
    question = model.question
    mine = {question.part_id, *question.drives}
    others = tuple(
        one.id
        for one in question.problem.receptacles
        if (one.on_board or one.owner not in mine) and one.id not in question.receptacles
    )
    if not others:
        return
    best = verdicts(
        model.asking(replace(question, receptacles=others, sat_in=None, unconnected=()))
    )[0]
    if best.word is not Word.NO and shows(best) > shows(found[0]):
        yield advised("receptacle", f"Use {outcome_at(best)}.", best)


def shows(verdict: Verdict) -> tuple[bool, int, int]:
    """Whether it works; what is certain to be seen; what may be."""
    outcome = verdict.outcome
    sure = outcome if outcome is None or outcome.certain else verdict.certain
    return (verdict.good, sure.alive if sure else 0, outcome.alive if outcome else 0)


def moves_away(model: LayoutModel, found: Sequence[Verdict]) -> Iterator[Advice]:
    """Receptacles that one move would free, the best first."""
    ways = [move for verdict in found for move in freed(model, verdict)]
    ways.sort(key=lambda move: best_first(move[2], {}))
    for part, receptacle, then in ways[:MOST_SHOWN]:
        to = short_name(model.problem.receptacle[receptacle])
        yield advised("move", f"Move {part} to {to}. Then {outcome_at(then)}.", then)


def freed(model: LayoutModel, verdict: Verdict) -> Iterator[tuple[str, str, Verdict]]:
    """Where one part stands in the way: that, where it could go, and the verdict without it."""
    blockers = {part for reason in verdict.reasons for part in reason.blockers}
    if verdict.word is not Word.NO or len(blockers) != 1:
        return
    (part,) = blockers
    question = model.question
    today = model.lay(question.today, {})
    rest = {
        one: receptacle
        for one, receptacle in question.today.items()
        if one != part and not is_on(model.problem, question.today, receptacle, part)
    }
    then = verdict_on(model.asking(replace(question, today=rest)), verdict.receptacle.id, today)
    if not then.good or then.outcome is None:
        return
    for receptacle in sorted(
        {seat.receptacle for seat in model.seating.by_part.get(part, [])}, key=natural
    ):
        if receptacle != question.today[part] and goes(model, then, part, receptacle, today):
            yield part, receptacle, then
            return


def goes(model: LayoutModel, then: Verdict, part: str, receptacle: str, today: SeatedParts) -> bool:
    """Whether a part, moved to a receptacle, works as well as today while the asked one is in."""
    question, outcome = model.question, then.outcome
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
    layout = model.lay(sits, fixed, today, also=(part,), as_set=False)
    if layout.broken or layout.against:
        return False
    before, after = today.working.get(part), layout.seats[part]
    return before is None or (after.dark <= before.dark and len(after.facts) <= len(before.facts))


# --- another part ---------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class OtherPart:
    """A part of the catalog that would do: instead of this one, or between it and the board."""

    part: PartSpec
    between: bool
    verdict: Verdict


def other_parts(model: LayoutModel, found: Sequence[Verdict], shelf: PartsLike) -> Iterator[Advice]:
    """Those that show every endpoint on this board, the fastest first."""
    sockets = wanted_sockets(model)
    if sockets and model.question.part.spec.wiring != "controller":
        ways = instead(model, sockets, shelf)
    elif found and found[0].word is Word.NO:
        ways = between(model, shelf)
    else:
        return
    shown: list[OtherPart] = []
    for way in sorted((way for way in ways if way.verdict.good), key=worth):
        if not any(is_no_better(way, than) for than in shown):
            shown.append(way)
    for way in shown[:MOST_SHOWN]:
        name, id_ = way.part.name or way.part.id, way.part.id
        cost = costs(way.verdict.outcome) if way.verdict.outcome else ""
        start = "Put it on" if way.between else "Take"
        text = f"{start} {id_} ({name}) in {outcome_at(way.verdict)}{cost}."
        yield advised("part", text, way.verdict, id_)


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


def costs(outcome: SeatOutcome) -> str:
    """What each endpoint has, alone and with all busy."""
    each, up = min((one.mb_s or 0 for one in outcome.counted), default=0), outcome.upwards
    if up is None or not up.mb_s:
        return f", {gb_s(each)} GB/s each" if each else ""
    return (
        f", up to {gb_s(min(each, up.mb_s))} GB/s each and {gb_s(up.mb_s)} GB/s together "
        f"(they share {up.text})"
    )


def rate(outcome: SeatOutcome | None) -> int:
    """What each of its endpoints has when all are busy, in MB/s."""
    if outcome is None:
        return 0
    rates = [one.mb_s or 0 for one in outcome.counted]
    if outcome.upwards:
        rates.append((outcome.upwards.mb_s or 0) // max(outcome.total, 1))
    return min(rates, default=0)


def wanted_sockets(model: LayoutModel) -> list[str]:
    """Forms of the sockets that are to show something."""
    question = model.question
    spec = question.part.spec
    by_receptacle = {receptacle: name for name, receptacle in question.drives.items()}
    return [
        one.form
        for one in spec.receptacles
        if is_lane_socket(spec, one.id)
        and (not by_receptacle or f"{question.part_id}/{one.id}" in by_receptacle)
    ]


def instead(model: LayoutModel, sockets: Sequence[str], shelf: PartsLike) -> Iterator[OtherPart]:
    """Parts with as many sockets of the form, with the same drives in them."""
    question, owner = model.question, model.problem.receptacle
    on_it = [one for one, at in question.drives.items() if owner[at].owner == question.part_id]
    drives = [model.problem.part[name] for name in on_it]
    for spec in shelf(sockets[0], len(sockets)):
        if spec.id != question.part.spec.id and len(set(sockets)) == 1:
            yield from tried(model, spec, drives, between=False)


def between(model: LayoutModel, shelf: PartsLike) -> Iterator[OtherPart]:
    """Parts that go onto the board and take the part asked about."""
    asked = model.question.part
    seen: set[str] = set()
    for form in FORMS:
        if plug_fits(asked.spec.plug.form, form):
            for spec in shelf(form, 1):
                if spec.id not in seen and spec.id != asked.spec.id:
                    seen.add(spec.id)
                    yield from tried(model, spec, [asked], between=True)


def tried(
    model: LayoutModel, spec: PartSpec, drives: Sequence[Part], *, between: bool
) -> Iterator[OtherPart]:
    """
    The part held to the same receptacles, with drives in its first sockets that take them.

    What sits on those stays on them; what only moves air is left out where it has no mount.
    """
    question = model.question
    placed = first_sockets(spec, drives)
    if placed is None:
        return
    moved = {drive.id for drive in drives}
    deeper = {name: one for name, one in question.drives.items() if name not in moved}
    drives = [*drives, *(model.problem.part[name] for name in deeper)]
    wish = question.part.wish.model_copy(update={"id": spec.id, "demand": None})
    part = Part(spec.id, spec, wish)
    gone = {question.part_id, *question.drives}
    kept = [one for one in question.problem.parts if one.id not in gone]
    problem = with_parts(question.problem, (*kept, part, *drives))
    asked = Question(problem, spec.id, question.receptacles, placed | deeper, question.today)
    best = verdicts(LayoutModel(asked, model.seat_rules, model.plan_rules))[0]
    yield OtherPart(spec, between, best)


def first_sockets(spec: PartSpec, drives: Sequence[Part]) -> dict[str, str] | None:
    """Each drive's receptacle on the part; None if one that takes lanes finds none."""
    free = list(spec.receptacles)
    placed: dict[str, str] = {}
    for drive in drives:
        taker = next((one for one in free if plug_fits(drive.spec.plug.form, one.form)), None)
        if taker:
            placed[drive.id] = f"{spec.id}/{taker.id}"
            free.remove(taker)
        elif drive.spec.plug.form != "cooling-mount":
            return None
    return placed
