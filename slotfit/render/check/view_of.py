"""From an answer of `check` to everything it shows."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slotfit.check.answer import Answer, Endpoint, Outcome, Verdict, Word
from slotfit.check.question import Question
from slotfit.model.problem import Problem
from slotfit.model.seat import Fact
from slotfit.render.cautions import cautions_for
from slotfit.render.check.advice import advice_view
from slotfit.render.check.notes import notes, setting_text
from slotfit.render.check.view import (
    SCHEMA_VERSION,
    CheckView,
    EndpointView,
    ReasonView,
    UnprovenView,
    VerdictView,
)
from slotfit.render.check.words import headline, summary, trained_text
from slotfit.render.names_of import about, board_of, label, short_name
from slotfit.render.words import link_text, segments_text


def check_view_of(answer: Answer) -> CheckView:
    """Everything an answer shows."""
    question = answer.question
    problem, part = question.problem, question.item.part
    board, board_name = board_of(problem)
    return CheckView(
        schema_version=SCHEMA_VERSION,
        part=question.part,
        part_name=part.name or part.id,
        board=board,
        board_name=board_name,
        invented=any(rig.board.invented for rig in problem.rigs),
        around=tuple(around(problem)),
        today=tuple(
            (name, short_name(problem.site[site])) for name, site in question.today.items()
        ),
        drives=tuple(
            (site.rpartition("/")[2], problem.item[name].part.id)
            for name, site in question.drives.items()
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
    other_form = all(
        [one.rule for one in verdict.reasons] == ["FIT001"] for verdict in answer.verdicts
    )
    if other_form and not answer.advice:
        yield GOES_ELSEWHERE.get(answer.question.item.part.plug.form, NO_WAY)


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
    for rig in problem.rigs:
        for thing in (rig.chassis, rig.power_supply):
            if thing is not None:
                yield thing.id


def cautions(answer: Answer) -> tuple[str, ...]:
    """Those that apply once the part goes in; none if it does not."""
    best = answer.verdicts[0].outcome if answer.verdicts else None
    if best is None:
        return ()
    return cautions_for(answer.question.problem, (best.seat,))


def verdict_view(question: Question, verdict: Verdict) -> VerdictView:
    """One receptacle."""
    problem = question.problem
    outcome = verdict.outcome
    way = outcome.way if outcome else None
    return VerdictView(
        receptacle=verdict.site.id,
        name=short_name(verdict.site),
        label=label(verdict.site),
        about=about(problem, verdict.site),
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
            ReasonView(one.rule, with_blockers(one.text, one.blockers), tuple(map(str, one.spans)))
            for one in verdict.reasons
        ),
        notes=tuple(notes(problem, verdict, question.sat_in)),
    )


def with_blockers(text: str, blockers: Iterable[str]) -> str:
    """Who is in the way."""
    names = ", ".join(blockers)
    return f"{text} (there today: {names})" if names else text


def given(outcome: Outcome) -> str | None:
    """What the board's receptacle gets under the arrangement."""
    if outcome.way is None:
        return None
    widths = outcome.way.gives.get(outcome.seat.offer.root.rpartition("/")[2], ())
    text, turned = segments_text(widths), segments_text(widths[::-1])
    return text if outcome.way.order == "known" or text == turned else f"{text} or {turned}"


def unproven(facts: Iterable[Fact]) -> tuple[UnprovenView, ...]:
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
        drive=problem.item[one.drive].part.id if one.drive else None,
        dark=one.dark,
    )


def lanes_text(at: int, lanes: int) -> str:
    """`4-7`, `0`."""
    return f"{at}-{at + lanes - 1}" if lanes > 1 else str(at)
