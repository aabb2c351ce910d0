"""`check` answered: a verdict on each receptacle told in words, and what would make it work."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from functools import partial

from slotfit.answers.answer_word import AnswerWord, answered, on_condition
from slotfit.answers.check.advice import moves_away, other_order, other_parts, other_receptacle
from slotfit.answers.check.answer import (
    SCHEMA_VERSION,
    Advice,
    CheckAnswer,
    CheckMore,
    CheckPlan,
    CheckToDo,
    CheckToWatch,
    CheckVerdict,
    ReceptacleVerdict,
    RuleReason,
)
from slotfit.answers.check.outcome import SeatOutcome, division, seen, setting_text
from slotfit.answers.check.question import LayoutModel, Question
from slotfit.answers.check.verdict import LanesLost, Verdict, WhileFilled, Word, verdicts
from slotfit.answers.names import (
    about,
    board_of,
    gb_s,
    label,
    link_text,
    receptacle_named,
    segments_text,
    short_name,
)
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.answer import UnprovenFact
from slotfit.answers.place.cautions import cautions_for
from slotfit.hardware.flow import hub_capacity
from slotfit.hardware.wires import held_ports
from slotfit.listing import have
from slotfit.load.catalog import parts_with
from slotfit.model.keys import HubKey
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt, No
from slotfit.model.seat import Seat
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES


def check(question: Question, shop: Shop | None = None) -> CheckAnswer:
    """
    A verdict for every receptacle the question names, and what would make the part work.

    Of `shop` are things to buy; without it none are offered.
    """
    model = LayoutModel(question, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)
    found = verdicts(model)
    problem, spec = question.problem, question.part.spec
    best = found[0] if found else None
    shown = tuple(receptacle_verdict(question, one) for one in found)
    word = word_of(found, shown)
    ways = () if best and best.good else tuple(ways_to_work(model, found, shop))
    board, board_name = board_of(problem)
    return CheckAnswer(
        schema_version=SCHEMA_VERSION,
        part=question.part_id,
        part_name=spec.name or spec.id,
        board=board,
        board_name=board_name,
        invented=any(machine.board.invented for machine in problem.machines),
        verdict=CheckVerdict(
            word, best.word.value if best else Word.NO.value, headline(found, word)
        ),
        plan=CheckPlan(shown),
        do=CheckToDo(
            ways, cautions_for(problem, [question.part_id]) if best and best.outcome else ()
        ),
        watch=CheckToWatch(tuple(not_looked_at(question, found, helped=bool(ways)))),
        more=taken_as_given(question),
    )


def ways_to_work(
    model: LayoutModel, found: Sequence[Verdict], shop: Shop | None
) -> Iterator[Advice]:
    """Each kind of way out, the one that costs least first."""
    from slotfit.answers.check import machine_changes  # noqa: PLC0415 - loads solve

    yield from other_order(model, found)
    yield from other_receptacle(model, found)
    yield from moves_away(model, found)
    yield from machine_changes.own_bracket(model, found)
    if shop is not None:
        yield from other_parts(model, found, partial(parts_with, shop.catalog))
        yield from machine_changes.other_machine(model, found, shop)


def taken_as_given(question: Question) -> CheckMore:
    """Chassis, supplies, what is in the machine, and what is on the part."""
    problem = question.problem
    things = (thing for one in problem.machines for thing in (one.chassis, one.power_supply))
    today = ((name, short_name(problem.receptacle[one])) for name, one in question.today.items())
    drives = (
        (receptacle.rpartition("/")[2], problem.part[name].spec.id)
        for name, receptacle in question.drives.items()
    )
    return CheckMore(tuple(one.id for one in things if one), tuple(today), tuple(drives))


def not_looked_at(question: Question, found: Sequence[Verdict], *, helped: bool) -> Iterator[str]:
    """Further plugs, and where such a part goes if not onto a board."""
    for name in question.unconnected:
        yield f"Its plug {name!r} has to be connected as well; that was not looked at."
    if all(verdict.is_misfit for verdict in found) and not helped:
        yield GOES_ELSEWHERE.get(question.part.spec.plug.form, NO_WAY)


BY_CABLE = (
    "Such a plug goes into a port of an adapter card or into a cable: name those in a build file "
    "as well, and `slotfit place` says what is attached where."
)
GOES_ELSEWHERE = {
    "cooling-mount": "It is mounted on a card: name both in a build file, and `slotfit place` says "
    "on which.",
    "sas": BY_CABLE,
    "sata": BY_CABLE,
    "sff-8643": BY_CABLE,
    "sff-8644": BY_CABLE,
    "sff-8087": BY_CABLE,
    "sff-8088": BY_CABLE,
}
"""Plug -> where it goes, if not onto a board."""

NO_WAY = "Nothing in the catalog takes its plug to this board."


def receptacle_verdict(question: Question, verdict: Verdict) -> ReceptacleVerdict:
    """All that is told of one receptacle."""
    problem, outcome = question.problem, verdict.outcome
    way = outcome.way if outcome else None
    seats = outcome.seats if outcome else ()
    decides = outcome.decides if outcome else ()
    open_ = [one for one in outcome.order if one not in decides] if outcome else []
    return ReceptacleVerdict(
        receptacle=verdict.receptacle.id,
        name=short_name(verdict.receptacle),
        label=label(verdict.receptacle),
        about=about(problem, verdict.receptacle),
        status=verdict.word.value,
        summary=verdict.summary,
        alive=outcome.alive if outcome else 0,
        total=outcome.total if outcome else 0,
        setting=setting_text(outcome) if outcome and outcome.change else None,
        how=way.chosen_by if way else None,
        gives=given(outcome) if outcome else None,
        short_mb_s=outcome.short_mb_s if outcome else 0,
        endpoints=outcome.endpoints if outcome else (),
        unknown=unproven(seats, decides if verdict.word is Word.NOT_KNOWN else ()),
        open=unproven(seats, open_),
        provided=unproven(seats, outcome.provided if outcome else ()),
        reasons=tuple(
            rule_reason(one.no, one.text, "there today: ", one.blockers) for one in verdict.reasons
        ),
        other_form=verdict.is_misfit and not any(one.no.explained for one in verdict.reasons),
        notes=tuple(notes(problem, verdict, question.sat_in)),
    )


def rule_reason(no: No, text: str, who: str = "", blockers: Sequence[str] = ()) -> RuleReason:
    """A reason in these words, and who is in the way."""
    told = f"{text} ({who}{', '.join(blockers)})" if blockers else text
    return RuleReason(no.rule, told, tuple(map(str, no.spans)))


def given(outcome: SeatOutcome) -> str | None:
    """What the board's receptacle gets under the arrangement."""
    if outcome.way is None:
        return None
    widths = outcome.way.gives.get(outcome.receptacle, ())
    text, turned = segments_text(widths), segments_text(widths[::-1])
    return text if outcome.way.order == "known" or text == turned else f"{text} or {turned}"


def unproven(seats: Sequence[Seat], facts: Iterable[Doubt]) -> tuple[UnprovenFact, ...]:
    """Facts nobody has proven, with those of the part and its drives that hang on each."""
    found = []
    for fact in facts:
        parts = tuple(seat.part for seat in seats if any(one.id == fact.id for one in seat.facts))
        where = str(fact.span) if fact.span else ""
        found.append(UnprovenFact(fact.label, fact.statement, fact.find_out, where, parts))
    return tuple(found)


# --- headline -------------------------------------------------------------------------------------

MOST_NAMED = 8


def word_of(found: Sequence[Verdict], shown: Sequence[ReceptacleVerdict]) -> AnswerWord:
    """The answer in a word: a yes under conditions nobody has proven is a yes, if."""
    pairs = zip(shown, found, strict=True)
    conditions = [bool(one.provided) for one, verdict in pairs if verdict.good]
    if conditions:
        return on_condition("yes", facts=all(conditions))
    return "yes, if" if may_work(found) else "no"


def may_work(found: Sequence[Verdict]) -> list[Verdict]:
    """Where more may be seen than is certain anywhere: it is not known."""
    most = max((outcome.alive for one in found if (outcome := certain(one))), default=-1)
    unknown = (one for one in found if one.word is Word.NOT_KNOWN)
    return [one for one in unknown if one.outcome and one.outcome.alive > most]


def headline(found: Sequence[Verdict], word: AnswerWord) -> str:
    """The answer in a sentence or two."""
    by_word: dict[Word, list[Verdict]] = {}
    for verdict in found:
        by_word.setdefault(verdict.word, []).append(verdict)
    works, once_set = by_word.get(Word.WORKS, []), by_word.get(Word.ONCE_SET, [])
    if works and once_set:
        said = f"it works in {named(works)}; once set, also in {named(once_set)}."
    elif works:
        said = f"it works in {named(works)}."
    elif once_set:
        said = f"it works in {named(once_set)} after a setting is changed."
    else:
        return no_headline(found, by_word)
    if word == "yes, if":
        said = f"what is unproven there holds: {said}"
        return f"Yes, if {said}{slow(works + once_set)}"
    return answered(word, said + slow(works + once_set))


def slow(verdicts: list[Verdict]) -> str:
    """Where its links carry less than it moves, or less is left to others; empty if nowhere."""
    short = [one for one in verdicts if one.outcome and one.outcome.slow]
    said = ""
    if short:
        where = "there" if len(short) == len(verdicts) else f"in {named(short)}"
        said = f" But {where} it gets less than it moves: see the GB/s."
    costly = [one for one in verdicts if one.outcome and one.outcome.slowed]
    if costly:
        where = "there" if len(costly) == len(verdicts) else f"in {named(costly)}"
        outcomes = (one.outcome for one in costly if one.outcome)
        parts = dict.fromkeys(part for one in outcomes for part in one.slowed)
        said += f" But {where} less is left to {joined([*parts])} than is used today: see below."
    return said


def no_headline(found: Sequence[Verdict], by_word: dict[Word, list[Verdict]]) -> str:
    """What to say where nothing works in full for certain."""
    unknown, partly = by_word.get(Word.NOT_KNOWN, []), by_word.get(Word.IN_PART, [])
    if not unknown and not partly:
        where = f"in {named(found)}" if len(found) == 1 else "in any receptacle"
        return f"No: it does not work {where}."
    sure = [(one, outcome) for one in found if (outcome := certain(one))]
    most = max((outcome.alive for _, outcome in sure), default=-1)
    better = may_work(found)
    said = []
    if better:
        said.append(f"Yes, if what is not known of {named(better)} turns out so.")
    if sure:
        verdict, outcome = max(sure, key=lambda pair: pair[1].alive)
        there = f"{short_name(verdict.receptacle)}{' once set' if outcome.change else ''}"
        front = "For certain it works" if said else "No: it works"
        said.append(f"{front} only in part: in {there} {seen(outcome)}.")
    more = [(one, one.maybe) for one in partly if one.maybe and one.maybe.alive > most]
    if more and not better:
        verdict, outcome = max(more, key=lambda pair: pair[1].alive)
        there = short_name(verdict.receptacle)
        said.append(f"Perhaps {seen(outcome)} in {there}: see what to find out there.")
    return " ".join(said)


def certain(verdict: Verdict) -> SeatOutcome | None:
    """The best of a receptacle that hangs on nothing unproven."""
    outcome = verdict.outcome
    return outcome if outcome and outcome.certain else verdict.certain


def named(verdicts: Sequence[Verdict]) -> str:
    """`SLOT1, SLOT2 and SLOT4`."""
    return joined([short_name(verdict.receptacle) for verdict in verdicts])


def joined(names: Sequence[str]) -> str:
    """Names as a sentence has them; many are not all named."""
    if len(names) > MOST_NAMED:
        return ", ".join(names[:MOST_NAMED]) + f" and {len(names) - MOST_NAMED} more"
    *before, last = names
    return f"{', '.join(before)} and {last}" if before else last


# --- notes ----------------------------------------------------------------------------------------


def notes(problem: Problem, verdict: Verdict, sat_in: str | None) -> Iterator[str]:
    """In the order in which people need them."""
    if sat_in == verdict.receptacle.id:
        yield "It sits here today."
    yield from otherwise(verdict)
    yield from steered(problem, verdict)
    yield from at_others_cost(problem, verdict)
    yield from shared(problem, verdict)
    for held in held_ports(problem, verdict.outcome.seats if verdict.outcome else ()):
        yield (
            f"Set {held.menu!r} to generation {held.generation} before it goes in: the wires on "
            "the way carry no more, and a faster link errs."
        )
    for way in verdict.refuted if verdict.word.rank > Word.ONCE_SET.rank else ():
        yield f"{division(way)} is listed and known not to work."


def otherwise(verdict: Verdict) -> Iterator[str]:
    """What happens without the setting, and what more there might be."""
    if verdict.twin is not None and verdict.outcome is not None:
        dark = [one.name for one in verdict.twin.counted if not one.lanes]
        which = f", {' and '.join(dark)} not" if dark and verdict.twin.alive else ""
        if dark != [one.name for one in verdict.outcome.counted if not one.lanes]:
            yield f"If the lanes come in the other order, {seen(verdict.twin)}{which}."
    if verdict.unset is not None:
        yield f"If nothing is set, {seen(verdict.unset)}."
    if verdict.certain is not None and verdict.certain is not verdict.unset:
        yield f"For certain {seen(verdict.certain)}{by_setting(verdict.certain)}."
    if verdict.maybe is not None:
        facts = " and ".join(fact.statement for fact in verdict.maybe.decides)
        yield f"Perhaps {seen(verdict.maybe)}{by_setting(verdict.maybe)}, if {facts}."
    yield from others(verdict)
    if verdict.barred is not None:
        better, against = verdict.barred
        why = "; and ".join(dict.fromkeys(one.text for one in against))
        way = f"With {division(better.way)} " if better.way else "Else "
        yield f"{way}{seen(better)}, but that cannot be: {why}."
    for part, why in verdict.outcome.below if verdict.outcome else ():
        yield f"{part} does not work there: {why}."


def comes_to(outcome: SeatOutcome) -> str:
    """`"Slot 1: x8x8" 2 of 4`."""
    return f"{division(outcome.way) if outcome.way else ''} {outcome.alive} of {outcome.total}"


def others(verdict: Verdict) -> Iterator[str]:
    """What the settings come to that are not spoken of otherwise."""
    best = verdict.outcome
    if best is None or verdict.word not in (Word.IN_PART, Word.NOT_KNOWN):
        return
    told = [id(one) for one in (verdict.unset, verdict.certain, verdict.twin, verdict.maybe)]
    left = [one for one in verdict.others if one.way and id(one) not in told]
    no_better = [one for one in left if one.alive <= best.alive]
    if no_better:
        yield f"Other settings do no better: {', '.join(map(comes_to, no_better))}."
    unproven = [one for one in left if one.alive > best.alive]
    if unproven:
        yield f"Not proven either: {', '.join(map(comes_to, unproven))}."


def by_setting(outcome: SeatOutcome) -> str:
    """` with "Slot 1: x8x8" set`, where that needs setting."""
    if not outcome.change or outcome.way is None:
        return ""
    return f" with {division(outcome.way)} set"


def steered(problem: Problem, verdict: Verdict) -> Iterator[str]:
    """What has to stay empty, and what if it does not."""
    if verdict.outcome is None:
        return
    machine = verdict.outcome.seat.upstream.machine
    if verdict.keep_empty:
        names = listed(problem, machine, verdict.keep_empty, "or")
        yield f"This holds while nothing is in {names}."
    for other in verdict.filled:
        yield while_filled(problem, machine, other)


def while_filled(problem: Problem, machine: str, other: WhileFilled) -> str:
    """How it fares while something is in another receptacle."""
    names = listed(problem, machine, other.receptacles, "and")
    way = other.outcome.way
    own = other.outcome.receptacle
    gets = f" it has {segments_text(way.gives.get(own, ()))}:" if way else ""
    return f"With something in {names}{gets} {seen(other.outcome)}."


def listed(problem: Problem, machine: str, names: tuple[str, ...], word: str) -> str:
    """Receptacles as a sentence lists them."""
    *before, last = [receptacle_named(problem, machine, name) for name in names]
    return f"{', '.join(before)} {word} {last}" if before else last


def at_others_cost(problem: Problem, verdict: Verdict) -> Iterator[str]:
    """Who has less, or no room, once the part is in."""
    outcome = verdict.outcome
    if outcome is None:
        return
    alike: dict[tuple[object, object], list[LanesLost]] = {}
    for effect in verdict.lanes_lost:
        alike.setdefault((effect.before, effect.after), []).append(effect)
    for effects in alike.values():
        yield lost(problem, outcome, effects)
    for part, before, after in outcome.changes:
        now = link_text(before.bus, before.generation, before.lanes)
        then = (
            link_text(after.bus, after.generation, after.lanes) if after.lanes else "not detected"
        )
        yield f"{part}, which is there today, goes from {now} to {then}."
    if verdict.covers:
        names = " and ".join(short_name(problem.receptacle[name]) for name in verdict.covers)
        yield f"Nothing else can go into {names} then: its body is in the way."


def lost(problem: Problem, outcome: SeatOutcome, effects: list[LanesLost]) -> str:
    """Receptacles that have fewer lanes, and alike."""
    names = tuple(effect.receptacle for effect in effects)
    name = listed(problem, outcome.seat.upstream.machine, names, "and")
    before, after = effects[0].before, effects[0].after
    now = segments_text(after) if after else "no lanes"
    return f"{name} then {have(names)} {now} instead of {segments_text(before)}."


def shared(problem: Problem, verdict: Verdict) -> Iterator[str]:
    """Links upwards that it shares with others on the board."""
    outcome = verdict.outcome
    for node in outcome.seat.upstream.hops if outcome and outcome.seat.links else ():
        if isinstance(node, HubKey):
            hub = problem.machine[node.machine].hubs[node.hub]
            text = link_text("pcie", hub.generation, hub.lanes)
            left = gb_s(hub_capacity(problem, node))
            yield (
                f"It is attached to {hub.label or hub.id}, whose uplink ({text}, {left} GB/s left) "
                "it shares with all that is attached there."
            )
