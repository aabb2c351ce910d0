"""Many questions at once: every carrier in each slot; every part of a build in each receptacle."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass, replace

from slotfit.answers.answer_word import answered, on_condition
from slotfit.answers.check.advice import rate
from slotfit.answers.check.against import Objection
from slotfit.answers.check.answer import (
    SCHEMA_VERSION,
    CarrierKind,
    CarriersAnswer,
    CarriersPlan,
    CarriersToWatch,
    CarriersVerdict,
    SlotCarriers,
)
from slotfit.answers.check.machine_asked import (
    as_today,
    held_to,
    said_of,
    taken_out,
    without_wishes,
)
from slotfit.answers.check.outcome import SeatOutcome, setting_text
from slotfit.answers.check.question import LayoutModel, Question
from slotfit.answers.check.verdict import Verdict, Word, order, verdicts
from slotfit.answers.names import about, board_of, label, segments_text, socket_name
from slotfit.answers.no_plan.changed import with_parts
from slotfit.listing import counted, listed, natural
from slotfit.model.part import PartSpec
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem, Receptacle
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

    part: PartSpec
    receptacle: Receptacle
    outcome: SeatOutcome
    status: str


def carriers(machine: Problem, questions: Iterable[Question]) -> CarriersAnswer:
    """The kinds of carrier that show something in each receptacle; one question a carrier."""
    tried: dict[str, dict[object, list[CarrierTried]]] = {}
    found: dict[str, tuple[Receptacle, str]] = {}
    for question in questions:
        spec = question.part.spec
        links = tuple((link.at, link.lanes) for link in spec.links)
        kind = (spec.wiring, spec.plug.form, spec.plug.width, links, len(spec.receptacles))
        for one in verdicts(model_of(question)):
            if one.word is not Word.NO and one.outcome:
                found[one.receptacle.id] = (one.receptacle, about(question.problem, one.receptacle))
                kinds = tried.setdefault(one.receptacle.id, {})
                kinds.setdefault(kind, []).append(
                    CarrierTried(spec, one.receptacle, one.outcome, one.word.value)
                )
    slots = tuple(
        slot_carriers(
            *found[name],
            [
                carrier_kind(alike)
                for alike in sorted(tried[name].values(), key=lambda alike: min(map(worth, alike)))
            ],
        )
        for name in sorted(tried, key=lambda name: along_the_row(found[name][0]))
    )
    return CarriersAnswer(
        SCHEMA_VERSION,
        *board_of(machine),
        carriers_verdict(slots),
        CarriersPlan(slots),
        CarriersToWatch(any(machine.board.invented for machine in machine.machines)),
    )


def slot_carriers(
    receptacle: Receptacle, about_it: str, kinds: Sequence[CarrierKind]
) -> SlotCarriers:
    """What shows drives in one receptacle, and what to take."""
    plain = [one for one in kinds if not one.has_switch and one.status != Word.NOT_KNOWN.value]
    whole = [one for one in plain if one.seen == one.total]
    best = (whole or plain or kinds)[0]
    return SlotCarriers(receptacle.id, label(receptacle), about_it, tuple(kinds), best)


def carriers_verdict(slots: Sequence[SlotCarriers]) -> CarriersVerdict:
    """Whether any carrier shows a drive, and where most do."""
    if not slots:
        text = answered("no", "no receptacle takes any carrier of the catalog.")
        return CarriersVerdict("no", Word.NO.value, text)
    sure = [one for one in slots if one.recommended.status != Word.NOT_KNOWN.value]
    most = max(one.recommended.seen for one in sure or slots)
    where = listed(one.label for one in sure or slots if one.recommended.seen == most)
    word = on_condition("yes", facts=not sure)
    text = answered(
        word, f"at most {counted(most, 'drive')} a carrier without a switch, in {where}."
    )
    return CarriersVerdict(word, Word.WORKS.value, text)


def worth(tried: CarrierTried) -> tuple[object, ...]:
    """Most drives first, for certain before perhaps; then the fastest, then the plainest."""
    spec, outcome = tried.part, tried.outcome
    size = (spec.wiring != "passive", spec.plug.width or 0)
    perhaps = not outcome.certain
    return (-outcome.alive, perhaps, -rate(outcome), size, order(outcome), spec.id)


def along_the_row(receptacle: Receptacle) -> tuple[object, ...]:
    """Slots of the row from left to right, then the rest."""
    spec = receptacle.spec
    return (not spec.row, spec.position if spec.row else 0, natural(receptacle.id))


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
        has_switch=best.part.wiring == "switch",
        kind=f"{wired(best.part)}, {card}, for {forms}",
        seen=outcome.alive,
        total=outcome.total,
        status=best.status,
        each_mb_s=min(each, shared) if each and shared else each,
        together_mb_s=shared,
        setting=setting_text(outcome) if outcome.change else None,
    )


def wired(spec: PartSpec) -> str:
    """`switch on x8`, `passive 4x4`, or where its links start if they leave gaps."""
    lanes = [link.lanes for link in spec.links]
    if spec.wiring == "switch":
        return f"switch on {segments_text(lanes)}"
    starts = [link.at for link in spec.links]
    packed = [sum(lanes[:number]) for number in range(len(lanes))]
    where = "" if starts == packed else f" at lanes {' '.join(map(str, starts))}"
    return f"passive {segments_text(lanes)}{where}"


# --- every part of a build ------------------------------------------------------------------------

ANYONE = 0xE000
"""First of the characters that stand for parts which differ only in name; no id holds them."""


Load = Mapping[str, tuple[tuple[Part, str], ...]]
"""Part -> what the plan puts on it, each with its receptacle."""


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
    for part, names in alike(build, {**machine.part, **load}):
        question = asked(build, machine, part, load)
        if part.id not in machine.part:
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
    here = as_today(build, None).part
    load: dict[str, list[tuple[Part, str]]] = {}
    for seat in plan.seats if plan else ():
        part, receptacle = build.part[seat.part], build.receptacle[seat.receptacle]
        leads = part.spec.part_class == "cable" or part.companion_of
        if not (receptacle.on_board or leads or part.id in here):
            load.setdefault(receptacle.owner, []).append((without_wishes(part), receptacle.id))
    return {name: tuple(with_what_is_on(load, name)) for name in load}


def with_what_is_on(
    load: Mapping[str, list[tuple[Part, str]]], name: str
) -> Iterator[tuple[Part, str]]:
    """Everything on a part, however deep."""
    for part, receptacle in load.get(name, ()):
        yield part, receptacle
        yield from with_what_is_on(load, part.id)


def alike(build: Problem, apart: Mapping[str, object]) -> list[tuple[Part, tuple[str, ...]]]:
    """Parts without their wishes, those that differ only in name together; `apart` names others."""
    groups: list[list[Part]] = []
    for part in build.parts:
        alone = part.id in apart or part.companion_of or part.spec.extra_plugs
        same = () if alone else (group for group in groups if is_like(group[0], part, apart))
        group = next(iter(same), None)
        if group is None:
            groups.append([part])
        else:
            group.append(part)
    return [
        (
            parts[0] if len(parts) == 1 else replace(parts[0], id=chr(ANYONE + number)),
            tuple(part.id for part in parts),
        )
        for number, parts in enumerate(groups)
    ]


def is_like(one: Part, other: Part, apart: Mapping[str, object]) -> bool:
    """Whether two parts differ only in their name, and in wishes that do not count here."""
    if one.spec.id != other.spec.id or one.id in apart:
        return False
    return (one.spec, *said_of(one)) == (other.spec, *said_of(other))


def asked(build: Problem, machine: Problem, part: Part, load: Load) -> Question:
    """Where a part could be, taken out with what sits on it today."""
    if part.id not in machine.part:
        return held_to(machine, without_wishes(part), load.get(part.id, ()), None)
    out = taken_out(machine, build, part.id)
    return held_to(out.machine, out.part, out.drives, None, machine.today.get(part.id))


def in_empty_machines(build: Problem, told: PartVerdicts) -> PartVerdicts | None:
    """What is in the way taken out: the receptacles that today's parts keep a part from."""
    blocked = {
        verdict.receptacle.id
        for verdict in told.verdicts
        if verdict.receptacle.on_board and any(reason.blockers for reason in verdict.reasons)
    }
    if not blocked:
        return None
    was = told.question
    held = [(was.problem.part[one], receptacle) for one, receptacle in was.drives.items()]
    empty = as_today(replace(build, today={}), None)
    question = held_to(empty, was.part, held, None)
    question = replace(question, receptacles=tuple(s for s in question.receptacles if s in blocked))
    return PartVerdicts(question, verdicts(model_of(question)), told.names)


def in_planned_carriers(build: Problem, plan: Plan) -> Iterator[PartVerdicts]:
    """
    Each part in the sockets of parts that sit in no machine today.

    Those are taken to be where the plan has them; all else is as it is today.
    """
    machine, receptacles = with_carriers(build, plan)
    load = planned_load(build, plan)
    parts = alike(build, {**machine.part, **load}) if receptacles else []
    everyone = with_all_that_fit(machine, receptacles, [part for part, _ in parts])
    model: LayoutModel | None = None
    for part, names in parts:
        question = asked(build, machine, part, load)
        mine = {part.body, *(whole(build, one) for one in question.drives)}
        others = [one for one in receptacles if whole(build, one.owner) not in mine]
        tried = tuple(receptacle.id for receptacle in others if plugs_in(part, receptacle))
        found = [no_form(build, part, one) for one in others if one.id not in tried]
        question = replace(question, problem=everyone, receptacles=tried)
        if tried:
            model = model.asking(question) if model else model_of(question)
            found += verdicts(model)
        yield PartVerdicts(question, tuple(found), names)


def with_carriers(build: Problem, plan: Plan) -> tuple[Problem, list[Receptacle]]:
    """Today's machines with what holds others where the plan has it, and the sockets of that."""
    here = as_today(build, None).part
    planned = {seat.part: seat.receptacle for seat in plan.seats if seat.part not in here}
    receptacles = [one for one in build.receptacles if not one.on_board and one.owner in planned]
    holding = {whole(build, receptacle.owner) for receptacle in receptacles}
    owners = {name: one for name, one in planned.items() if whole(build, name) in holding}
    return as_today(replace(build, today={**build.today, **owners}), None), receptacles


def whole(build: Problem, name: str) -> str:
    """The part that a plug belongs to; a part itself."""
    return build.part[name].body


def with_all_that_fit(
    machine: Problem, receptacles: list[Receptacle], parts: list[Part]
) -> Problem:
    """The same, with every part at hand that could go into one of these sockets."""
    late = [
        without_wishes(part)
        for part in parts
        if part.id not in machine.part and any(plugs_in(part, one) for one in receptacles)
    ]
    return with_parts(machine, (*machine.parts, *late))


def plugs_in(part: Part, receptacle: Receptacle) -> bool:
    """Whether the receptacle takes the part's plug."""
    return plug_fits(part.spec.plug.form, receptacle.spec.form)


def no_form(build: Problem, part: Part, receptacle: Receptacle) -> Verdict:
    """A plug of another form."""
    against = against_unheld(Unheld(build, part, receptacle, frozenset()))
    return Verdict(receptacle, Word.NO, None, reasons=tuple(map(Objection, against)))
