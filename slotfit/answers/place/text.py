"""The answer for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator

from slotfit.answers.names import gb_s, gives_words, watts
from slotfit.answers.place.answer import (
    PlaceAnswer,
    PlacePlan,
    PlannedMachine,
    PlannedSeat,
    PowerBudget,
)
from slotfit.answers.text_layout import bullet, bulleted, columns, fill, heading, hung


def as_text(answer: PlaceAnswer) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(answer)) + "\n"


def lines(answer: PlaceAnswer) -> Iterator[str]:
    """Top down: the answer, the plan, what to do, what to know."""
    yield answer.title
    yield from fill(answer.verdict.headline + ".")
    for machine in answer.plan.machines:
        yield from machine_lines(answer.plan, machine)
    if answer.plan.seats:
        yield from rates_meant(answer.plan)
    label = {seat.item: seat.label for seat in answer.plan.seats}
    yield from bulleted(
        "Why there (`slotfit why` tells what another place would cost)",
        (f"{one.item} in {label[one.item]}: {one.reason}" for one in answer.more.reasons),
    )
    yield from settings(answer)
    yield from bulleted("Cables and plugs", cables(answer))
    for budget in answer.more.power:
        yield from power(budget)
    yield from bulleted("Below their ability", below_ability(answer))
    yield from bulleted("Left out", (f"{one.item}: {one.why}" for one in answer.more.left_out))
    yield from left_over(answer)
    yield from rests_on(answer)
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
    yield from columns(("goes in", "part", "trains at", "GB/s", "hangs on", "draws"), rows)


def seat_row(seat: PlannedSeat) -> tuple[str, ...]:
    """
    One part, one row: place, part, links in short, demand, processor, watts.

    `!` where some of the demand does not get through, or where it should be near another processor.
    """
    hangs_on = draws = "-"
    if seat.processor is not None:
        via = f" via {seat.hub}" if seat.hub else ""
        hangs_on = seat.processor + via + (" !" if seat.far else "")
    if seat.slot_w is not None or seat.aux_w is not None:
        draws = f"{seat.slot_w or 0:g}" + (f"+{seat.aux_w:g}" if seat.aux_w else "") + " W"
    elif seat.links and seat.part_class != "cable":
        draws = "? W"
    return (
        "  " * seat.depth + ("- " if seat.depth else "") + seat.label,
        seat.item,
        trained(seat),
        rate(seat),
        hangs_on,
        draws,
    )


def rate(seat: PlannedSeat) -> str:
    """What it moves, in GB/s: `3.0`, `~7.1 !`, `-`."""
    wanted = max(seat.wanted_in_mb_s, seat.wanted_out_mb_s)
    if not wanted:
        return "-"
    mark = "" if seat.wanted_stated else ASSUMED
    return mark + gb_s(wanted) + (" !" if seat.short_mb_s else "")


ASSUMED = "~"
"""Before a rate that nobody stated."""


def rates_meant(plan: PlacePlan) -> Iterator[str]:
    """What the column of rates means."""
    texts = ["GB/s: what a part moves, each way; links are reckoned with 256 bytes a packet."]
    if any(ASSUMED in rate(seat) for seat in plan.seats):
        texts.append("~: not stated (`demand`); all that the part's links can do.")
    if any(seat.short_mb_s for seat in plan.seats):
        texts.append("!: not all of it gets through.")
    yield from fill(" ".join(texts), "  ")


def trained(seat: PlannedSeat) -> str:
    """Its links in short: `8 GT/s x8`, `4 of 4 sockets live`, `power only`."""
    if not seat.links:
        return "power only" if seat.part_class != "air-mover" else "on the card"
    if len(seat.links) == 1:
        return seat.links[0].text
    alive = sum(link.trains.lanes > 0 for link in seat.links)
    if all(link.to for link in seat.links):
        return f"{alive} of {len(seat.links)} sockets live"
    texts = dict.fromkeys(link.text for link in seat.links)
    return f"{alive} of {len(seat.links)} links: {', '.join(texts)}"


def settings(answer: PlaceAnswer) -> Iterator[str]:
    """What to choose in firmware, what presence decides, what a jumper does."""
    every = [(one.lane_group, one.division) for one in answer.do.settings]
    chosen = (
        f"{'CHANGE ' if one.changes else 'as is  '} {one.text}  ({gives_words(one)})"
        for _, one in every
        if one.how != "presence"
    )
    yield from bulleted("Firmware settings (choose them before the cards go in)", chosen, hang=9)
    yield from bulleted(
        "Lanes the board steers by what is plugged in",
        (f"{group}: {gives_words(one)}" for group, one in every if one.how == "presence"),
    )


def cables(answer: PlaceAnswer) -> Iterator[str]:
    """Every cable with both its ends, and every plug."""
    receptacle = {seat.item: seat.site for seat in answer.plan.seats}
    for cable in answer.do.cables:
        if cable.named:
            far_end = ", ".join(s.item for s in answer.plan.seats if s.owner == cable.item)
            yield f"{cable.item}: from {receptacle[cable.item]} to {far_end or 'nothing yet'}"
    for one in answer.do.plugs:
        yield f"{one.item}: {', '.join(one.plugs)} from the supply"


def power(budget: PowerBudget) -> Iterator[str]:
    """One machine's watts and plugs, with the load they are based on."""
    if budget.supply_w is None and not budget.parts_w:
        return
    yield from heading(f"Power of {budget.machine}")
    base = "not said, taken as 0" if budget.base_w is None else watts(budget.base_w)
    room = f"of {watts(budget.limit_w)} continuous" if budget.limit_w else "(no supply given)"
    yield f"  {budget.total_w:g} W {room}: base load {base}, parts {budget.parts_w:g} W"
    if budget.limit_w and budget.total_w > 0.8 * budget.limit_w:
        yield "  More than four fifths of the supply: it will be warm and loud."
    for plug, used, have in budget.plugs:
        if used:
            yield f"  {plug}: {used} of {'?' if have is None else have} plugs used"
    if budget.unknown:
        yield from fill(f"Draw not known: {', '.join(budget.unknown)}.", "  ")


def below_ability(answer: PlaceAnswer) -> Iterator[str]:
    """Where links run below what the part could, and where bandwidth is lost."""
    for seat, link in answer.plan.slower:
        yield f"{seat.item}: {link.text}, could do {link.able_text}: {link.why}"
    for one in answer.watch.short:
        yield (
            f"{one.name}'s link upwards carries {gb_s(one.capacity_mb_s)} GB/s each way and "
            f"{gb_s(max(one.in_mb_s, one.out_mb_s))} would flow through it: "
            f"{gb_s(one.lost_mb_s)} GB/s short (both ways added)"
        )


def left_over(answer: PlaceAnswer) -> Iterator[str]:
    """What is left over: board receptacles one by one, free sockets on parts counted."""
    place = {one.site: one for one in answer.plan.receptacles}
    every = [(place[one.site], one.gets or "-") for one in answer.more.left_over]
    if every:
        yield from heading("Left over")
    rows = [
        (one.label, one.form, gets, one.state + (f": {one.why}" if one.why else ""))
        for one, gets in every
        if one.on_board
    ]
    if rows:
        yield from columns(("receptacle", "form", "gets", "state"), rows)
    owners = ((one.owner, one.form) for one, _ in every if not one.on_board)
    for (owner, form), count in Counter(owners).items():
        yield from bullet(f"{owner}: {count} free {form} {'socket' if count == 1 else 'sockets'}")


def rests_on(answer: PlaceAnswer) -> Iterator[str]:
    """Unproven facts, and how to prove them."""
    if answer.watch.rests_on:
        yield from heading("Rests on (nobody has proven it; find out before you buy or cut)")
    for number, fact in enumerate(answer.watch.rests_on, 1):
        yield from bullet(f"({number}) {fact.statement} [for {', '.join(fact.items)}]", hang=6)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def stages(answer: PlaceAnswer) -> Iterator[str]:
    """The preferences in the order that counted."""
    if not answer.more.stages:
        return
    yield from heading("What was preferred, in this order")
    for number, stage in enumerate(answer.more.stages, 1):
        yield from hung(f"  {number}. ", f"{stage.value.stage}: {stage.says}")
    for note in answer.watch.notes:
        yield from bullet(note)
