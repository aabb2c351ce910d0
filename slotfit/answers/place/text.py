"""The answer for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterable, Iterator

from slotfit.answers.place.answer import FreeView, MachineView, PowerView, SeatView, View
from slotfit.answers.text_layout import bullet, columns, fill, gb_s, heading, watts


def as_text(view: View) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: View) -> Iterator[str]:
    """Top down: the answer, the plan, what to do, what to know."""
    yield view.title
    yield from fill(view.headline + ".")
    for machine in view.machines:
        yield from machine_lines(view, machine)
    yield from reasons(view)
    yield from settings(view)
    yield from cables(view)
    yield from power(view.power)
    yield from below_ability(view)
    yield from left_out(view)
    yield from free(view.free)
    yield from rests_on(view)
    yield from stages(view)
    yield from cautions(view)


def machine_lines(view: View, machine: MachineView) -> Iterator[str]:
    """The plan of one machine."""
    seats = [seat for seat in view.seats if seat.machine == machine.id]
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


def seat_row(seat: SeatView) -> tuple[str, ...]:
    """One part, one row."""
    nested = "  " * seat.depth + ("" if not seat.depth else "- ")
    return (
        nested + seat.label,
        seat.item,
        trained(seat),
        moved(seat),
        hangs_on(seat),
        drawn(seat),
    )


def trained(seat: SeatView) -> str:
    """Its links in short: `8 GT/s x8`, `4 of 4 sockets`, `power only`."""
    if not seat.links:
        return "power only" if seat.part_class != "air-mover" else "on the card"
    alive = [link for link in seat.links if link.lanes]
    if all(link.to for link in seat.links) and len(seat.links) > 1:
        return f"{len(alive)} of {len(seat.links)} sockets live"
    if len(seat.links) > 1:
        texts = dict.fromkeys(link.text for link in seat.links)
        return f"{len(alive)} of {len(seat.links)} links: {', '.join(texts)}"
    return seat.links[0].text


def moved(seat: SeatView) -> str:
    """Its demand, and what of it does not get through."""
    wanted = max(seat.wanted_in_mb_s, seat.wanted_out_mb_s)
    if not wanted:
        return "-"
    return gb_s(wanted) + (" !" if seat.short_mb_s else "")


def hangs_on(seat: SeatView) -> str:
    """The processor, through the hub if there is one."""
    if seat.processor is None:
        return "-"
    via = f" via {seat.hub}" if seat.hub else ""
    return seat.processor + via + (" !" if seat.far else "")


def drawn(seat: SeatView) -> str:
    """Watts from the receptacle and through plugs."""
    if seat.slot_w is None and seat.aux_w is None:
        return "-" if not seat.links or seat.part_class == "cable" else "? W"
    return f"{seat.slot_w or 0:g}" + (f"+{seat.aux_w:g}" if seat.aux_w else "") + " W"


def reasons(view: View) -> Iterator[str]:
    """Why each card is where it is."""
    told = [seat for seat in view.seats if seat.reason]
    if told:
        yield from heading("Why there (`slotfit why` tells what another place would cost)")
    for seat in told:
        yield from bullet(f"{seat.item} in {seat.label}: {seat.reason}")


def settings(view: View) -> Iterator[str]:
    """What to choose in firmware, what presence decides, what a jumper does."""
    chosen = [setting for setting in view.settings if setting.how != "presence"]
    if chosen:
        yield from heading("Firmware settings (choose them before the cards go in)")
        for setting in chosen:
            gives = ", ".join(f"{name} gets {given}" for name, given in setting.gives)
            mark = "CHANGE " if setting.changes else "as is  "
            yield from bullet(f"{mark} {setting.text}  ({gives})", hang=9)
    steered = [setting for setting in view.settings if setting.how == "presence"]
    if steered:
        yield from heading("Lanes the board steers by what is plugged in")
        for setting in steered:
            gives = ", ".join(f"{name} gets {given}" for name, given in setting.gives)
            yield from bullet(f"{setting.group}: {gives}")


def cables(view: View) -> Iterator[str]:
    """Every cable with both its ends, and every plug."""
    found = [seat for seat in view.seats if seat.part_class == "cable"]
    plugs = [seat for seat in view.seats if seat.aux]
    if found or plugs:
        yield from heading("Cables and plugs")
    for seat in found:
        far_end = ", ".join(s.item for s in view.seats if s.owner == seat.item) or "nothing yet"
        yield from bullet(f"{seat.item}: from {seat.site} to {far_end}")
    for seat in plugs:
        yield from bullet(f"{seat.item}: {', '.join(seat.aux)} from the supply")


def power(budgets: Iterable[PowerView]) -> Iterator[str]:
    """Each machine's watts and plugs, with the load they are based on."""
    for budget in budgets:
        if budget.supply_w is None and not budget.parts_w:
            continue
        yield from heading(f"Power of {budget.machine}")
        total = (budget.base_w or 0) + budget.parts_w
        base = "not said, taken as 0" if budget.base_w is None else watts(budget.base_w)
        room = f"of {watts(budget.limit_w)} continuous" if budget.limit_w else "(no supply given)"
        yield f"  {total:g} W {room}: base load {base}, parts {budget.parts_w:g} W"
        if budget.limit_w and total > 0.8 * budget.limit_w:
            yield "  More than four fifths of the supply: it will be warm and loud."
        for plug, used, have in budget.plugs:
            if used:
                yield f"  {plug}: {used} of {'?' if have is None else have} plugs used"
        if budget.unknown:
            yield from fill(f"Draw not known: {', '.join(budget.unknown)}.", "  ")


def below_ability(view: View) -> Iterator[str]:
    """Where links run below what the part could, and where bandwidth is lost."""
    rows = [
        (seat.item, f"{link.text}, could do {link.able_text}: {link.why}")
        for seat in view.seats
        for link in seat.links
        if link.why
    ]
    shared = [hop for hop in view.hops if hop.short_mb_s]
    if rows or shared:
        yield from heading("Below their ability")
    for item, text in rows:
        yield from bullet(f"{item}: {text}")
    for hop in shared:
        wants = gb_s(max(hop.in_mb_s, hop.out_mb_s))
        yield from bullet(
            f"{hop.name}'s link upwards carries {gb_s(hop.capacity_mb_s)} GB/s each way and "
            f"{wants} would flow through it: {gb_s(hop.short_mb_s)} GB/s short (both ways added)"
        )


def left_out(view: View) -> Iterator[str]:
    """Parts without a seat, and why."""
    if view.left_out:
        yield from heading("Left out")
        for part in view.left_out:
            yield from bullet(f"{part.item}: {part.why}")


def free(receptacles: Iterable[FreeView]) -> Iterator[str]:
    """What is left over."""
    every = list(receptacles)
    rows = [
        (f.label, f.form, f.gets or "-", f.state + (f": {f.why}" if f.why else ""))
        for f in every
        if "/" not in f.site or f.site.partition("/")[0] == f.machine
    ]
    if every:
        yield from heading("Left over")
    if rows:
        yield from columns(("receptacle", "form", "gets", "state"), rows)
    for (owner, form), count in on_parts(every).items():
        yield from bullet(f"{owner}: {count} free {form} {'socket' if count == 1 else 'sockets'}")


def on_parts(receptacles: Iterable[FreeView]) -> Counter[tuple[str, str]]:
    """Free sockets on parts that are placed: the part and the form, and how many."""
    return Counter(
        (f.site.partition("/")[0], f.form)
        for f in receptacles
        if "/" in f.site and f.site.partition("/")[0] != f.machine
    )


def rests_on(view: View) -> Iterator[str]:
    """Unproven facts, and how to prove them."""
    if not view.facts:
        return
    yield from heading("Rests on (nobody has proven it; find out before you buy or cut)")
    for number, fact in enumerate(view.facts, 1):
        users = ", ".join(fact.items)
        yield from bullet(f"({number}) {fact.statement} [for {users}]", hang=6)
        yield from fill(f"Find out: {fact.find_out}.", "      ")


def stages(view: View) -> Iterator[str]:
    """The preferences in the order that counted."""
    if not view.stages:
        return
    yield from heading("What was preferred, in this order")
    for number, stage in enumerate(view.stages, 1):
        yield f"  {number}. {stage.stage}: {stage.says}"
    for note in view.notes:
        yield from bullet(note)


def cautions(view: View) -> Iterator[str]:
    """What to mind."""
    if view.cautions:
        yield from heading("Before you open the case")
        for caution in view.cautions:
            yield from bullet(caution)
