"""The answer of `why` for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.check.view import ReasonView
from slotfit.render.check.why_view import PartChange, WhyView
from slotfit.render.text_layout import bullet, columns, fill, heading
from slotfit.render.words import gb_s


def why_text(view: WhyView) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: WhyView) -> Iterator[str]:
    """The answer, then the reasons or the price."""
    yield from fill(view.headline)
    for reason in view.reasons:
        yield from because(reason)
    for left in view.left:
        yield from heading(f"No place for {left.item}")
        for reason in left.reasons:
            yield from because(reason)
    yield from stages(view)
    if view.parts:
        yield from heading("Part by part: as the plan has it, and with this part there")
        rows = [row_of(one) for one in view.parts]
        yield from columns(("part", "goes in", "trains at", "GB/s"), rows)


def because(reason: ReasonView) -> Iterator[str]:
    """One reason, with its rule and where its facts are written."""
    where = f" [{reason.rule}; {', '.join(reason.where)}]" if reason.where else f" [{reason.rule}]"
    yield from bullet(f"because {reason.text}{where}")


def stages(view: WhyView) -> Iterator[str]:
    """The preferences in order; those that do not change are said to be the same."""
    if not view.stages:
        return
    yield from heading("Preference by preference, the weightiest first")
    yield from columns(("", "preference", "as the plan is -> with it there"), stage_rows(view))


def stage_rows(view: WhyView) -> list[tuple[str, ...]]:
    """One preference a row, and whether it is the one that decides."""
    rows: list[tuple[str, ...]] = []
    for number, stage in enumerate(view.stages, 1):
        text = f"the same: {stage.before}"
        if stage.value_before != stage.value_after:
            text = f"{stage.before} -> {stage.after}"
        mark = " (this decides)" if stage.decides else ""
        rows.append((f"{number}.", stage.stage, text + mark))
    return rows


def row_of(one: PartChange) -> tuple[str, ...]:
    """One part, both ways."""
    return (
        one.item,
        both(one.goes_from or "nowhere", one.goes_to or "nowhere"),
        both(one.link_before, one.link_after),
        both(gb_s(one.mb_s_before), gb_s(one.mb_s_after)),
    )


def both(before: str, after: str) -> str:
    """`slot1 -> slot2`, or one of them if they are the same."""
    return before if before == after else f"{before} -> {after}"
