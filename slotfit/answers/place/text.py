"""The answer for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from slotfit.answers.names import (
    ASSUMED,
    MARKS,
    SHORT,
    STEPS,
    carries_text,
    flow_text,
    gb_s,
    gives_words,
    marks_of,
    needs_text,
    now_words,
    speed_words,
    trained_text,
    watts,
)
from slotfit.answers.place.answer import (
    AirSource,
    Division,
    PlaceAnswer,
    PlacePlan,
    PlannedMachine,
    PlannedSeat,
    PowerBudget,
    TypicalFigure,
    UnprovenFact,
)
from slotfit.answers.place.layout import layout_of
from slotfit.answers.text_layout import bullet, bulleted, columns, fill, heading, hung
from slotfit.listing import in_short, listed


def as_text(answer: PlaceAnswer) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(answer)) + "\n"


def lines(answer: PlaceAnswer) -> Iterator[str]:
    """Top down: the answer, the plan, what to do, what to know."""
    yield answer.title
    yield from fill(answer.verdict.headline + ".")
    for machine in answer.plan.machines:
        yield from machine_lines(answer.plan, machine)
    layout = layout_of(answer.plan)
    label = {seat.item: layout.called(seat) for seat in answer.plan.seats}
    yield from bulleted(
        "Why there (`slotfit why` tells what another place would cost)",
        (f"{one.item} in {label[one.item]}: {one.reason}" for one in answer.more.reasons),
    )
    yield from settings(answer)
    yield from bulleted("Cables and plugs", cables(answer))
    yield from bulleted("Mind", (f"{in_short(one.items)}: {one.text}" for one in answer.do.minds))
    for budget in answer.more.power:
        yield from power(budget)
    yield from at_rest(answer)
    yield from bulleted("Below their ability", below_ability(answer))
    yield from bulleted("Left out", (f"{one.item}: {one.why}" for one in answer.more.left_out))
    yield from left_over(answer)
    yield from rests_on(answer.watch.rests_on)
    yield from bulleted(
        "Typical figures that decide (ask the data sheet before you buy)",
        map(typical_words, answer.watch.typical),
    )
    yield from stages(answer)
    yield from bulleted("Before you open the case", answer.do.cautions)


def machine_lines(plan: PlacePlan, machine: PlannedMachine) -> Iterator[str]:
    """The plan of one machine."""
    seats = [seat for seat in plan.seats if seat.machine == machine.id]
    title = f"{machine.name}: {machine.board_name}"
    yield from heading(title + (" (invented)" if machine.invented else ""))
    absent = [label for _, label, fitted in machine.processors if not fitted]
    if absent:
        yield f"  Not fitted: {', '.join(absent)}."
    if not seats:
        yield "  Nothing is placed here."
        return
    rows = [seat_row(seat) for seat in seats]
    yield from columns(HEAD, rows)
    used = {mark for seat in seats for mark in marks_of(seat)}
    said = "".join(f"; {mark} {text}" for mark, text in MARKS if mark in used)
    if any(ASSUMED in needs_text(seat) for seat in seats):
        said = f"; {ASSUMED} not stated (`demand`): all that its links can do{said}"
    yield from fill(f"needs, carries: GB/s one way, 256 bytes a packet{said}.", "  ")
    yield from fill_all(air_lines(machine.air_by))


def fill_all(sentences: Iterable[str]) -> Iterator[str]:
    """Each sentence on lines of its own."""
    for sentence in sentences:
        yield from fill(sentence, "  ")


def air_lines(sources: Iterable[AirSource]) -> Iterator[str]:
    """Whose air it is, and what stops with one fan; fans alike in one sentence."""
    alike: dict[tuple[str, tuple[str, ...], tuple[str, ...]], list[str]] = {}
    for one in sources:
        alike.setdefault((one.on, one.stops, one.may_stop), []).append(one.item)
    for (on, stops, may_stop), fans in alike.items():
        then = [f"{listed(stops)} {'has' if len(stops) == 1 else 'have'} too little"] * bool(stops)
        then += [f"whether {listed(may_stop)} may run on is not known"] * bool(may_stop)
        which = "one of them" if len(fans) > 1 else "it"
        told = " and ".join(then) or "nothing has too little"
        yield f"Air over {on or 'the slots'}: {listed(fans)}; if {which} stops, {told}."


HEAD = ("goes in", "part", "trains at", "needs", "carries", "draws", "hangs on")


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


def settings(answer: PlaceAnswer) -> Iterator[str]:
    """What to choose in firmware, what presence decides, what a jumper does."""
    layout = layout_of(answer.plan)
    every = [(layout.in_machine(one.machine), one) for one in answer.do.settings]
    chosen = (
        f"{STEPS[one.division.step]:<9}{machine}{setting_words(one.division)}"
        for machine, one in every
        if one.division.step
    )
    held = (f"{'SET':<9}{speed_words(one)}" for one in answer.do.speeds)
    seen = (
        f"{'LOOK FOR':<9}{layout.in_machine(one.machine)}{one.menu}: {one.value}  "
        f"(for {in_short(one.items)}: {one.why})"
        for one in answer.do.firmware
    )
    title = "Settings (choose them before the cards go in)"
    yield from bulleted(title, (*chosen, *held, *seen), hang=13)
    if any(one.division.step == "must be" for _, one in every):
        unknown = "must be: today's is not in the build file (`settings_today`), so look."
        yield from fill(unknown, "  ")
    yield from bulleted(
        "Lanes the board steers by what is plugged in",
        (
            f"{machine}{one.lane_group}: {gives_words(one.division)}"
            for machine, one in every
            if one.division.how == "presence"
        ),
    )


def setting_words(division: Division) -> str:
    """`x4x4x4x4  (now x16; slot1 gets x4+x4+x4+x4)`; a jumper is called one."""
    now = [now_words(division.now)] if division.step == "set" and division.now else []
    by = ["jumper"] if division.how == "jumper" else []
    return f"{division.text}  ({'; '.join([*by, *now, gives_words(division)])})"


def cables(answer: PlaceAnswer) -> Iterator[str]:
    """Every cable with both its ends, and every plug."""
    receptacle = {seat.item: seat.site for seat in answer.plan.seats}
    for cable in answer.do.cables:
        if cable.named:
            far_end = ", ".join(s.item for s in answer.plan.seats if s.owner == cable.item)
            yield f"{cable.item}: from {receptacle[cable.item]} to {far_end or 'nothing yet'}"
    for one in answer.do.plugs:
        yield f"{one.item}: {', '.join(one.plugs)} from the supply"
    yield from (f"{one.item}: {one.in_words}" for one in answer.do.network)


def power(budget: PowerBudget) -> Iterator[str]:
    """One machine's watts and plugs, with the load they are based on."""
    if budget.supply_w is None and not budget.parts_w:
        return
    yield from heading(f"Power of {budget.machine}")
    base = "not said, taken as 0" if budget.base_w is None else watts(budget.base_w)
    room = f"of {watts(budget.limit_w)} continuous" if budget.limit_w else "(no supply given)"
    yield f"  {budget.total_w:g} W {room}: base load {base}, parts {budget.parts_w:g} W"
    for line in power_notes(budget):
        yield from fill(line, "  ")
    for plug, used, have in budget.plugs:
        if used:
            yield f"  {plug}: {used} of {'?' if have is None else have} plugs used"
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
        yield from supply_notes(budget, budget.limit_w)
    if budget.start_w is not None:
        yield f"All disks starting at once take up to {watts(budget.start_w)} for some seconds."
    if budget.peak_w is not None:
        yield f"Accelerators take up to {watts(budget.peak_w)} in all for about a millisecond."


def supply_notes(budget: PowerBudget, limit_w: float) -> Iterator[str]:
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
    if budget.total_w > 0.8 * limit_w:
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


def below_ability(answer: PlaceAnswer) -> Iterator[str]:
    """Where links run below what the part could, and where bandwidth is lost."""
    for seat, link in answer.plan.slower:
        yield f"{seat.item}: {link.text}, could do {link.able_text}: {link.why}"
    yield from shared_short(answer)


def shared_short(answer: PlaceAnswer) -> Iterator[str]:
    """Shared links through which more would flow than they carry."""
    layout = layout_of(answer.plan)
    for one in answer.watch.short:
        yield (
            f"{layout.in_machine(one.machine)}{one.name}'s link upwards would carry "
            f"{flow_text(one)}: {gb_s(one.lost_mb_s)} {SHORT}"
        )


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
        yield from bullet(f"{owner}: {count} free {form} {'socket' if count == 1 else 'sockets'}")


def rests_on(facts: Iterable[UnprovenFact], title: str = "Rests on") -> Iterator[str]:
    """Unproven facts, and how to prove them."""
    for number, fact in enumerate(facts, 1):
        if number == 1:
            yield from heading(f"{title} (nobody has proven it; find out before you buy or cut)")
        yield from bullet(f"({number}) {fact.statement} [for {', '.join(fact.items)}]", hang=6)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def typical_words(one: TypicalFigure) -> str:
    """`nic: slot_w 14 W is typical; a quarter more would not do (slot1: power_w 15 W)`."""
    limits = f" ({'; '.join(one.limits)})" if one.limits else ""
    said = f"{one.field} {one.figure:g} {one.unit}".rstrip()
    return f"{listed(one.items)}: {said} is typical; a quarter more would not do{limits}"


def stages(answer: PlaceAnswer) -> Iterator[str]:
    """The preferences in the order that counted."""
    if not answer.more.stages:
        return
    yield from heading("What was preferred, in this order")
    for number, stage in enumerate(answer.more.stages, 1):
        yield from hung(f"  {number}. ", f"{stage.value.stage}: {stage.says}")
    for note in answer.watch.notes:
        yield from bullet(note)
