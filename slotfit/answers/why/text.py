"""What `why` shows: the reasons, or the price preference by preference and part by part."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import dataclass

from slotfit.answers.check.answer import SCHEMA_VERSION, RuleReason
from slotfit.answers.check.check import rule_reason
from slotfit.answers.check.verdict import Objection
from slotfit.answers.names import gb_s, link_text, short_name
from slotfit.answers.place.of_plan import stage_says
from slotfit.answers.text_layout import bullet, columns, fill, heading
from slotfit.answers.why.answer import Case, Left, Moved, Why
from slotfit.hardware.flow import capacity
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat


@dataclass(frozen=True, slots=True)
class StageChange:
    """One preference: as it is, and with the part there."""

    stage: str
    before: str
    after: str
    value_before: int
    value_after: int
    unit: str
    decides: bool
    """The first that differs: it outweighs all that follow."""


@dataclass(frozen=True, slots=True)
class PartChange:
    """One part that sits or trains otherwise."""

    item: str
    goes_from: str | None
    goes_to: str | None
    link_before: str
    link_after: str
    mb_s_before: int
    mb_s_after: int


@dataclass(frozen=True, slots=True)
class LeftView:
    """A part that would have no place."""

    item: str
    reasons: tuple[RuleReason, ...]
    with_it: tuple[str, ...]
    """What sits on it."""


@dataclass(frozen=True, slots=True)
class WhyView:
    """The whole answer."""

    schema_version: int
    build: str
    item: str
    receptacle: str
    case: str
    headline: str
    reasons: tuple[RuleReason, ...]
    left: tuple[LeftView, ...]
    stages: tuple[StageChange, ...]
    parts: tuple[PartChange, ...]


def why_view_of(why: Why) -> WhyView:
    """Everything it shows."""
    problem = why.problem
    stages = () if why.case is Case.CROWDS_OUT else tuple(stage_changes(why))
    parts = tuple(part_change(problem, one) for one in why.moved)
    return WhyView(
        SCHEMA_VERSION,
        problem.id,
        why.item,
        short_name(problem.site[why.site]),
        why.case.value,
        headline(why, stages, parts),
        reason_views(why.reasons),
        tuple(LeftView(one.item, reason_views(one.reasons), one.with_it) for one in why.left),
        stages,
        parts,
    )


def reason_views(reasons: Iterable[Objection]) -> tuple[RuleReason, ...]:
    """Reasons with the items that they speak of."""
    return tuple(rule_reason(one.no, one.text, "taken by ", one.blockers) for one in reasons)


def stage_changes(why: Why) -> list[StageChange]:
    """Every preference, in order; the first that differs decides."""
    found: list[StageChange] = []
    decided = False
    for before, after in why.stages:
        decides = before.value != after.value and not decided
        decided = decided or decides
        old, new = stage_says(why.problem, before), stage_says(why.problem, after)
        found.append(
            StageChange(before.stage, old, new, before.value, after.value, before.unit, decides)
        )
    return found


def part_change(problem: Problem, moved: Moved) -> PartChange:
    """One part."""
    old, new = moved.before, moved.after
    return PartChange(
        moved.item,
        short_name(problem.site[old.site]) if old else None,
        short_name(problem.site[new.site]) if new else None,
        links(old),
        links(new),
        capacity(old) if old else 0,
        capacity(new) if new else 0,
    )


def links(seat: Seat | None) -> str:
    """`8 GT/s x8`, `2 of 4 links: 16 GT/s x4`, `no place`."""
    if seat is None:
        return "no place"
    alive = [link for link in seat.links if link.lanes]
    if not seat.links:
        return "no lanes"
    wired = all(link.to for link in seat.links)
    texts = dict.fromkeys(
        f"x{link.lanes}" if link.to else link_text(link.bus, link.generation, link.lanes)
        for link in alive
    )
    said = ", ".join(texts) or "dark"
    if len(seat.links) == 1:
        return said
    return f"{len(alive)} of {len(seat.links)} {'sockets' if wired else 'links'}: {said}"


def headline(why: Why, stages: tuple[StageChange, ...], parts: tuple[PartChange, ...]) -> str:
    """The answer in a sentence or two."""
    item, where = why.item, short_name(why.problem.site[why.site])
    match why.case:
        case Case.THERE:
            return f"It is there: the best plan puts {item} into {where}."
        case Case.FORBIDDEN:
            return f"{item} cannot be in {where}."
        case Case.CROWDS_OUT:
            names = " and ".join(map(left_text, why.left))
            return f"With {item} in {where} there is no place for {names}."
        case Case.AS_GOOD:
            return (
                f"{item} could be in {where} just as well: no preference speaks against it. Of "
                "equal plans always the same one is taken; write a pin if you prefer this one."
            )
        case Case.NO_PLAN:
            return "There is no plan to begin with; `slotfit place` says why."
        case Case.OUT_OF_TIME:
            return "Time ran out before this could be told; give it more --seconds."
    first = next(one for one in stages if one.decides)
    return f"{item} could be in {where}, at a price: {price(first)}.{dropped(parts)}"


def left_text(left: Left) -> str:
    """`scans (and the 4 parts on it)`."""
    number = len(left.with_it)
    on = f" (and the {number} parts on it)" if number > 1 else " (and the part on it)"
    return left.item + (on if number else "")


def price(stage: StageChange) -> str:
    """The preference that decides."""
    return f"{stage.after} ({stage.stage}; as it is, {stage.before})"


def dropped(parts: tuple[PartChange, ...]) -> str:
    """Parts with slower links."""
    slower = [one for one in parts if one.goes_to and one.mb_s_after < one.mb_s_before]
    said = [
        f"{one.item} would drop from {gb_s(one.mb_s_before)} to {gb_s(one.mb_s_after)} GB/s"
        for one in slower
    ]
    return f" {'; '.join(said)}." if said else ""


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


def because(reason: RuleReason) -> Iterator[str]:
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
