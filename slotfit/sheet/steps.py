"""The steps of a plan in the order in which a person works."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.place.answer import LinkView, SeatView, SettingView, View
from slotfit.answers.place.cables import (
    CableView,
    Nesting,
    able_words,
    board_receptacles,
    cables_of,
    link_words,
    nesting_of,
)
from slotfit.listing import in_short
from slotfit.standards import pcie


@dataclass(frozen=True, slots=True)
class Step:
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
class Section:
    """Steps that belong together, in the order of the work."""

    id: str
    title: str
    steps: tuple[Step, ...]
    note: str = ""
    remarks: tuple[str, ...] = ()
    """What is good to know and nothing to tick."""


def first_start(view: View) -> Section:
    """From the last look inside to the links."""
    if not view.seats:
        return Section("start", "First start", ())
    steps = [
        Step(
            "start/look",
            "Look once more: no tool or screw left inside, every plug and latch home, no cable in "
            "a fan.",
        ),
        Step("start/air", "Blanking plates, ducts and lid on, before any card has to work."),
        *settings_again(view),
        *link_steps(view),
    ]
    if any(seat.body and seat.body.cooling == "passive" for seat in view.seats):
        text = "Put the cards under load and watch their temperatures for half an hour."
        steps.append(Step("start/heat", text))
    return Section("start", "First start", tuple(steps))


def settings_again(view: View) -> Iterator[Step]:
    """Firmware may fall back when it finds other cards."""
    changed = [one.text for one in view.settings if one.changes and one.how == "setting"]
    if changed:
        yield Step(
            "start/settings",
            "In firmware setup, see that every choice is still there: some firmware falls back "
            "when it finds other cards.",
            tuple(f"“{text}”" for text in changed),
        )


def link_steps(view: View) -> Iterator[Step]:
    """Which device is in which slot, and how its link came up."""
    rows = list(expected(view))
    if not rows:
        return
    yield Step(
        "start/slots",
        "Find the bus address of each slot.",
        code=("sudo dmidecode -t slot | grep -E 'Designation|Bus Address'",),
    )
    drives = sum(seat.part_class == "drive" for seat, _ in rows)
    if drives:
        yield Step(
            "start/drives",
            f"Count the NVMe drives: at least {drives}.",
            code=("lspci -d ::0108 | wc -l",),
        )
    yield Step(
        "start/links",
        "Compare each link with what the plan expects (next steps).",
        code=("sudo lspci -vv | grep -E '^[0-9a-f]|LnkSta:'",),
    )
    yield from expected_lines(rows)
    slow = [seat.item for seat, link in rows if link.why]
    said = f"lines for {in_short(slow)} at most" if slow else "no line"
    yield Step(
        "start/kernel",
        f"Ask the kernel which links it finds slow: {said}.",
        code=("sudo dmesg | grep 'available PCIe bandwidth'",),
    )


def expected(view: View) -> Iterator[tuple[SeatView, LinkView]]:
    """Every link that a device of its own ends."""
    for seat in view.seats:
        for link in seat.links:
            if link.bus == "pcie" and link.lanes and not link.to:
                yield seat, link


def expected_lines(rows: list[tuple[SeatView, LinkView]]) -> Iterator[Step]:
    """The line to look for, part by part; parts that sit alike on one carrier share a step."""
    groups: dict[tuple[str, str, str], list[SeatView]] = {}
    for seat, link in rows:
        holder = "" if not seat.depth else seat.owner
        key = (holder or seat.item, line_of(link), "(downgraded) is expected" if link.why else "")
        groups.setdefault(key, []).append(seat)
    for (holder, line, remark), seats in groups.items():
        names = in_short(dict.fromkeys(seat.item for seat in seats))
        where = f"on {holder}" if seats[0].depth else f"in {seats[0].label}"
        count = f", {len(seats)} times" if len(seats) > 1 else ""
        details = (remark + ".",) if remark else ()
        # An id holds no white space (HTML standard 3.2.6).
        id_ = f"start/link/{seats[0].item}/{''.join(line.split())}"
        yield Step(id_, f"{names} {where}{count}", details, (line,))


def line_of(link: LinkView) -> str:
    """What `lspci -vv` prints."""
    if link.generation is None:
        return f"LnkSta: Width x{link.lanes}"
    return f"LnkSta: Speed {pcie.gt_s(link.generation):g}GT/s, Width x{link.lanes}"


READ_FIRST = (
    "Read them all before you begin, and tick what you have read or done. The machine is switched "
    "off after the firmware settings."
)
HIDDEN_SETTING = (
    "The case stays closed. Note or photograph what is set now. If the menu hides an entry until a "
    "card is in its slot, choose it at the first start."
)


def steps_of(view: View) -> tuple[Section, ...]:
    """
    Cautions, settings, parts, cables and plugs, first start; sections without steps left out.

    Cautions are read first of all. Firmware settings need power, so switching off is a step of its
    own after them.
    """
    nesting = nesting_of(view)
    cables = cables_of(view, nesting)
    sections = (
        cautions(view),
        settings_before(view),
        opening(view),
        jumpers(view),
        on_the_bench(view, nesting),
        into_the_machine(view, nesting),
        cables_and_plugs(view, cables),
        first_start(view),
    )
    return tuple(section for section in sections if section.steps or section.remarks)


def cautions(view: View) -> Section:
    """What to mind before anything else; a tick says that it was read."""
    steps = tuple(Step(f"caution/{n}", text) for n, text in enumerate(view.cautions, 1))
    return Section("cautions", "Read first: cautions", steps, READ_FIRST if steps else "")


def opening(view: View) -> Section:
    """From a running machine to an open one."""
    if not view.seats:
        return Section("open", "", ())
    steps = (
        Step("open/off", "Shut the machine down, switch it off, and pull every power cord."),
        Step("open/light", "Wait until the board's standby light is out, then open the case."),
        Step("open/static", "Wrist strap on, or touch bare chassis metal, now and often."),
    )
    return Section("open", "Switch off, and open the case", steps)


def in_machine(view: View, machine: str) -> str:
    """Names the machine where there are several."""
    return f"{machine}: " if len(view.machines) > 1 else ""


def settings_before(view: View) -> Section:
    """What to choose in firmware, the changes first; what the board does by itself as a remark."""
    chosen = [setting for setting in view.settings if setting.how == "setting"]
    chosen.sort(key=lambda setting: not setting.changes)
    steps = tuple(
        Step(
            f"setting/{setting.machine}/{setting.group}",
            in_machine(view, setting.machine) + setting_words(setting),
            (gives_words(view, setting), *doubt(setting)),
        )
        for setting in chosen
    )
    remarks = tuple(
        f"{in_machine(view, setting.machine)}{setting.group} divides by what is plugged in: "
        f"{gives_words(view, setting)}"
        for setting in view.settings
        if setting.how == "presence"
    )
    note = HIDDEN_SETTING if steps else ""
    title = "Firmware settings, while the case is closed"
    return Section("settings", title, steps, note, remarks)


def setting_words(setting: SettingView) -> str:
    """What to do in the menu."""
    verb = "Choose" if setting.changes else "Leave as it is:"
    return f"{verb} “{setting.text}”"


def gives_words(view: View, setting: SettingView) -> str:
    """`SLOT 3 gets x4+x4`."""
    labels = {(r.machine, r.id): r.label for r in view.receptacles if r.on_board}
    return ", ".join(
        f"{labels.get((setting.machine, name), name)} gets {given}" for name, given in setting.gives
    )


def doubt(setting: SettingView) -> Iterator[str]:
    """A setting that nobody has seen work."""
    if setting.proof == "menu-only":
        yield "Listed in the menu only: nobody has said that it works."
    elif setting.proof is None:
        yield "Nobody has said that this setting exists."


def jumpers(view: View) -> Section:
    """What is set on the board itself."""
    steps = tuple(
        Step(
            f"jumper/{setting.machine}/{setting.group}",
            f"{in_machine(view, setting.machine)}Set the jumper: {setting.text}",
            (gives_words(view, setting), *doubt(setting)),
        )
        for setting in view.settings
        if setting.how == "jumper"
    )
    return Section("jumpers", "Jumpers on the board, with the power off", steps)


def on_the_bench(view: View, nesting: Nesting) -> Section:
    """What goes onto or into a part before the part goes in."""
    steps: list[Step] = []
    for root in roots(view, nesting):
        steps += bench_steps(view, nesting, root)
    return Section("bench", "On the bench: drives and cards into their carriers", tuple(steps))


def roots(view: View, nesting: Nesting) -> Iterator[SeatView]:
    """Parts in the boards' receptacles: sockets off the row first, since cards come above."""
    for machine in view.machines:
        every = board_receptacles(view, machine)
        for place in sorted(every, key=lambda place: place.row is not None):
            if place.item:
                yield nesting.seat[place.item]


def bench_steps(view: View, nesting: Nesting, holder: SeatView) -> Iterator[Step]:
    """Everything that a part holds and that no cable leads to."""
    if holder.part_class == "cable":
        return
    for place, seat in nesting.below(holder.item):
        if seat is None or (seat.body and seat.body.companion_of) or seat.part_class == "cable":
            continue
        verb = "Mount" if place.form == "cooling-mount" else "Put"
        where = (
            f"on {holder.item}"
            if place.form == "cooling-mount"
            else (f"into {place.label} of {holder.item}")
        )
        text = f"{in_machine(view, seat.machine)}{verb} {seat.item} {where}"
        yield Step(f"part/{seat.item}", text, tuple(part_details(seat)))
        yield from bench_steps(view, nesting, seat)


def into_the_machine(view: View, nesting: Nesting) -> Section:
    """Parts by receptacle."""
    steps = tuple(
        Step(
            f"part/{seat.item}",
            f"{in_machine(view, seat.machine)}{seat.label}: {seat.item}",
            tuple(part_details(seat)),
        )
        for seat in roots(view, nesting)
        if seat.part_class != "cable"
    )
    return Section(
        "parts",
        "Into the machine, receptacle by receptacle",
        steps,
        "A card is in when its edge has gone all the way down and its bracket meets the opening.",
    )


def part_details(seat: SeatView) -> Iterator[str]:
    """What to know while the part is in the hand."""
    able = able_words(seat)
    if seat.links:
        yield f"{seat.name}; trains at {link_words(seat)}" + (f", {able}" if able else "")
    else:
        power_only = seat.positions and "; it takes only power and room, no link is expected"
        yield seat.name + (power_only or "")
    if seat.today == seat.site:
        yield "It stays where it is today."
    elif seat.today:
        yield f"Today it sits in {seat.today}."
    if len(seat.positions) > 1:
        yield f"It takes {len(seat.positions)} openings: take their blanking plates out first."
    if seat.body and seat.body.bracket == "both":
        yield "It comes with a full and a low bracket: fit the one that your chassis takes."


def cables_and_plugs(view: View, cables: tuple[CableView, ...]) -> Section:
    """Every cable with both ends, every plug from the supply, drives at cables' ends."""
    steps = [
        Step(
            f"cable/{cable.item}",
            in_machine(view, cable.machine) + "Cable " + cable.words,
            ("Nobody has named such a cable as a part: see that you have one.",)
            if not cable.named
            else (),
            letter=cable.letter,
        )
        for cable in cables
    ]
    for seat in view.seats:
        if seat.aux:
            text = f"{in_machine(view, seat.machine)}{seat.item}: {plug_words(seat.aux)}"
            steps.append(Step(f"plug/{seat.item}", f"{text} from the power supply"))
    return Section("cables", "Cables and plugs", tuple(steps))


def plug_words(plugs: tuple[str, ...]) -> str:
    """`2 × pcie-8, 1 × eps-8`."""
    return ", ".join(f"{plugs.count(plug)} × {plug}" for plug in dict.fromkeys(plugs))


def leftovers(view: View) -> tuple[str, ...]:
    """What stays empty and what finds no place, each in a line."""
    lines = [f"{part.item} has no place: {part.why}" for part in view.left_out]
    groups: dict[tuple[str, ...], list[str]] = {}
    for one in view.free:
        holder = one.site.rpartition("/")[0]
        key = (in_machine(view, one.machine), holder, one.form, one.gets, one.state, one.why)
        groups.setdefault(key, []).append(one.label)
    for (machine, holder, form, gets, state, why), labels in groups.items():
        on = f"{holder} " if holder and not machine.startswith(holder) else ""
        lines.append(
            f"{machine}{on}{in_short(labels)} ({form}{f', gets {gets}' if gets else ''}): {state}"
            + (f", {why}" if why else "")
        )
    return tuple(lines)
