"""Many questions at once: every carrier in each slot; every part of a build in each receptacle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from dataclasses import dataclass, replace

from slotfit.answers.check.advice import rate
from slotfit.answers.check.answer import (
    SCHEMA_VERSION,
    CarrierKind,
    CarriersAnswer,
    CarriersPlan,
    CarriersToWatch,
    CarriersVerdict,
    SlotCarriers,
)
from slotfit.answers.check.machine_asked import as_today, held_to, taken_out, without_wishes
from slotfit.answers.check.outcome import SeatOutcome, setting_text
from slotfit.answers.check.question import LayoutModel, Question
from slotfit.answers.check.verdict import Objection, Verdict, Word, order, verdicts
from slotfit.answers.names import about, board_of, label, segments_text, socket_name
from slotfit.listing import natural
from slotfit.load.build_file import sites_on
from slotfit.model.part import Part
from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem, Site
from slotfit.rule import Unheld
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES, against_unheld
from slotfit.standards.forms import plug_fits


def model_of(question: Question) -> LayoutModel:
    """The seats and clauses of what the hardware allows, whatever is wished."""
    return LayoutModel(question, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)


# --- every carrier --------------------------------------------------------------------------------


@dataclass(frozen=True, slots=True)
class CarrierTried:
    """A carrier in one receptacle where it does not fail."""

    part: Part
    site: Site
    outcome: SeatOutcome
    status: str


def carriers(machine: Problem, questions: Iterable[Question]) -> CarriersAnswer:
    """The kinds of carrier that show something in each receptacle; one question a carrier."""
    tried: dict[str, dict[object, list[CarrierTried]]] = {}
    found: dict[str, tuple[Site, str]] = {}
    for question in questions:
        part = question.item.part
        links = tuple((link.at, link.lanes) for link in part.links)
        kind = (part.wiring, part.plug.form, part.plug.width, links, len(part.receptacles))
        for one in verdicts(model_of(question)):
            if one.word is not Word.NO and one.outcome:
                found[one.site.id] = (one.site, about(question.problem, one.site))
                kinds = tried.setdefault(one.site.id, {})
                kinds.setdefault(kind, []).append(
                    CarrierTried(part, one.site, one.outcome, one.word.value)
                )
    slots = tuple(
        SlotCarriers(
            name,
            label(found[name][0]),
            found[name][1],
            tuple(
                map(
                    carrier_kind,
                    sorted(tried[name].values(), key=lambda alike: min(map(worth, alike))),
                )
            ),
        )
        for name in sorted(tried, key=lambda name: along_the_row(found[name][0]))
    )
    return CarriersAnswer(
        SCHEMA_VERSION,
        *board_of(machine),
        CarriersVerdict((Word.WORKS if slots else Word.NO).value),
        CarriersPlan(slots),
        CarriersToWatch(any(rig.board.invented for rig in machine.rigs)),
    )


def worth(tried: CarrierTried) -> tuple[object, ...]:
    """Most drives first, for certain before perhaps; then the fastest, then the plainest."""
    part, outcome = tried.part, tried.outcome
    size = (part.wiring != "passive", part.plug.width or 0)
    perhaps = not outcome.certain
    return (-outcome.alive, perhaps, -rate(outcome), size, order(outcome), part.id)


def along_the_row(site: Site) -> tuple[object, ...]:
    """Slots of the row from left to right, then the rest."""
    receptacle = site.receptacle
    return (not receptacle.row, receptacle.position if receptacle.row else 0, natural(site.id))


def carrier_kind(alike: list[CarrierTried]) -> CarrierKind:
    """The best of one kind, with every form of socket that the kind comes with."""
    best = min(alike, key=worth)
    outcome = best.outcome
    sockets = {socket.form for one in alike for socket in one.part.receptacles}
    rates = [one.mb_s for one in outcome.counted if one.lanes]
    each = None if None in rates else min((rate for rate in rates if rate), default=None)
    shared = outcome.upwards.mb_s if outcome.upwards else None
    plug = best.part.plug
    card = f"x{plug.width} card" if plug.width else plug.form
    forms = " or ".join(socket_name(form) for form in sorted(sockets))
    return CarrierKind(
        part=best.part.id,
        kind=f"{wired(best.part)}, {card}, for {forms}",
        seen=outcome.alive,
        total=outcome.total,
        status=best.status,
        each_mb_s=min(each, shared) if each and shared else each,
        together_mb_s=shared,
        setting=setting_text(outcome) if outcome.change else None,
    )


def wired(part: Part) -> str:
    """`switch on x8`, `passive 4x4`, or where its links start if they leave gaps."""
    lanes = [link.lanes for link in part.links]
    if part.wiring == "switch":
        return f"switch on {segments_text(lanes)}"
    starts = [link.at for link in part.links]
    packed = [sum(lanes[:number]) for number in range(len(lanes))]
    where = "" if starts == packed else f" at lanes {' '.join(map(str, starts))}"
    return f"passive {segments_text(lanes)}{where}"


# --- every part of a build ------------------------------------------------------------------------

ANYONE = 0xE000
"""First of the characters that stand for parts which differ only in name; no id holds them."""


Load = Mapping[str, tuple[tuple[Item, str], ...]]
"""Part -> what the plan puts on it, each with its site."""


@dataclass(frozen=True, slots=True)
class PartVerdicts:
    """A question about one part, and the verdicts on its receptacles."""

    question: Question
    verdicts: tuple[Verdict, ...]
    names: tuple[str, ...]
    """The parts it holds for. Where they are several, the question's part stands for each."""


@dataclass(frozen=True, slots=True)
class BuildVerdicts:
    """Every part of a build in every receptacle."""

    today: tuple[PartVerdicts, ...]
    """Beside what sits in the machines today."""
    carriers: tuple[PartVerdicts, ...] = ()
    """In the sockets of parts that the plan brings in."""
    emptied: tuple[PartVerdicts, ...] = ()
    """Where today's parts are in the way: without them."""


def everything(build: Problem, plan: Plan | None) -> BuildVerdicts:
    """Every part in every receptacle that is there today or that the plan brings in."""
    today = tuple(beside_today(build, plan))
    carriers = tuple(in_planned_carriers(build, plan)) if plan else ()
    emptied = (in_empty_machines(build, told) for told in today)
    return BuildVerdicts(today, carriers, tuple(told for told in emptied if told))


def beside_today(build: Problem, plan: Plan | None = None) -> Iterator[PartVerdicts]:
    """
    Each part beside what sits in the machines today.

    The verdicts are those of `slotfit check PART BUILD`: receptacles of the boards, and of what
    sits in the machines today. A part that is in no machine comes with what the plan puts on it.
    """
    machine, load = as_today(build, None), planned_load(build, plan)
    model: LayoutModel | None = None
    for item, names in alike(build, {**machine.item, **load}):
        question = asked(build, machine, item, load)
        if item.id not in machine.item:
            yield PartVerdicts(question, verdicts(model_of(question)), names)
            continue
        # The same parts are at hand whichever of them is taken out: one model serves all.
        question = replace(question, problem=machine)
        model = model.asking(question) if model else model_of(question)
        yield PartVerdicts(question, verdicts(model), names)


def planned_load(build: Problem, plan: Plan | None) -> Load:
    """
    What the plan puts on parts, of what is in no machine today.

    Cables lead elsewhere, and so do further plugs: they are no load.
    """
    here = as_today(build, None).item
    load: dict[str, list[tuple[Item, str]]] = {}
    for seat in plan.seats if plan else ():
        item, site = build.item[seat.item], build.site[seat.site]
        leads = item.part.part_class == "cable" or item.companion_of
        if not (site.on_board or leads or item.id in here):
            load.setdefault(site.owner, []).append((without_wishes(item), site.id))
    return {name: tuple(with_what_is_on(load, name)) for name in load}


def with_what_is_on(
    load: Mapping[str, list[tuple[Item, str]]], name: str
) -> Iterator[tuple[Item, str]]:
    """Everything on a part, however deep."""
    for item, site in load.get(name, ()):
        yield item, site
        yield from with_what_is_on(load, item.id)


def alike(build: Problem, apart: Mapping[str, object]) -> list[tuple[Item, tuple[str, ...]]]:
    """Parts without their wishes, those that differ only in name together; `apart` names others."""
    groups: list[list[Item]] = []
    for item in build.items:
        alone = item.id in apart or item.companion_of or item.part.extra_plugs
        same = () if alone else (group for group in groups if is_like(group[0], item, apart))
        group = next(iter(same), None)
        if group is None:
            groups.append([item])
        else:
            group.append(item)
    return [
        (
            items[0] if len(items) == 1 else items[0]._replace(id=chr(ANYONE + number)),
            tuple(item.id for item in items),
        )
        for number, items in enumerate(groups)
    ]


def is_like(one: Item, other: Item, apart: Mapping[str, object]) -> bool:
    """Whether two parts differ only in their name, and in wishes that do not count here."""
    if one.part.id != other.part.id or one.id in apart:
        return False
    kept, same = one.wish, other.wish
    return (one.part, kept.demand, kept.guest) == (other.part, same.demand, same.guest)


def asked(build: Problem, machine: Problem, item: Item, load: Load) -> Question:
    """Where a part could be, taken out with what sits on it today."""
    if item.id not in machine.item:
        return held_to(machine, without_wishes(item), load.get(item.id, ()), None)
    out = taken_out(machine, build, item.id)
    return held_to(out.machine, out.item, out.drives, None, machine.today.get(item.id))


def in_empty_machines(build: Problem, told: PartVerdicts) -> PartVerdicts | None:
    """What is in the way taken out: the receptacles that today's parts keep a part from."""
    blocked = {
        verdict.site.id
        for verdict in told.verdicts
        if verdict.site.on_board and any(reason.blockers for reason in verdict.reasons)
    }
    if not blocked:
        return None
    was = told.question
    held = [(was.problem.item[one], site) for one, site in was.drives.items()]
    empty = as_today(replace(build, today={}), None)
    question = held_to(empty, was.item, held, None)
    question = replace(question, sites=tuple(s for s in question.sites if s in blocked))
    return PartVerdicts(question, verdicts(model_of(question)), told.names)


def in_planned_carriers(build: Problem, plan: Plan) -> Iterator[PartVerdicts]:
    """
    Each part in the sockets of parts that sit in no machine today.

    Those are taken to be where the plan has them; all else is as it is today.
    """
    machine, sites = with_carriers(build, plan)
    load = planned_load(build, plan)
    parts = alike(build, {**machine.item, **load}) if sites else []
    everyone = with_all_that_fit(machine, sites, [item for item, _ in parts])
    model: LayoutModel | None = None
    for item, names in parts:
        question = asked(build, machine, item, load)
        mine = {item.body, *(whole(build, one) for one in question.drives)}
        others = [site for site in sites if whole(build, site.owner) not in mine]
        tried = tuple(site.id for site in others if plugs_in(item, site))
        found = [no_form(build, item, site) for site in others if site.id not in tried]
        question = replace(question, problem=everyone, sites=tried)
        if tried:
            model = model.asking(question) if model else model_of(question)
            found += verdicts(model)
        yield PartVerdicts(question, tuple(found), names)


def with_carriers(build: Problem, plan: Plan) -> tuple[Problem, list[Site]]:
    """Today's machines with what holds others where the plan has it, and the sockets of that."""
    here = as_today(build, None).item
    planned = {seat.item: seat.site for seat in plan.seats if seat.item not in here}
    sites = [site for site in build.sites if not site.on_board and site.owner in planned]
    holding = {whole(build, site.owner) for site in sites}
    owners = {name: site for name, site in planned.items() if whole(build, name) in holding}
    return as_today(replace(build, today={**build.today, **owners}), None), sites


def whole(build: Problem, name: str) -> str:
    """The part that a plug belongs to; a part itself."""
    return build.item[name].body


def with_all_that_fit(machine: Problem, sites: list[Site], parts: list[Item]) -> Problem:
    """The same, with every part at hand that could go into one of these sockets."""
    late = [
        without_wishes(item)
        for item in parts
        if item.id not in machine.item and any(plugs_in(item, site) for site in sites)
    ]
    own = tuple(site for item in late for site in sites_on(item))
    return replace(machine, items=(*machine.items, *late), sites=(*machine.sites, *own))


def plugs_in(item: Item, site: Site) -> bool:
    """Whether the receptacle takes the part's plug."""
    return plug_fits(item.part.plug.form, site.receptacle.form)


def no_form(build: Problem, item: Item, site: Site) -> Verdict:
    """A plug of another form."""
    against = against_unheld(Unheld(build, item, site, frozenset()))
    return Verdict(site, Word.NO, None, reasons=tuple(map(Objection, against)))
