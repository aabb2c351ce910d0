"""The answer of `why` for a terminal: the reasons, or the price by preference and by part."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.check.answer import RuleReason
from slotfit.answers.names import carries_text
from slotfit.answers.place.text import fact_lines
from slotfit.answers.text_layout import (
    bullet,
    bulleted,
    columns,
    fill,
    heading,
    joined,
    verdict,
)
from slotfit.answers.why.answer import PartChange, StageChange, WhyAnswer

MORE = "More: --all every preference."


def why_text(answer: WhyAnswer, *, every: bool = False) -> str:
    """The answer, or with `every` all of it; every line ends where the words end."""
    return joined(lines(answer, every=every))


def lines(answer: WhyAnswer, *, every: bool) -> Iterator[str]:
    """The answer with its reasons, then the price: part by part, settings, what is not proven."""
    more, plan = answer.more, answer.plan
    yield from verdict(answer.verdict.word, answer.verdict.headline)
    for reason in more.reasons:
        yield from because(reason)
    for left in more.left:
        if left.reasons:
            yield from heading(f"No place for {left.item}")
        for reason in left.reasons:
            yield from because(reason)
    if plan.parts:
        yield from heading("Part by part: as the plan has it -> with this part there")
        yield from columns(HEAD, [*map(part_row, plan.parts)])
    to_do = (f"{one.lane_group}: {both(one.before, one.after)}" for one in plan.settings)
    yield from bulleted("Do, to have it there: set", to_do)
    yield from fact_lines(plan.rests_on, "Watch: with it there the plan also rests on")
    said = (
        f"{number}. {stage_words(one)}"
        for number, one in enumerate(more.stages, 1)
        if every or differs(one)
    )
    yield from bulleted("Preferences, the weightiest first: as the plan is -> with it there", said)
    if not (every or all(map(differs, more.stages))):
        yield from fill(MORE)


HEAD = ("part", "place", "trains at", "GB/s one way")


def differs(stage: StageChange) -> bool:
    """Whether a preference comes to something else with the part there."""
    return stage.before.value.value != stage.after.value.value


def because(reason: RuleReason) -> Iterator[str]:
    """One reason, with its rule and where its facts are written."""
    where = "; ".join(filter(None, (reason.rule, ", ".join(reason.where))))
    yield from bullet(f"because {reason.text}" + (f" [{where}]" if where else ""))


def stage_words(stage: StageChange) -> str:
    """One preference, and whether it is the one that decides."""
    if not differs(stage):
        return f"{stage.stage}: the same: {stage.before.says}"
    mark = " (this decides)" if stage.decides else ""
    return f"{stage.stage}: {stage.before.says} -> {stage.after.says}{mark}"


def part_row(one: PartChange) -> tuple[str, ...]:
    """One part, both ways."""
    return (
        one.item,
        both(one.goes_from or "nowhere", one.goes_to or "nowhere"),
        both(one.link_before, one.link_after),
        both(carries_text(one.mb_s_before), carries_text(one.mb_s_after)),
    )


def both(before: str, after: str) -> str:
    """`slot1 -> slot2`, or one of them if they are the same."""
    return before if before == after else f"{before} -> {after}"
