"""The answer of `why` for a terminal: the reasons, or the price by preference and by part."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.check.answer import RuleReason
from slotfit.answers.names import carries_text
from slotfit.answers.place.text import fact_lines
from slotfit.answers.text_layout import bullet, columns, fill, heading, joined
from slotfit.answers.why.answer import PartChange, StageChange, WhyAnswer


def why_text(answer: WhyAnswer) -> str:
    """The whole answer; every line ends where the words end."""
    return joined(lines(answer))


def lines(answer: WhyAnswer) -> Iterator[str]:
    """The answer, then the reasons or the price."""
    more, parts = answer.more, answer.plan.parts
    yield from fill(answer.verdict.headline)
    for reason in more.reasons:
        yield from because(reason)
    for left in more.left:
        if left.reasons:
            yield from heading(f"No place for {left.item}")
        for reason in left.reasons:
            yield from because(reason)
    if more.stages:
        yield from heading("Preference by preference, the weightiest first")
        head = ("", "preference", "as the plan is -> with it there")
        yield from columns(head, stage_rows(more.stages))
    if parts:
        yield from heading("Part by part: as the plan has it, and with this part there")
        yield from columns(
            ("part", "goes in", "trains at", "carries, GB/s one way"), [*map(part_row, parts)]
        )
    rows = [(one.lane_group, both(one.before, one.after)) for one in answer.plan.settings]
    if rows:
        yield from heading("What has to be set otherwise")
        yield from columns(("lanes of", "set to"), rows)
    yield from fact_lines(answer.plan.rests_on, "With it there the plan also rests on")


def because(reason: RuleReason) -> Iterator[str]:
    """One reason, with its rule and where its facts are written."""
    where = "; ".join(filter(None, (reason.rule, ", ".join(reason.where))))
    yield from bullet(f"because {reason.text}" + (f" [{where}]" if where else ""))


def stage_rows(stages: Sequence[StageChange]) -> list[tuple[str, ...]]:
    """One preference a row, and whether it is the one that decides."""
    rows: list[tuple[str, ...]] = []
    for number, stage in enumerate(stages, 1):
        before, after = stage.before, stage.after
        text = f"the same: {before.says}"
        if before.value.value != after.value.value:
            text = f"{before.says} -> {after.says}"
        mark = " (this decides)" if stage.decides else ""
        rows.append((f"{number}.", stage.stage, text + mark))
    return rows


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
