"""What places, links and settings on the way are called."""

from __future__ import annotations

from collections.abc import Iterable, Iterator

from slotfit.answers.names import links_words, printed, setting_text
from slotfit.answers.place.answer import UnprovenFact
from slotfit.answers.place.of_plan import planned_link
from slotfit.answers.sequence.answer import SettingStep
from slotfit.hardware.wires import held_ports
from slotfit.model.problem import Problem
from slotfit.model.reason import Doubt
from slotfit.model.windows import Layout, SettingChange
from slotfit.rule import gets

BESIDE = "beside the machines"

CHOSEN = ("setting", "jumper")
"""Ways to pick an arrangement that somebody has to do, and to undo."""


def place_name(problem: Problem, receptacle_id: str | None, *, machine: bool = False) -> str:
    """`SLOT 3`, `SLOT 3 of fog`, `m2a of plates`; an undescribed place goes by the file's name."""
    if receptacle_id is None:
        return BESIDE
    receptacle = problem.receptacle.get(receptacle_id)
    if receptacle is None:
        return receptacle_id
    label = printed(receptacle.spec)
    if receptacle.on_board:
        return f"{label} of {receptacle.owner}" if machine and len(problem.machines) > 1 else label
    return f"{label} of {problem.part[receptacle.owner].body}"


def socket_of(problem: Problem, receptacle_id: str | None) -> tuple[str, str]:
    """The part whose socket a place is, and the socket's name; empty for a board."""
    receptacle = problem.receptacle.get(receptacle_id or "")
    if receptacle is None or receptacle.on_board:
        return "", ""
    return problem.part[receptacle.owner].body, printed(receptacle.spec)


def link_name(layout: Layout, part: str) -> str:
    """What a part trains at; empty where it is in no machine or has no links."""
    seat = layout.seat_of.get(part)
    if seat is None or not seat.links:
        return ""
    return links_words([*map(planned_link, seat.links)])


def setting_step(change: SettingChange, *, known: bool) -> SettingStep:
    """
    One lane group to be arranged otherwise; a choice that was made has to be taken back.

    `known`: somebody said, or has just chosen, what it is before.
    """
    before, after = change.before, change.after
    undo = before.chosen_by in CHOSEN and after.chosen_by not in CHOSEN
    return SettingStep(
        machine=change.where.machine,
        group=change.where.group,
        before=setting_text(before),
        known=known,
        after=f"back to what the board does by itself: {gets(after)}"
        if undo
        else setting_text(after),
        chosen_by=before.chosen_by if undo else after.chosen_by,
    )


def speed_steps(
    problem: Problem, machine: str, before: Layout, after: Layout
) -> Iterator[SettingStep]:
    """Ports to be held to what the wires below them carry, and those to be let go again."""
    now, then = (
        {one.receptacle: one for one in held_ports(problem, layout.seats)}
        for layout in (before, after)
    )
    for name, one in (now | then).items():
        was, will = now.get(name), then.get(name)
        if one.machine != machine or (was and will and was.generation == will.generation):
            continue
        yield SettingStep(
            machine=machine,
            group=name.rpartition("/")[2],
            before=f"generation {was.generation}" if was else "as the board has it",
            known=True,
            after=f"{one.menu}: "
            + (f"generation {will.generation}" if will else "back to what it was"),
            chosen_by="setting",
        )


def unproven(fact: Doubt, layouts: Iterable[Layout]) -> UnprovenFact:
    """An unproven fact, with the parts that rest on it in some of the layouts."""
    parts = dict.fromkeys(
        seat.part
        for layout in layouts
        for seat in layout.seats
        if any(other.id == fact.id for other in seat.facts)
    )
    where = str(fact.span) if fact.span else ""
    return UnprovenFact(fact.label, fact.statement, fact.find_out, where, tuple(parts))
