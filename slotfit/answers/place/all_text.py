"""All that `place` can say, in the sections that follow the short answer: `--all`."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from slotfit.answers.names import (
    ASSUMED,
    carries_text,
    gives_words,
    marks_of,
    needs_text,
    trained_text,
    watts,
)
from slotfit.answers.place.answer import (
    PlaceAnswer,
    PlacePlan,
    PlannedMachine,
    PlannedSeat,
    PowerBudget,
)
from slotfit.answers.place.layout import layout_of
from slotfit.answers.text_layout import bullet, bulleted, columns, fill, heading, hung
from slotfit.listing import counted


def all_lines(answer: PlaceAnswer) -> Iterator[str]:
    """What the short answer counts, shortens or leaves out."""
    for machine in answer.plan.machines:
        yield from machine_lines(answer.plan, machine)
    yield from lanes(answer)
    for budget in answer.more.power:
        yield from power(budget)
    yield from at_rest(answer)
    yield from bulleted("Slower than they could be", slower(answer))
    yield from left_over(answer)
    yield from stages(answer)
    yield from bulleted("Before you open the case", answer.do.cautions)


def reason_lines(answer: PlaceAnswer) -> Iterator[str]:
    """Why each part is where it is: `--reasons`."""
    layout = layout_of(answer.plan)
    label = {seat.item: layout.called(seat) for seat in answer.plan.seats}
    yield from bulleted(
        "Why there (`slotfit why` tells what another place would cost)",
        (f"{one.item} in {label[one.item]}: {one.reason}" for one in answer.more.reasons),
    )


def machine_lines(plan: PlacePlan, machine: PlannedMachine) -> Iterator[str]:
    """Every part of one machine with its figures."""
    seats = [seat for seat in plan.seats if seat.machine == machine.id]
    if not seats:
        return
    yield from heading(f"{machine.name}, part by part")
    yield from columns(HEAD, [seat_row(seat) for seat in seats])
    said = "needs, carries: GB/s one way, 256 bytes a packet"
    if any(ASSUMED in needs_text(seat) for seat in seats):
        said += f"; {ASSUMED} not stated (`demand`): all that its links can do"
    yield from fill(f"{said}; draws: from the slot, + over plugs.", "  ")


HEAD = ("goes in", "part", "trains at", "needs", "carries", "draws", "attached to")


def seat_row(seat: PlannedSeat) -> tuple[str, ...]:
    """One part, one row: place, part with its marks, links in short, rates, watts, processor."""
    hangs_on = draws = "-"
    if seat.processor is not None:
        hangs_on = seat.processor + (f" via {seat.hub}" if seat.hub else "")
    if seat.slot_w is not None or seat.aux_w is not None:
        draws = f"{seat.slot_w or 0:g}" + (f"+{seat.aux_w:g}" if seat.aux_w else "") + " W"
    elif seat.links and seat.part_class != "cable":
        draws = "? W"
    return (
        "  " * seat.depth + ("- " if seat.depth else "") + seat.label,
        " ".join(filter(None, (seat.item, marks_of(seat)))),
        trained_text(seat),
        needs_text(seat),
        carries_text(seat.carries_mb_s),
        draws,
        hangs_on,
    )


def lanes(answer: PlaceAnswer) -> Iterator[str]:
    """What the board steers by itself, and what to write once today's settings are seen."""
    layout = layout_of(answer.plan)
    yield from bulleted(
        "Lanes the board steers by what is plugged in",
        (
            f"{layout.in_machine(one.machine)}{one.lane_group}: {gives_words(one.division)}"
            for one in answer.do.settings
            if one.division.how == "presence"
        ),
    )
    unseen = ", ".join(
        f"{one.machine}/{one.lane_group}: {one.division.arrangement}"
        for one in answer.do.settings
        if one.division.step == "must be"
    )
    if unseen:
        yield from heading("Where settings that must be are so already, the build file says")
        yield from hung("  ", f"sequence: {{settings_today: {{{unseen}}}}}")


def power(budget: PowerBudget) -> Iterator[str]:
    """One machine's watts and plugs, with the load they are based on."""
    if budget.supply_w is None and not budget.parts_w:
        return
    yield from heading(f"Power of {budget.machine}")
    base = "not said, taken as 0" if budget.base_w is None else watts(budget.base_w)
    room = f"of {watts(budget.limit_w)} continuous" if budget.limit_w else "(no supply given)"
    text = f"{budget.total_w:g} W {room}: base load {base}, parts {budget.parts_w:g} W"
    yield from fill(text, "  ")
    for line in power_notes(budget):
        yield from fill(line, "  ")
    for plug, used, have in budget.plugs:
        if used:
            yield from fill(f"{plug}: {used} of {'?' if have is None else have} plugs used", "  ")
    if budget.unknown:
        yield from fill(f"Draw not known: {', '.join(budget.unknown)}.", "  ")


def power_notes(budget: PowerBudget) -> Iterator[str]:
    """What a meter said, how much of the supply is used, and what is drawn for a moment."""
    if budget.typical_w is not None:
        yield f"Parts by the worst of their classes; {watts(budget.typical_w)} is typical."
    if budget.measured_w is not None:
        inside = ", ".join(budget.measured_with) or "no part of this build"
        text = f"Measured at the wall under load: {watts(budget.measured_w)} with {inside}."
        if budget.estimate_w is not None:
            text += f" By `base_w` and the parts' figures: {watts(budget.estimate_w)}."
        yield text
    if budget.limit_w:
        yield from supply_notes(budget)
    if budget.start_w is not None:
        yield f"All disks starting at once take up to {watts(budget.start_w)} for some seconds."
    if budget.peak_w is not None:
        yield f"Accelerators take up to {watts(budget.peak_w)} in all for about a millisecond."


def supply_notes(budget: PowerBudget) -> Iterator[str]:
    """Which supplies may fail, what is held back, and whether much is left."""
    needed, fitted = budget.supplies
    if fitted > needed:
        yield f"{needed} of {fitted} supplies must carry it; {fitted - needed} may fail."
    elif fitted > 1:
        yield f"All {fitted} supplies must carry it: none may fail."
    if budget.limit_percent < 100:
        yield f"{100 - budget.limit_percent:g} % of its watts are held back."
    else:
        yield "Nothing of its watts is held back (`supply_limit_percent`)."
    if budget.is_near_limit:
        yield "More than four fifths of the supply: it will be warm and loud."


def at_rest(answer: PlaceAnswer) -> Iterator[str]:
    """What a year at rest comes to, today and with the plan, and whose figures it lacks."""
    for one in answer.more.rest:
        yield from heading(f"A year of {one.machine} at rest")
        for when, year in (("today", one.today), ("the plan", one.plan)):
            if year is None:
                continue
            cost = "" if year.cost is None else f", costs {year.cost:.2f}"
            lacks = f"; not in it, for nobody has said: {', '.join(year.missing)}"
            text = f"{when}: {year.idle_w:g} W, {year.kwh:g} kWh{cost}"
            yield from bullet(text + (lacks if year.missing else ""))


def slower(answer: PlaceAnswer) -> Iterator[str]:
    """Where links run below what the part could, and why."""
    for seat, link in answer.plan.slower:
        yield f"{seat.item}: {link.text}, could do {link.able_text}: {link.why}"


def left_over(answer: PlaceAnswer) -> Iterator[str]:
    """What is left over: board receptacles one by one, free sockets on parts counted."""
    place, layout = {one.site: one for one in answer.plan.receptacles}, layout_of(answer.plan)
    every = [(place[one.site], one.gets or "-") for one in answer.more.left_over]
    if every:
        yield from heading("Left over")
    rows = [
        (layout.called(one), one.form, gets, one.state + (f": {one.why}" if one.why else ""))
        for one, gets in every
        if one.on_board
    ]
    if rows:
        yield from columns(("receptacle", "form", "gets", "state"), rows)
    owners = ((one.owner, one.form) for one, _ in every if not one.on_board)
    for (owner, form), count in Counter(owners).items():
        yield from bullet(f"{owner}: {counted(count, f'free {form} socket')}")


def stages(answer: PlaceAnswer) -> Iterator[str]:
    """The preferences in the order that counted."""
    if not answer.more.stages:
        return
    yield from heading("What was preferred, in this order")
    for number, stage in enumerate(answer.more.stages, 1):
        yield from hung(f"  {number}. ", f"{stage.value.stage}: {stage.says}")
