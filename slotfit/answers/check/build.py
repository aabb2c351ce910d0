"""Every part of a build asked about in every receptacle, as `check` asks about one."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from dataclasses import replace

from slotfit.answers.check.answer import AllTold, Reason, Told, Verdict, Word
from slotfit.answers.check.bench import Bench
from slotfit.answers.check.machine_asked import as_today, held_to, taken_out, without_wishes
from slotfit.answers.check.question import Question
from slotfit.answers.check.verdict import verdicts
from slotfit.load.build_file import receptacles_on
from slotfit.model.plan import Plan
from slotfit.model.problem import Part, Problem, Receptacle
from slotfit.rule import Unheld
from slotfit.rulebook import HARDWARE_PLAN_RULES, HARDWARE_SEAT_RULES, against_unheld
from slotfit.standards.forms import plug_fits

ANYONE = 0xE000
"""First of the characters that stand for parts which differ only in name; no id holds them."""


Load = Mapping[str, tuple[tuple[Part, str], ...]]
"""Part -> what the plan puts on it, each with its receptacle."""


def everything(build: Problem, plan: Plan | None) -> AllTold:
    """Every part in every receptacle that is there today or that the plan brings in."""
    today = tuple(beside_today(build, plan))
    carriers = tuple(in_planned_carriers(build, plan)) if plan else ()
    emptied = (in_empty_machines(build, told) for told in today)
    return AllTold(today, carriers, tuple(told for told in emptied if told))


def beside_today(build: Problem, plan: Plan | None = None) -> Iterator[Told]:
    """
    Each part beside what sits in the machines today.

    The verdicts are those of `slotfit check PART BUILD`: receptacles of the boards, and of what
    sits in the machines today. A part that is in no machine comes with what the plan puts on it.
    """
    machine, load = as_today(build, None), planned_load(build, plan)
    bench: Bench | None = None
    for part, names in alike(build, {**machine.part, **load}):
        question = asked(build, machine, part, load)
        if part.id not in machine.part:
            yield Told(question, verdicts(new_bench(question)), names)
            continue
        # The same parts are at hand whichever of them is taken out: one bench serves all.
        question = question._replace(problem=machine)
        bench = bench.asking(question) if bench else new_bench(question)
        yield Told(question, verdicts(bench), names)


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
    kept, same = one.wish, other.wish
    return (one.spec, kept.demand, kept.guest) == (other.spec, same.demand, same.guest)


def asked(build: Problem, machine: Problem, part: Part, load: Load) -> Question:
    """Where a part could be, taken out with what sits on it today."""
    if part.id not in machine.part:
        return held_to(machine, without_wishes(part), load.get(part.id, ()), None)
    out = taken_out(machine, build, part.id)
    return held_to(out.machine, out.part, out.drives, None, machine.today.get(part.id))


def new_bench(question: Question) -> Bench:
    """The rules' seats and clauses for a question."""
    return Bench(question, HARDWARE_SEAT_RULES, HARDWARE_PLAN_RULES)


def in_empty_machines(build: Problem, told: Told) -> Told | None:
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
    receptacles = tuple(receptacle for receptacle in question.receptacles if receptacle in blocked)
    question = question._replace(receptacles=receptacles)
    return Told(question, verdicts(new_bench(question)), told.names)


def in_planned_carriers(build: Problem, plan: Plan) -> Iterator[Told]:
    """
    Each part in the sockets of parts that sit in no machine today.

    Those are taken to be where the plan has them; all else is as it is today.
    """
    machine, receptacles = with_carriers(build, plan)
    load = planned_load(build, plan)
    parts = alike(build, {**machine.part, **load}) if receptacles else []
    everyone = with_all_that_fit(machine, receptacles, [part for part, _ in parts])
    bench: Bench | None = None
    for part, names in parts:
        question = asked(build, machine, part, load)
        mine = {part.body, *(whole(build, one) for one in question.drives)}
        others = [one for one in receptacles if whole(build, one.owner) not in mine]
        tried = tuple(receptacle.id for receptacle in others if plugs_in(part, receptacle))
        found = [no_form(build, part, one) for one in others if one.id not in tried]
        question = question._replace(problem=everyone, receptacles=tried)
        if tried:
            bench = bench.asking(question) if bench else new_bench(question)
            found += verdicts(bench)
        yield Told(question, tuple(found), names)


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
    own = tuple(receptacle for part in late for receptacle in receptacles_on(part))
    return replace(machine, parts=(*machine.parts, *late), receptacles=(*machine.receptacles, *own))


def plugs_in(part: Part, receptacle: Receptacle) -> bool:
    """Whether the receptacle takes the part's plug."""
    return plug_fits(part.spec.plug.form, receptacle.spec.form)


def no_form(build: Problem, part: Part, receptacle: Receptacle) -> Verdict:
    """A plug of another form."""
    against = against_unheld(Unheld(build, part, receptacle, frozenset()))
    return Verdict(receptacle, Word.NO, None, reasons=tuple(map(Reason, against)))
