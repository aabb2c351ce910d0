"""How receptacles, boards, links, settings and figures are called in a sentence."""

from __future__ import annotations

from collections.abc import Iterable, Mapping, Sequence
from typing import TYPE_CHECKING, Literal, assert_never

from slotfit.answers.answer_word import OF_STATUS, AnswerWord, answered, on_condition
from slotfit.hardware.flow import FLOWS
from slotfit.listing import listed
from slotfit.model.plan import Plan, Status
from slotfit.rule import gets
from slotfit.standards.forms import FORMS, POWER_SOCKETS

if TYPE_CHECKING:
    from slotfit.answers.place.answer import (
        Division,
        PlannedCable,
        PlannedLink,
        PlannedSeat,
        SharedLink,
        SpeedToHold,
    )
    from slotfit.model.board import Arrangement, LaneGroup
    from slotfit.model.part import ReceptacleSpec
    from slotfit.model.problem import Machine, Problem, Receptacle

# --- figures and links ----------------------------------------------------------------------------


IN_MB_S = (*FLOWS, "spare-lanes")
"""Preferences that are counted in megabytes per second, and shown in gigabytes."""


def stage_amount(stage: str, value: int) -> str:
    """A preference's value as it is shown."""
    return gb_s(value) if stage in IN_MB_S else str(value)


def gb_s(mb_s: int) -> str:
    """`6.2` gigabytes per second from megabytes per second."""
    return f"{mb_s / 1000:.1f}"


def watts(value: float | None) -> str:
    """`13 W`, `? W`."""
    return "? W" if value is None else f"{value:g} W"


def amount(unit: str, worth: int) -> str:
    """`300 W` for milliwatts; `1 pcie-8 plug`, `2 pcie-8 plugs`."""
    if unit == "mW":
        return f"{worth / 1000:g} W"
    return f"{worth} {unit.removesuffix('s') if worth == 1 else unit}"


def speed_text(generation: int | None) -> str:
    """`gen 4` of PCIe; `gen ?` if it is not known."""
    return f"gen {generation or '?'}"


def link_text(bus: str, generation: int | None, lanes: int) -> str:
    """`gen 3 x8`; `gen ? x8` if the generation is not known; `SAS-3 x4`."""
    if bus != "pcie":
        return f"{bus.upper()}-{generation or '?'}" + (f" x{lanes}" if lanes > 1 else "")
    return f"{speed_text(generation)} x{lanes}"


def segments_text(widths: Iterable[int | str]) -> str:
    """`x8+x8`, `SATA`, `nothing`."""
    texts = [f"x{width}" if isinstance(width, int) else width.upper() for width in widths]
    return "+".join(texts) or "nothing"


SHORT = "GB/s short (both ways added)"
"""What is missed, in and out together."""

MARKS = (
    ("!", "short of bandwidth"),
    ("@", "at another processor than it should be"),
    ("?", "not proven"),
)


def needs_text(seat: PlannedSeat) -> str:
    """In GB/s one way: `6.2`, `~7.1` of a rate that nobody stated, `-` where it needs nothing."""
    if not seat.needs_mb_s:
        return "-"
    return ("" if seat.wanted_stated else ASSUMED) + gb_s(seat.needs_mb_s)


ASSUMED = "~"
"""Before a rate that nobody stated."""


def carries_text(mb_s: int | None) -> str:
    """What its links carry, in GB/s one way: `6.6`, `-` where none ends in it or comes alive."""
    return gb_s(mb_s) if mb_s else "-"


def flow_text(shared: SharedLink) -> str:
    """What a shared link is to carry, and what it can: `7.2 of 6.6 GB/s one way`."""
    busier = max(shared.in_mb_s, shared.out_mb_s)
    return f"{gb_s(busier)} of {gb_s(shared.capacity_mb_s)} GB/s one way{why_slower(shared)}"


def overload_text(shared: SharedLink) -> str:
    """A shared link that loses bandwidth: what it needs, what it carries."""
    busier = gb_s(max(shared.in_mb_s, shared.out_mb_s))
    return (
        f"uplink of {shared.name} overloaded: needs {busier}, carries "
        f"{gb_s(shared.capacity_mb_s)} GB/s{why_slower(shared)}"
    )


def why_slower(shared: SharedLink) -> str:
    """Why less counts than the link's own rate, and what would change it."""
    match shared.slower:
        case None:
            return ""
        case "uplink-unknown":
            return " at least: which processor or firmware is fitted is not said"
        case "sata" | "sata-unknown":
            text = f" (SATA behind {shared.name}: 6 Gb/s a lane"
            more = ", unless its data sheet names a buffer for it: then write `buffers: true`"
            return f"{text}{more if shared.slower == 'sata-unknown' else ''})"
        case _:
            assert_never(shared.slower)


def marks_of(seat: PlannedSeat) -> str:
    """`!`, `@`, `?`: see MARKS."""
    short = "!" if seat.short_mb_s or seat.shared_short_mb_s else ""
    return short + ("@" if seat.far else "") + ("?" if seat.facts else "")


def live_text(seat: PlannedSeat) -> str:
    """Its links in short: `gen 3 x8`, `4 of 4 live`; empty where it has none."""
    if len(seat.links) < 2:
        return seat.links[0].text if seat.links else ""
    alive = sum(link.trains.lanes > 0 for link in seat.links)
    return f"{alive} of {len(seat.links)} live"


Health = Literal["full", "below", "dark", "power", "held"]
"""At full ability | below it | no link | takes power and room only | held by a part, no lanes."""


def health(seat: PlannedSeat) -> Health:
    """How the seat's links came up."""
    if not seat.links:
        return "held" if seat.body.plug in ("cooling-mount", "opening", *POWER_SOCKETS) else "power"
    if not any(link.trains.lanes for link in seat.links):
        return "dark"
    return "below" if any(link.why for link in seat.links) else "full"


def link_words(seat: PlannedSeat) -> str:
    """`gen 3 x8`, `gen 4 x4+x4`, `power only`, `held, no lanes`, `not known`."""
    if seat.is_unknown:
        return "not known"
    if not seat.links:
        return "power only" if health(seat) == "power" else "held, no lanes"
    return links_words(seat.links)


def links_words(links: Sequence[PlannedLink]) -> str:
    """Links in short, those of one bus and generation together; how many of them are dark."""
    alive: dict[tuple[str, int | None], list[int]] = {}
    for link in links:
        if link.trains.lanes:
            kind = (link.bus, link.trains.generation)
            alive.setdefault(kind, []).append(link.trains.lanes)
    if not alive:
        return "no link"
    together = " and ".join(
        link_text(bus, generation, sum(lanes))
        if len(lanes) == 1 or bus != "pcie"
        else f"{speed_text(generation)} {segments_text(lanes)}"
        for (bus, generation), lanes in alive.items()
    )
    lost = len(links) - sum(map(len, alive.values()))
    return together + (f", {lost} of {len(links)} not detected" if lost else "")


def trained_text(seat: PlannedSeat) -> str:
    """Its links in short: `gen 3 x8`, `4 of 4 live`, `power only`, `not known`."""
    if seat.is_unknown:
        return "not known"
    return live_text(seat) or ("power only" if seat.part_class != "air-mover" else "on the card")


def ability(seat: PlannedSeat) -> str:
    """What the part could do, where it does less: `gen 4 x16`, or `x16`; else empty."""
    if any(not link.trains.lanes for link in seat.links) and len(seat.links) > 1:
        return ""  # what is said already: so many of them are dark
    found = dict.fromkeys(
        f"x{link.able.lanes}" if link.trains.generation == link.able.generation else link.able_text
        for link in seat.links
        if link.why
    )
    return " and ".join(found)


def able_words(seat: PlannedSeat) -> str:
    """`could do gen 4 x16`; empty where it does all it can."""
    able = ability(seat)
    return able and f"could do {able}"


def class_words(part_class: str) -> str:
    """`host bus adapter`."""
    return part_class.replace("-", " ")


def cable_words(cable: PlannedCable) -> str:
    """`sas-cable, from hba port0 to expander, its up connector; SAS-3 x4; 800 mm`."""
    start = f"{cable.from_item} {cable.from_label}" if cable.from_item else cable.from_label
    name = f"{cable.item}, " if cable.named else ""
    reach = f"; {cable.reach_mm:g} mm" if cable.reach_mm else ""
    return f"{name}from {start} to {' and '.join(cable.ends) or 'nothing yet'}; {cable.link}{reach}"


# --- headlines and settings -----------------------------------------------------------------------

HEADLINES = {
    Status.PROVEN: "every required part fits, no better plan exists",
    Status.UNPROVEN: "every required part fits, but a better plan may exist; --seconds gives it "
    "longer",
    Status.IMPOSSIBLE: "no plan exists, the required parts do not all fit",
    Status.UNKNOWN: "no plan was found, and none is ruled out either",
}


def word_of(status: Status, plan: Plan | None) -> AnswerWord:
    """The answer in a word: a plan that rests on something unproven is a yes, if."""
    return on_condition(OF_STATUS[status], facts=bool(plan and plan.facts))


def headline(status: Status, plan: Plan | None) -> str:
    """The answer in one sentence, without its full stop."""
    facts = len(plan.facts) if plan else 0
    return answered(word_of(status, plan), HEADLINES[status], facts)


def setting_text(way: Arrangement) -> str:
    """What the menu calls a division of a lane group, or who gets what."""
    return way.setting or gets(way)


STEPS = {"set": "SET", "stays": "stays", "must be": "must be"}
"""What is to be done about a setting -> the word for it."""


def now_words(now: str, *, known: bool = True) -> str:
    """`now x16` of a setting; `taken to be x16 now` where the build file does not say."""
    return f"now {now}" if known else f"taken to be {now} now"


def gives_words(division: Division, labels: Mapping[str, str] | None = None) -> str:
    """`slot3 gets x4+x4, m2_1 gets x4`; `labels`: what receptacles are called other than by id."""
    called = labels or {}
    return ", ".join(f"{called.get(name, name)} gets {given}" for name, given in division.gives)


def speed_words(speed: SpeedToHold) -> str:
    """`Slot 1 link speed: generation 3  (SLOT1: the wires to nic carry no more)`."""
    return (
        f"{speed.menu}: generation {speed.generation}  ({speed.label}: the wires to "
        f"{listed(speed.items)} carry no more, and a faster link errs)"
    )


# --- receptacles and boards -----------------------------------------------------------------------


def printed(receptacle: ReceptacleSpec) -> str:
    """The name printed beside it, or its id."""
    return receptacle.label or receptacle.id


def label(receptacle: Receptacle) -> str:
    """The name to use in a sentence, with the printed one where the two are spelt otherwise."""
    name = short_name(receptacle)
    return name if receptacle.spec.label in (None, name) else f"{name} ({receptacle.spec.label})"


def short_name(receptacle: Receptacle) -> str:
    """The name to use in a sentence: what is printed if that is spelt like the id."""
    told = receptacle.spec.label or ""
    letters = ["".join(filter(str.isalnum, one.lower())) for one in (told, receptacle.id)]
    return told if letters[0] == letters[1] else receptacle.id


def receptacle_named(problem: Problem, machine: str, name: str) -> str:
    """A receptacle of a board by its id, called as in a sentence."""
    for receptacle in problem.receptacles:
        if receptacle.on_board and receptacle.owner == machine and receptacle.spec.id == name:
            return short_name(receptacle)
    return name


def bearer(problem: Problem, receptacle: Receptacle) -> str:
    """The machine or the part one can touch; further connections of a part are that part."""
    return receptacle.owner if receptacle.on_board else problem.part[receptacle.owner].body


def about(problem: Problem, receptacle: Receptacle) -> str:
    """`x16 slot, wired x8, gen 4, CPU1`: what is known of it."""
    spec = receptacle.spec
    form = FORMS[spec.form]
    said = form.title
    if spec.form == "cem":
        said = f"x{spec.width} slot" if spec.width else "slot of unknown length"
        said += ", open end" if spec.open_end else ""
    if not receptacle.on_board:
        return f"{said}, on {receptacle.owner}"
    machine = problem.machine[receptacle.owner]
    group = machine.group_of.get(spec.id)
    if group is None:
        return f"{said}, no lanes" if form.buses else said
    speed = group.generation and speed_text(group.generation)
    if group.bus != "pcie":
        speed = group.generation and link_text(group.bus, group.generation, 1)
    elif group.generation is None:
        speed = "speed not known"
    every = (said, wired(spec, group), speed, origin(machine, group.from_))
    return ", ".join(str(one) for one in every if one)


def wired(receptacle: ReceptacleSpec, group: LaneGroup) -> str:
    """Lanes that reach it at most: `wired x8 or SATA`."""
    ways = [way for way in group.arrangements if way.gives.get(receptacle.id)]
    if not ways:
        return "no lanes"
    if all(way.proof is None for way in ways):
        return "wiring not known"
    given = [way.gives[receptacle.id] for way in ways]
    lanes = max(sum(width for width in one if isinstance(width, int)) for one in given)
    buses = dict.fromkeys(width.upper() for one in given for width in one if isinstance(width, str))
    return "wired " + " or ".join([*([f"x{lanes}"] if lanes else []), *buses])


def origin(machine: Machine, from_: str | None) -> str:
    """The processor, or the hub behind it, as printed."""
    if from_ is None:
        return "processor not known"
    labels = {one.id: one.label for one in machine.board.processors}
    labels |= {one.id: one.label for one in machine.board.hubs}
    return labels.get(from_) or from_


def board_of(problem: Problem) -> tuple[str, str]:
    """Id and name of the board, or of the build if it has several."""
    one = problem if len(problem.machines) > 1 else problem.machines[0].board
    return one.id, one.name or one.id


SOCKET_NAMES = {
    "m2-m": "M.2",
    "m2-b": "M.2 key B",
    "m2-e": "M.2 key E",
    "u2": "U.2",
    "u3": "U.3",
    "u2-u3": "U.2/U.3",
    "e1s": "E1.S",
    "e1l": "E1.L",
    "e3s": "E3.S",
    "e3l": "E3.L",
    "cem": "slot",
}


def socket_name(form: str) -> str:
    """How the trade calls a socket of a form, in short."""
    return SOCKET_NAMES.get(form, form)
