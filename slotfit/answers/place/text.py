"""The answer for a terminal: the verdict, the plan, what to do, what to watch; more on request."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator, Sequence
from itertools import groupby

from slotfit.answers.names import (
    MARKS,
    SHORT,
    STEPS,
    ability,
    gb_s,
    gives_words,
    marks_of,
    now_words,
    overload_text,
    speed_words,
    trained_text,
    watts,
)
from slotfit.answers.place.all_text import all_lines, reason_lines
from slotfit.answers.place.answer import (
    AirSource,
    Division,
    PlaceAnswer,
    PlacePlan,
    PlannedMachine,
    PlannedSeat,
    PowerBudget,
    SettingToChoose,
    TypicalFigure,
    UnprovenFact,
)
from slotfit.answers.place.cautions import safety
from slotfit.answers.place.layout import PlanLayout, layout_of
from slotfit.answers.text_layout import bullet, columns, fill, heading, joined, verdict
from slotfit.listing import counted, follows, in_short, listed

MORE = "More: --reasons why each part is where it is; --all every figure and caution."


def as_text(
    answer: PlaceAnswer, asked: Iterable[str] = (), *, reasons: bool = False, every: bool = False
) -> str:
    """
    The answer; every line ends where the words end.

    `asked`: lines that answer what was asked beside the plan; they come first. `reasons`, `every`:
    more than a person at the open case needs.
    """
    found = lines(answer, asked, reasons=reasons, every=every)
    return joined(found)


def lines(
    answer: PlaceAnswer, asked: Iterable[str], *, reasons: bool, every: bool
) -> Iterator[str]:
    """Top down: the answer, the plan, what to do, what to watch."""
    yield from fill(answer.title)
    yield from verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    yield from asked
    for machine in answer.plan.machines:
        yield from machine_lines(answer.plan, machine)
    yield from fill_all(beside(answer))
    for title, texts in (("Do, in this order", to_do(answer)), ("Watch", to_watch(answer))):
        found = [*texts]
        if found:
            yield from heading(title)
        for text, hang in found:
            yield from bullet(text, hang)
    if reasons or every:
        yield from reason_lines(answer)
    if every:
        yield from all_lines(answer)
    elif not reasons:
        yield from fill(MORE)


# --- the plan -------------------------------------------------------------------------------------

HEAD = ("slot", "part", "link", "attached to")


def machine_lines(plan: PlacePlan, machine: PlannedMachine) -> Iterator[str]:
    """The plan of one machine; parts alike that count up share a row."""
    seats = [seat for seat in plan.seats if seat.machine == machine.id]
    title = f"{machine.name}: {machine.board_name}"
    yield from heading(title + (" (invented)" if machine.invented else ""))
    absent = [label for _, label, fitted in machine.processors if not fitted]
    if absent:
        yield from fill(f"Not fitted: {', '.join(absent)}.", "  ")
    if not seats:
        yield "  Nothing is placed here."
        return
    layout = layout_of(plan)
    yield from columns(HEAD, [row(layout, same) for same in alike(layout, seats)])
    used = {mark for seat in seats for mark in marks_of(seat)}
    said = [f"{mark} {text}" for mark, text in MARKS if mark in used]
    hubs = {hub: origin for hub, origin, _ in machine.hubs}
    used_hubs = sorted({seat.hub for seat in seats if seat.hub and seat.links})
    said += [f"{hub}: behind {layout.processor(machine.id, hubs[hub])[1]}" for hub in used_hubs]
    if said:
        yield from fill(f"{'; '.join(said)}.", "  ")


def alike(layout: PlanLayout, seats: Sequence[PlannedSeat]) -> list[list[PlannedSeat]]:
    """Seats one after another that differ in nothing but a number."""
    found: list[list[PlannedSeat]] = []
    for seat in seats:
        last = found[-1][-1] if found else None
        same = last and (
            last.owner == seat.owner
            and follows(last.item, seat.item)
            and row(layout, [last])[2:] == row(layout, [seat])[2:]
            and marks_of(last) == marks_of(seat)
        )
        if same:
            found[-1].append(seat)
        else:
            found.append([seat])
    return found


def row(layout: PlanLayout, seats: Sequence[PlannedSeat]) -> tuple[str, ...]:
    """Place, part with its marks, link (and what the part could do), processor or hub."""
    seat = seats[0]
    able = ability(seat)
    return (
        "  " * seat.depth + in_short(one.label for one in seats),
        " ".join(filter(None, (in_short(one.item for one in seats), marks_of(seat)))),
        trained_text(seat) + (f" of {able}" if able else ""),
        attached(layout, seat),
    )


def attached(layout: PlanLayout, seat: PlannedSeat) -> str:
    """The hub or the processor that its lanes come from, as it is called on the board."""
    if not seat.links:
        return "-"
    return seat.hub or layout.processor(seat.machine, seat.processor)[1] or "-"


def fill_all(sentences: Iterable[str]) -> Iterator[str]:
    """Each sentence on lines of its own."""
    for sentence in sentences:
        yield from fill(sentence, "  ")


def beside(answer: PlaceAnswer) -> Iterator[str]:
    """Parts that are in no slot, and slots without a part."""
    for why, parts in groupby(answer.more.left_out, lambda one: one.why):
        yield f"Left out: {in_short(one.item for one in parts)}: {why}."
    if free := [*free_places(answer)]:
        yield f"Free: {', '.join(free)}."


def free_places(answer: PlaceAnswer) -> Iterator[str]:
    """Receptacles of boards that are free, with what they get; sockets on parts counted."""
    layout, place = layout_of(answer.plan), {one.site: one for one in answer.plan.receptacles}
    free = [place[one.site] for one in answer.more.left_over if place[one.site].state == "free"]
    for gets, same in groupby((one for one in free if one.on_board), lambda one: one.gets):
        yield in_short(map(layout.called, same)) + (f" ({gets})" if gets else "")
    sockets = Counter((one.owner, one.form) for one in free if not one.on_board)
    yield from (f"{count} {form} on {owner}" for (owner, form), count in sockets.items())


# --- what to do -----------------------------------------------------------------------------------

Point = tuple[str, int]
"""A point of a list, and how deep its further lines hang."""


def to_do(answer: PlaceAnswer) -> Iterator[Point]:
    """In the order of the hands: before the case is open, settings, cables, plugs."""
    if answer.do.cautions_in_short:
        yield safety(answer.do.cautions_in_short), 4
    yield from settings(answer)
    for text in cables(answer):
        yield text, 4
    yield from ((f"{in_short(one.items)}: {one.text}", 4) for one in answer.do.minds)


def settings(answer: PlaceAnswer) -> Iterator[Point]:
    """What to choose in firmware, what stays, what a jumper does, what presence decides."""
    layout = layout_of(answer.plan)
    every = [(layout.in_machine(one.machine), one) for one in answer.do.settings]
    for machine, one in every:
        if one.division.step in ("set", "must be"):
            words = setting_words(layout, one)
            yield f"{STEPS[one.division.step]:<9}{machine}{words}", 13
    for speed in answer.do.speeds:
        yield f"{'SET':<9}{layout.in_machine(speed.machine)}{speed_words(speed)}", 13
    for need in answer.do.firmware:
        text = f"{need.menu}: {need.value}  (for {in_short(need.items)}: {need.why})"
        yield f"{'LOOK FOR':<9}{layout.in_machine(need.machine)}{text}", 13
    stay = [
        f"{machine}{one.division.text}" for machine, one in every if one.division.step == "stays"
    ]
    if stay:
        yield f"{'stays':<9}{'; '.join(stay)}", 13


def gives(layout: PlanLayout, setting: SettingToChoose) -> str:
    """`SLOT 3 gets x4+x4`, by the names that are printed."""
    on_board = layout.on.get(setting.machine, ())
    return gives_words(setting.division, {one.id: one.label for one in on_board})


def setting_words(layout: PlanLayout, setting: SettingToChoose) -> str:
    """`x4x4x4x4  (now x16; SLOT 1 gets x4+x4+x4+x4)`; a jumper is called one."""
    division: Division = setting.division
    now = [now_words(division.now)] if division.step == "set" and division.now else []
    by = ["jumper"] if division.how == "jumper" else []
    return f"{division.text}  ({'; '.join([*by, *now, gives(layout, setting)])})"


def cables(answer: PlaceAnswer) -> Iterator[str]:
    """Every cable with both its ends, and every plug."""
    receptacle = {seat.item: seat.site for seat in answer.plan.seats}
    for cable in answer.do.cables:
        if cable.named:
            ends = in_short(s.item for s in answer.plan.seats if s.owner == cable.item)
            yield f"Cable {cable.item}: {receptacle[cable.item]} to {ends or 'nothing yet'}"
    by_plug: dict[tuple[str, ...], list[str]] = {}
    for one in answer.do.plugs:
        by_plug.setdefault(one.plugs, []).append(one.item)
    told = (f"{', '.join(plugs)} to {in_short(items)}" for plugs, items in by_plug.items())
    if by_plug:
        yield f"Plugs from the supply: {'; '.join(told)}"
    yield from (f"{one.item}: {one.in_words}" for one in answer.do.network)


# --- what to watch --------------------------------------------------------------------------------


def to_watch(answer: PlaceAnswer) -> Iterator[Point]:
    """What is not proven, short of bandwidth, dark, far, short of air or of watts."""
    yield from rests_on(answer.watch.rests_on)
    for texts in (dark(answer.plan), short_of_bandwidth(answer), far_off(answer.plan)):
        yield from ((text, 4) for text in texts)
    yield from ((typical_words(one), 4) for one in answer.watch.typical)
    yield from ((text, 4) for text in answer.watch.notes)
    for machine in answer.plan.machines:
        yield from ((text, 4) for text in air_lines(machine.air_by))
    for budget in answer.more.power:
        if budget.supply_w is not None or budget.parts_w:
            yield power(answer, budget), 4


def rests_on(facts: Iterable[UnprovenFact]) -> Iterator[Point]:
    """Unproven facts, those found out alike together, and how to prove them."""
    by_way: dict[str, list[UnprovenFact]] = {}
    for fact in facts:
        by_way.setdefault(fact.find_out, []).append(fact)
    for find_out, same in by_way.items():
        said: dict[str, list[str]] = {}
        for fact in same:
            said.setdefault(fact.statement, []).extend(fact.items)
        told = "; ".join(f"{text} [{in_short(items)}]" for text, items in said.items())
        yield f"not proven: {told}. Find out: {find_out}.", 4


def dark(plan: PlacePlan) -> Iterator[str]:
    """Links that do not come up, and why."""
    for seat in plan.seats:
        for why in dict.fromkeys(link.why for link in seat.links if not link.trains.lanes):
            count = sum(link.why == why and not link.trains.lanes for link in seat.links)
            many = f"{count} of {len(seat.links)} links" if len(seat.links) > 1 else "its link"
            yield f"{seat.item}: {many} not detected: {why}"


def short_of_bandwidth(answer: PlaceAnswer) -> Iterator[str]:
    """Parts that need more than their link carries, and shared links that are to carry too much."""
    for seat in answer.plan.seats:
        if seat.short_mb_s:
            carries = gb_s(seat.carries_mb_s or 0)
            needs = f"needs {gb_s(seat.needs_mb_s)}, its link carries {carries} GB/s one way"
            yield f"{seat.item}: {needs}; {gb_s(seat.short_mb_s)} {SHORT}"
    yield from shared_short(answer)


def shared_short(answer: PlaceAnswer) -> Iterator[str]:
    """Shared links through which more would flow than they carry."""
    layout = layout_of(answer.plan)
    for one in answer.watch.short:
        yield f"{layout.in_machine(one.machine)}{overload_text(one)}"


def far_off(plan: PlacePlan) -> Iterator[str]:
    """Parts at another processor than they should be."""
    layout = layout_of(plan)
    for seat in plan.seats:
        if seat.far:
            here, near = (layout.processor(seat.machine, p)[1] for p in (seat.processor, seat.near))
            yield f"{seat.item}: attached to {here}, should be near {near}"


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
        yield f"air over {on or 'the slots'}: {listed(fans)}; if {which} stops, {told}"


def power(answer: PlaceAnswer, budget: PowerBudget) -> str:
    """One machine's watts in a line; all of it stands below `--all`."""
    of = layout_of(answer.plan).in_machine(budget.machine)
    room = f" of {watts(budget.limit_w)}" if budget.limit_w else " (no supply given)"
    base = " without the base load, which is not known" if budget.base_w is None else ""
    said = [f"{of}power: {watts(budget.total_w)}{room}{base}"]
    if budget.is_near_limit:
        said.append("more than four fifths, it will be warm and loud")
    if budget.start_w is not None:
        said.append(f"up to {watts(budget.start_w)} while disks start")
    if budget.peak_w is not None:
        said.append(f"up to {watts(budget.peak_w)} for a millisecond")
    if budget.unknown:
        said.append(f"draw not known: {in_short(budget.unknown)}")
    return "; ".join(said)


def fact_lines(facts: Sequence[UnprovenFact], title: str) -> Iterator[str]:
    """Unproven facts under a title of their own."""
    if facts:
        yield from heading(f"{title} {counted(len(facts), 'unproven fact')}")
    for text, hang in rests_on(facts):
        yield from bullet(text, hang)


def typical_words(one: TypicalFigure) -> str:
    """`nic: slot_w 14 W is typical; a quarter more would not do (slot1: power_w 15 W)`."""
    limits = f" ({'; '.join(one.limits)})" if one.limits else ""
    said = f"{one.field} {one.figure:g} {one.unit}".rstrip()
    return f"{listed(one.items)}: {said} is typical; a quarter more would not do{limits}"
