"""What would make it work, in words."""

from __future__ import annotations

from typing import assert_never

from slotfit.check.answer import (
    Advice,
    Answer,
    MoveAway,
    OtherOrder,
    OtherPart,
    OtherReceptacle,
    Outcome,
    Verdict,
)
from slotfit.render.check.notes import setting_text
from slotfit.render.check.view import AdviceView
from slotfit.render.check.words import summary
from slotfit.render.names_of import short_name
from slotfit.render.words import gb_s, link_text


def advice_view(answer: Answer, advice: Advice) -> AdviceView:
    """One way out."""
    verdict = advice.verdict
    kind, text = worded(answer, advice)
    part = advice.part.id if isinstance(advice, OtherPart) else None
    return AdviceView(kind, text, part, verdict.site.id, verdict.word.value)


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
        return short_name(verdict.site)
    setting = f" ({setting_text(outcome)})" if outcome.change else ""
    return f"{short_name(verdict.site)}{setting}: {verdict.word.value}, {summary(verdict)}"


def other_order(answer: Answer, advice: OtherOrder) -> str:
    """Which drive goes into which socket."""
    problem = answer.question.problem
    placed = ", ".join(
        f"{site.rpartition('/')[2]}: {problem.item[drive].part.id}" for drive, site in advice.drives
    )
    return f"Put the drives into other sockets ({placed}). {outcome_at(advice.verdict)}."


def move_away(answer: Answer, advice: MoveAway) -> str:
    """What goes where."""
    to = short_name(answer.question.problem.site[advice.to])
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
