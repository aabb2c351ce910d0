"""From an answer of `check` to everything it shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from typing import NamedTuple, assert_never

from slotfit.answers.check.answer import (
    Advice,
    Answer,
    Endpoint,
    MoveAway,
    OtherOrder,
    OtherPart,
    OtherReceptacle,
    Outcome,
    Verdict,
    Word,
)
from slotfit.answers.check.question import Question
from slotfit.answers.check.words import headline, notes, setting_text, summary, trained_text
from slotfit.answers.names import about, board_of, gb_s, label, link_text, segments_text, short_name
from slotfit.answers.place.cautions import cautions_for
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt, No

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


class EndpointView(NamedTuple):
    """One link or socket of the part."""

    name: str
    kind: str
    """link | socket | upwards (shared by the sockets)"""
    lanes_text: str
    """Lanes of the part's plug, such as `4-7`."""
    segment: str | None
    """The segment of the receptacle's lanes they lie in: `x8 from lane 0`."""
    text: str
    """`16 GT/s x4`, `dark`."""
    lanes: int
    generation: int | None
    able_text: str | None
    """What the part's end of it could do; none for an empty socket."""
    mb_s: int | None
    """Usable, each way; none if the speed is not known."""
    moves_mb_s: int | None
    drive: str | None
    """Part id of what is in the socket."""
    dark: str


class UnprovenView(NamedTuple):
    """Something nobody has proven."""

    statement: str
    find_out: str
    where: str


class ReasonView(NamedTuple):
    """Why it does not work."""

    rule: str
    text: str
    where: tuple[str, ...]
    misfit: bool
    """The plug is of another form, and no more is known of the two."""


class VerdictView(NamedTuple):
    """One receptacle."""

    receptacle: str
    name: str
    """What to call it in a sentence."""
    label: str
    """With the name printed beside it, where that is spelt otherwise."""
    about: str
    word: str
    summary: str
    """`2 of 4 sockets are seen`; empty if it does not work."""
    alive: int
    total: int
    setting: str | None
    """What to choose or do; none if nothing is to be set."""
    how: str | None
    """setting | jumper | presence | fixed"""
    gives: str | None
    """What the receptacle then gets: `x4+x4`."""
    short_mb_s: int
    endpoints: tuple[EndpointView, ...]
    unknown: tuple[UnprovenView, ...]
    """What decides, and nobody has said."""
    open: tuple[UnprovenView, ...]
    """What nobody has said and what changes only which endpoints are seen, not how many."""
    provided: tuple[UnprovenView, ...]
    """Further conditions."""
    reasons: tuple[ReasonView, ...]
    notes: tuple[str, ...]


class AdviceView(NamedTuple):
    """What would make it work."""

    kind: str
    """order | receptacle | move | part"""
    text: str
    part: str | None
    receptacle: str
    word: str


class CheckView(NamedTuple):
    """A whole answer."""

    schema_version: int
    part: str
    part_name: str
    board: str
    board_name: str
    invented: bool
    around: tuple[str, ...]
    """Chassis and supplies that count."""
    today: tuple[tuple[str, str], ...]
    """What is in the machine already: part, receptacle."""
    drives: tuple[tuple[str, str], ...]
    """Socket, part id of what is in it."""
    word: str
    """The best verdict."""
    headline: str
    verdicts: tuple[VerdictView, ...]
    advice: tuple[AdviceView, ...]
    notes: tuple[str, ...]
    cautions: tuple[str, ...]


def advice_view(answer: Answer, advice: Advice) -> AdviceView:
    """One way out."""
    verdict = advice.verdict
    kind, text = worded(answer, advice)
    part = advice.part.id if isinstance(advice, OtherPart) else None
    return AdviceView(kind, text, part, verdict.receptacle.id, verdict.word.value)


def worded(answer: Answer, advice: Advice) -> tuple[str, str]:
    """The kind of way out, and its sentence."""
    match advice:
        case OtherOrder():
            return "order", other_order(answer, advice)
        case OtherReceptacle():
            return "receptacle", f"Use {outcome_at(advice.verdict)}."
        case MoveAway():
            return "move", move_away(answer, advice)
        case OtherPart():
            return "part", other_part(advice)
        case _:
            assert_never(advice)


def outcome_at(verdict: Verdict) -> str:
    """`SLOT3 (choose "..." in firmware setup): 4 of 4 drives are seen`."""
    outcome = verdict.outcome
    if outcome is None:
        return short_name(verdict.receptacle)
    setting = f" ({setting_text(outcome)})" if outcome.change else ""
    return f"{short_name(verdict.receptacle)}{setting}: {verdict.word.value}, {summary(verdict)}"


def other_order(answer: Answer, advice: OtherOrder) -> str:
    """Which drive goes into which socket."""
    problem = answer.question.problem
    placed = ", ".join(
        f"{one.rpartition('/')[2]}: {problem.part[drive].spec.id}" for drive, one in advice.drives
    )
    return f"Put the drives into other sockets ({placed}). {outcome_at(advice.verdict)}."


def move_away(answer: Answer, advice: MoveAway) -> str:
    """What goes where."""
    to = short_name(answer.question.problem.receptacle[advice.to])
    return f"Move {advice.item} to {to}. Then {outcome_at(advice.verdict)}."


def other_part(advice: OtherPart) -> str:
    """Another part, and what it costs in bandwidth."""
    start = "Put it on" if advice.between else "Take"
    name = advice.part.name or advice.part.id
    outcome = advice.verdict.outcome
    cost = costs(outcome) if outcome else ""
    return f"{start} {advice.part.id} ({name}) in {outcome_at(advice.verdict)}{cost}."


def costs(outcome: Outcome) -> str:
    """What each endpoint has, alone and with all busy."""
    each = min((one.mb_s or 0 for one in outcome.counted), default=0)
    up = next((one for one in outcome.endpoints if one.kind == "upwards"), None)
    if up is None or up.trained is None or not up.mb_s:
        return f", {gb_s(each)} GB/s each" if each else ""
    text = link_text(up.trained.bus, up.trained.generation, up.trained.lanes)
    return (
        f", up to {gb_s(min(each, up.mb_s))} GB/s each and {gb_s(up.mb_s)} GB/s together "
        f"(they share {text})"
    )


def check_view_of(answer: Answer) -> CheckView:
    """Everything an answer shows."""
    question = answer.question
    problem, spec = question.problem, question.part.spec
    board, board_name = board_of(problem)
    return CheckView(
        schema_version=SCHEMA_VERSION,
        part=question.part_id,
        part_name=spec.name or spec.id,
        board=board,
        board_name=board_name,
        invented=any(machine.board.invented for machine in problem.machines),
        around=tuple(around(problem)),
        today=tuple(
            (name, short_name(problem.receptacle[one])) for name, one in question.today.items()
        ),
        drives=tuple(
            (receptacle.rpartition("/")[2], problem.part[name].spec.id)
            for name, receptacle in question.drives.items()
        ),
        word=answer.word.value,
        headline=headline(answer),
        verdicts=tuple(verdict_view(question, verdict) for verdict in answer.verdicts),
        advice=tuple(advice_view(answer, one) for one in answer.advice),
        notes=tuple(further(answer)),
        cautions=cautions(answer),
    )


def further(answer: Answer) -> Iterator[str]:
    """What was not looked at, and where such a part goes if not onto a board."""
    for name in answer.question.unconnected:
        yield f"Its plug {name!r} has to be connected as well; that was not looked at."
    misfit = all(verdict.is_misfit for verdict in answer.verdicts)
    if misfit and not answer.advice:
        yield GOES_ELSEWHERE.get(answer.question.part.spec.plug.form, NO_WAY)


BY_CABLE = (
    "Such a plug goes into a port of an adapter card or into a cable: name those in a build file "
    "as well, and `slotfit place` says what hangs where."
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


def around(problem: Problem) -> Iterator[str]:
    """Chassis and supplies that count."""
    for machine in problem.machines:
        for thing in (machine.chassis, machine.power_supply):
            if thing is not None:
                yield thing.id


def cautions(answer: Answer) -> tuple[str, ...]:
    """Those that apply once the part goes in; none if it does not."""
    best = answer.verdicts[0].outcome if answer.verdicts else None
    if best is None:
        return ()
    return cautions_for(answer.question.problem, [best.seat.part])


def verdict_view(question: Question, verdict: Verdict) -> VerdictView:
    """One receptacle."""
    problem = question.problem
    outcome = verdict.outcome
    way = outcome.way if outcome else None
    return VerdictView(
        receptacle=verdict.receptacle.id,
        name=short_name(verdict.receptacle),
        label=label(verdict.receptacle),
        about=about(problem, verdict.receptacle),
        word=verdict.word.value,
        summary=summary(verdict),
        alive=outcome.alive if outcome else 0,
        total=outcome.total if outcome else 0,
        setting=setting_text(outcome) if outcome and outcome.change else None,
        how=way.chosen_by if way else None,
        gives=given(outcome) if outcome else None,
        short_mb_s=outcome.short_mb_s if outcome else 0,
        endpoints=tuple(endpoint_view(problem, one) for one in outcome.endpoints)
        if outcome
        else (),
        unknown=unproven(outcome.decides) if outcome and verdict.word is Word.NOT_KNOWN else (),
        open=unproven(one for one in outcome.order if one not in outcome.decides)
        if outcome
        else (),
        provided=unproven(outcome.provided) if outcome else (),
        reasons=tuple(
            reason_view(one.no, with_blockers(one.text, one.blockers)) for one in verdict.reasons
        ),
        notes=tuple(notes(problem, verdict, question.sat_in)),
    )


def reason_view(no: No, text: str) -> ReasonView:
    """A reason in these words."""
    misfit = no.is_about_forms and not no.explained
    return ReasonView(no.rule, text, tuple(map(str, no.spans)), misfit)


def with_blockers(text: str, blockers: Iterable[str]) -> str:
    """Who is in the way."""
    names = ", ".join(blockers)
    return f"{text} (there today: {names})" if names else text


def given(outcome: Outcome) -> str | None:
    """What the board's receptacle gets under the arrangement."""
    if outcome.way is None:
        return None
    widths = outcome.way.gives.get(outcome.seat.upstream.root.rpartition("/")[2], ())
    text, turned = segments_text(widths), segments_text(widths[::-1])
    return text if outcome.way.order == "known" or text == turned else f"{text} or {turned}"


def unproven(facts: Iterable[Doubt]) -> tuple[UnprovenView, ...]:
    """Facts nobody has proven."""
    return tuple(
        UnprovenView(fact.statement, fact.find_out, str(fact.span) if fact.span else "")
        for fact in facts
    )


def endpoint_view(problem: Problem, one: Endpoint) -> EndpointView:
    """One link or socket."""
    link = one.trained
    empty = one.kind == "socket" and one.drive is None
    return EndpointView(
        name=one.name,
        kind=one.kind,
        lanes_text="" if one.at is None else lanes_text(one.at, one.wired),
        segment=f"x{one.segment.lanes} from lane {one.segment.start}" if one.segment else None,
        text=trained_text(one) if link else "dark",
        lanes=link.lanes if link else 0,
        generation=link.generation if link else None,
        able_text=None
        if empty or link is None
        else link_text(link.bus, link.able_generation, link.able_lanes),
        mb_s=one.mb_s,
        moves_mb_s=one.moves_mb_s,
        drive=problem.part[one.drive].spec.id if one.drive else None,
        dark=one.dark,
    )


def lanes_text(at: int, lanes: int) -> str:
    """`4-7`, `0`."""
    return f"{at}-{at + lanes - 1}" if lanes > 1 else str(at)
