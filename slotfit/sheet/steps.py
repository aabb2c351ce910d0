"""The steps of a plan in the order in which a person works."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.names import (
    STEPS,
    able_words,
    cable_words,
    gives_words,
    link_words,
    now_words,
)
from slotfit.answers.place.answer import (
    PlaceAnswer,
    PlannedLink,
    PlannedReceptacle,
    PlannedSeat,
    SettingToChoose,
)
from slotfit.answers.place.layout import PlanLayout, layout_of
from slotfit.listing import in_short
from slotfit.standards.pcie import gt_s


@dataclass(frozen=True, slots=True)
class SheetStep:
    """One thing to do or to check."""

    id: str
    """The same for the same plan, so that ticks find their step again."""
    text: str
    details: tuple[str, ...] = ()
    code: tuple[str, ...] = ()
    """Commands to type, or lines to look for."""
    letter: str = ""
    """The cable's letter in the picture."""


@dataclass(frozen=True, slots=True)
class SheetSection:
    """Steps that belong together, in the order of the work."""

    id: str
    title: str
    steps: tuple[SheetStep, ...]
    note: str = ""
    remarks: tuple[str, ...] = ()
    """What is good to know and nothing to tick."""


READ_FIRST = (
    "Read them all before you begin, and tick what you have read or done. The machine is switched "
    "off after the firmware settings."
)
HIDDEN_SETTING = (
    "The case stays closed. Note or photograph what is set now. If the menu hides an entry until a "
    "card is in its slot, choose it at the first start."
)
SEATED = "A card is in when its edge has gone all the way down and its bracket meets the opening."

OPENING = (
    SheetStep("open/off", "Shut the machine down, switch it off, and pull every power cord."),
    SheetStep("open/light", "Wait until the board's standby light is out, then open the case."),
    SheetStep("open/static", "Wrist strap on, or touch bare chassis metal, now and often."),
)
"""From a running machine to an open one."""


def steps_of(answer: PlaceAnswer) -> tuple[SheetSection, ...]:
    """
    Cautions, settings, parts, cables and plugs, first start; sections without steps left out.

    Cautions are read first of all. Firmware settings need power, so switching off is a step of its
    own after them.
    """
    layout = layout_of(answer.plan, answer.do.cables)
    cautions = tuple(SheetStep(f"caution/{n}", t) for n, t in enumerate(answer.do.cautions, 1))
    into = (step_of(layout, one) for one in roots(layout) if one.part_class != "cable")
    on_the_bench = (step for root in roots(layout) for step in bench_steps(layout, root))
    jumpers = tuple(setting_steps(answer, layout, "jumper"))
    sections = (
        SheetSection("cautions", "Read first: cautions", cautions, READ_FIRST),
        settings_before(answer, layout),
        SheetSection("open", "Switch off, and open the case", OPENING if answer.plan.seats else ()),
        SheetSection("jumpers", "Jumpers on the board, with the power off", jumpers),
        SheetSection("minds", "Before the parts go in: notes on them", minds_of(answer)),
        SheetSection(
            "bench", "On the bench: drives and cards into their carriers", tuple(on_the_bench)
        ),
        SheetSection("parts", "Into the machine, receptacle by receptacle", tuple(into), SEATED),
        SheetSection("cables", "Cables and plugs", tuple(cable_steps(answer, layout))),
        first_start(answer),
    )
    return tuple(section for section in sections if section.steps or section.remarks)


def minds_of(answer: PlaceAnswer) -> tuple[SheetStep, ...]:
    """What the parts' descriptions say that whoever fits them has to know."""
    return tuple(
        SheetStep(f"mind/{number}", f"{in_short(one.items)}: {one.text}")
        for number, one in enumerate(answer.do.minds, 1)
    )


def settings_before(answer: PlaceAnswer, layout: PlanLayout) -> SheetSection:
    """What to choose in firmware; what the board does by itself as a remark."""
    steps = (
        *setting_steps(answer, layout, "setting"),
        *speed_steps(answer, layout),
        *firmware_steps(answer, layout),
    )
    remarks = tuple(
        f"{layout.in_machine(one.machine)}{one.lane_group} divides by what is plugged in: "
        f"{gives_at(layout, one)}"
        for one in answer.do.settings
        if one.division.how == "presence"
    )
    title = "Firmware settings, while the case is closed"
    return SheetSection("settings", title, steps, HIDDEN_SETTING if steps else "", remarks)


def setting_steps(answer: PlaceAnswer, layout: PlanLayout, how: str) -> Iterator[SheetStep]:
    """What has to be set in one way, and whether anybody has seen it work; changes come first."""
    for one in sorted(settings_by(answer, how), key=lambda one: [*STEPS].index(one.division.step)):
        division = one.division
        text = f"{VERBS[how, division.step]} “{division.text}”"
        if division.step == "set" and division.now:
            text += f" ({now_words(division.now)})"
        details = [gives_at(layout, one)]
        if division.step == "must be":
            details.append("What is chosen there today is not in the build file: look.")
        if division.proof == "menu-only":
            details.append("Listed in the menu only: nobody has said that it works.")
        elif division.proof is None:
            details.append("Nobody has said that this setting exists.")
        id_ = f"{how}/{one.machine}/{one.lane_group}"
        yield SheetStep(id_, layout.in_machine(one.machine) + text, tuple(details))


def speed_steps(answer: PlaceAnswer, layout: PlanLayout) -> Iterator[SheetStep]:
    """Ports to be held to what the wires below them carry."""
    for one in answer.do.speeds:
        text = f"Set “{one.menu}” to generation {one.generation}"
        why = (
            f"{one.label}: the wires to {in_short(one.items)} carry no more, and a faster link errs"
        )
        id_ = f"speed/{one.machine}/{one.site}"
        yield SheetStep(id_, layout.in_machine(one.machine) + text, (why,))


def firmware_steps(answer: PlaceAnswer, layout: PlanLayout) -> Iterator[SheetStep]:
    """What parts need of firmware beside divided slots."""
    for one in answer.do.firmware:
        text = f"{layout.in_machine(one.machine)}Look for “{one.menu}”: {one.value}"
        why = f"For {in_short(one.items)}: {one.why}."
        yield SheetStep(f"firmware/{one.machine}/{one.need}", text, (why,))


VERBS = {
    ("setting", "set"): "Choose",
    ("setting", "stays"): "It stays:",
    ("setting", "must be"): "See that it is",
    ("jumper", "set"): "Set the jumper:",
    ("jumper", "stays"): "The jumper stays:",
    ("jumper", "must be"): "See that the jumper is",
}
"""How a division is chosen and what is to be done about it -> how that is said."""


def settings_by(answer: PlaceAnswer, how: str) -> list[SettingToChoose]:
    """What somebody has to see to with a jumper, or in firmware: there is no third way."""
    jumper = how == "jumper"
    every = (one for one in answer.do.settings if one.division.step)
    return [one for one in every if (one.division.how == "jumper") == jumper]


def gives_at(layout: PlanLayout, setting: SettingToChoose) -> str:
    """`SLOT 3 gets x4+x4`."""
    labels = {one.id: one.label for one in layout.board(setting.machine)}
    return gives_words(setting.division, labels)


def roots(layout: PlanLayout) -> Iterator[PlannedSeat]:
    """Parts in the boards' receptacles: sockets off the row first, since cards come above."""
    for machine in layout.plan.machines:
        for place in sorted(layout.board(machine.id), key=lambda place: place.row is not None):
            if place.item:
                yield layout.seat[place.item]


def bench_steps(layout: PlanLayout, holder: PlannedSeat) -> Iterator[SheetStep]:
    """What goes onto or into a part before that goes in, but for what hangs on cables."""
    if holder.part_class == "cable":
        return
    for place, seat in layout.below(holder.item):
        if seat and not seat.body.companion_of and seat.part_class != "cable":
            yield step_of(layout, seat, place, holder.item)
            yield from bench_steps(layout, seat)


def step_of(
    layout: PlanLayout, seat: PlannedSeat, place: PlannedReceptacle | None = None, holder: str = ""
) -> SheetStep:
    """One part into a board's receptacle, or into that place of its holder."""
    text = f"{seat.label}: {seat.item}"
    if place and place.form == "cooling-mount":
        text = f"Mount {seat.item} on {holder}"
    elif place:
        text = f"Put {seat.item} into {place.label} of {holder}"
    text = layout.in_machine(seat.machine) + text
    return SheetStep(f"part/{seat.item}", text, tuple(part_details(seat)))


def part_details(seat: PlannedSeat) -> Iterator[str]:
    """What to know while the part is in the hand."""
    able = able_words(seat)
    if seat.links:
        yield f"{seat.name}; trains at {link_words(seat)}" + (f", {able}" if able else "")
    else:
        power_only = "; it takes only power and room, no link is expected"
        yield seat.name + (power_only if seat.positions else "")
    if seat.today == seat.site:
        yield "It stays where it is today."
    elif seat.today:
        yield f"Today it sits in {seat.today}."
    if len(seat.positions) > 1:
        yield f"It takes {len(seat.positions)} openings: take their blanking plates out first."
    if seat.body.bracket == "both":
        yield "It comes with a full and a low bracket: fit the one that your chassis takes."


def cable_steps(answer: PlaceAnswer, layout: PlanLayout) -> Iterator[SheetStep]:
    """Every cable with both ends, every plug from the supply."""
    unnamed = "Nobody has named such a cable as a part: see that you have one."
    for cable in answer.do.cables:
        text = f"{layout.in_machine(cable.machine)}Cable {cable_words(cable)}"
        details = () if cable.named else (unnamed,)
        yield SheetStep(f"cable/{cable.item}", text, details, letter=cable.letter)
    for one in answer.do.plugs:
        machine = layout.in_machine(layout.seat[one.item].machine)
        plugs = ", ".join(f"{one.plugs.count(p)} × {p}" for p in dict.fromkeys(one.plugs))
        yield SheetStep(f"plug/{one.item}", f"{machine}{one.item}: {plugs} from the power supply")
    for end in answer.do.network:
        machine = layout.in_machine(layout.seat[end.item].machine)
        yield SheetStep(f"port/{end.item}/{end.port}", f"{machine}{end.item}: {end.in_words}")


def first_start(answer: PlaceAnswer) -> SheetSection:
    """From the last look inside to the links."""
    if not answer.plan.seats:
        return SheetSection("start", "First start", ())
    look = (
        "Look once more: no tool or screw left inside, every plug and latch home, no cable in a "
        "fan."
    )
    lid = "Blanking plates, ducts and lid on, before any card has to work."
    steps = [SheetStep("start/look", look), SheetStep("start/air", lid)]
    chosen = [
        f"{layout_of(answer.plan).in_machine(one.machine)}“{one.division.text}”"
        for one in settings_by(answer, "setting")
    ]
    menus = (*(one.menu for one in answer.do.speeds), *(one.menu for one in answer.do.firmware))
    chosen += [f"“{menu}”" for menu in menus]
    if chosen:
        again = (
            "In firmware setup, see that every choice is still there: some firmware falls back "
            "when it finds other cards."
        )
        steps.append(SheetStep("start/settings", again, tuple(chosen)))
    steps += link_steps(answer)
    if any(seat.body.cooling == "passive" for seat in answer.plan.seats):
        text = "Put the cards under load and watch their temperatures for half an hour."
        steps.append(SheetStep("start/heat", text))
    return SheetSection("start", "First start", tuple(steps))


def link_steps(answer: PlaceAnswer) -> Iterator[SheetStep]:
    """Which device is in which slot, and how its link came up."""
    rows = [
        (seat, link)
        for seat in answer.plan.seats
        for link in seat.links
        if link.bus == "pcie" and link.trains.lanes and not link.to  # a device of its own ends it
    ]
    if not rows:
        return
    dmidecode = "sudo dmidecode -t slot | grep -E 'Designation|Bus Address'"
    yield SheetStep("start/slots", "Find the bus address of each slot.", code=(dmidecode,))
    drives = sum(seat.part_class == "drive" for seat, _ in rows)
    if drives:
        text = f"Count the NVMe drives: at least {drives}."
        yield SheetStep("start/drives", text, code=("lspci -d ::0108 | wc -l",))
    text = "Compare each link with what the plan expects (next steps)."
    lspci = "sudo lspci -vv | grep -E '^[0-9a-f]|LnkSta:'"
    yield SheetStep("start/links", text, code=(lspci,))
    yield from expected_lines(layout_of(answer.plan), rows)
    slow = [seat.item for seat, link in rows if link.why]
    said = f"lines for {in_short(slow)} at most" if slow else "no line"
    text = f"Ask the kernel which links it finds slow: {said}."
    yield SheetStep("start/kernel", text, code=("sudo dmesg | grep 'available PCIe bandwidth'",))


def expected_lines(
    layout: PlanLayout, rows: list[tuple[PlannedSeat, PlannedLink]]
) -> Iterator[SheetStep]:
    """The line to look for, part by part; parts that sit alike on one carrier share a step."""
    groups: dict[tuple[str, str, bool], list[PlannedSeat]] = {}
    for seat, link in rows:
        holder = seat.owner if seat.depth else ""
        groups.setdefault((holder or seat.item, line_of(link), bool(link.why)), []).append(seat)
    for (holder, line, slow), seats in groups.items():
        names = in_short(dict.fromkeys(seat.item for seat in seats))
        where = f"on {holder}" if seats[0].depth else f"in {layout.called(seats[0])}"
        count = f", {len(seats)} times" if len(seats) > 1 else ""
        details = ("(downgraded) is expected.",) if slow else ()
        # An id holds no white space (HTML standard 3.2.6).
        id_ = f"start/link/{seats[0].item}/{''.join(line.split())}"
        yield SheetStep(id_, f"{names} {where}{count}", details, (line,))


def line_of(link: PlannedLink) -> str:
    """What `lspci -vv` prints."""
    rate = link.trains
    speed = f"Speed {gt_s(rate.generation):g}GT/s, " if rate.generation else ""
    return f"LnkSta: {speed}Width x{rate.lanes}"


def leftovers(answer: PlaceAnswer) -> tuple[str, ...]:
    """What stays empty and what finds no place, each in a line."""
    layout = layout_of(answer.plan)
    place = {one.site: one for one in answer.plan.receptacles}
    groups: dict[tuple[str, ...], list[str]] = {}
    for left in answer.more.left_over:
        one = place[left.site]
        machine = layout.in_machine(one.machine)
        on = machine + ("" if one.on_board else f"{one.owner} ")
        gets = f", gets {left.gets}" if left.gets not in ("", one.state) else ""
        state = one.state + (f", {one.why}" if one.why else "")
        groups.setdefault((on, f"({one.form}{gets}): {state}"), []).append(one.label)
    lines = [f"{part.item} has no place: {part.why}" for part in answer.more.left_out]
    lines += [f"{on}{in_short(labels)} {says}" for (on, says), labels in groups.items()]
    return tuple(lines)
