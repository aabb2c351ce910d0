"""Why a part is not in a receptacle: what forbids it, or what it would cost."""

from __future__ import annotations

from collections.abc import Collection, Iterable, Iterator
from dataclasses import dataclass, replace

from slotfit.answers.answer_word import AnswerWord, on_condition
from slotfit.answers.answer_word import answered as answer_in_words
from slotfit.answers.check.against import Objection, told_once
from slotfit.answers.check.answer import RuleReason
from slotfit.answers.check.check import rule_reason
from slotfit.answers.check.machine_asked import named, part_named
from slotfit.answers.names import gb_s, short_name, trained_text
from slotfit.answers.no_plan.case import TooManySeatsError, canonical, case_of
from slotfit.answers.no_plan.changed import with_part, with_wish
from slotfit.answers.place.answer import PlannedSeat, StageOutcome
from slotfit.answers.place.left_out import (
    all_optional,
    atoms_chosen,
    best_without,
    by_atom,
    fewest_left_out,
    missing_beside,
    reasons_against,
)
from slotfit.answers.place.of_plan import (
    chosen_ways,
    plan_shown,
    settings,
    stage_says,
    unproven_facts,
)
from slotfit.answers.place.plan import best_plan as place
from slotfit.answers.place.plan import seats
from slotfit.answers.place.receptacles import division
from slotfit.answers.why.answer import (
    SCHEMA_VERSION,
    CrowdedOut,
    OtherSetting,
    PartChange,
    StageChange,
    WhyAnswer,
    WhyMore,
    WhyPlan,
    WhyVerdict,
)
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.reason import No
from slotfit.model.seat import Seating
from slotfit.rule import Unheld
from slotfit.rulebook import against_unheld
from slotfit.solve.clash import Stated, minimal_core
from slotfit.solve.engine import Clock
from slotfit.solve.place import Progress

NOTHING_MORE = WhyMore((), (), ())
NO_CHANGE = WhyPlan((), (), ())


@dataclass(frozen=True, slots=True)
class Asked:
    """The part and the receptacle, and the build with the part pinned there."""

    problem: Problem
    part: str
    receptacle: str
    seconds: float
    """Each plan has so long to be found."""

    @property
    def pinned(self) -> Problem:
        """The build with the part required, and required there."""
        return with_wish(self.problem, self.part, pin=self.receptacle, required=True)

    @property
    def placed_there(self) -> Problem:
        """The build with the part placed there; what it moves counts as before."""
        there = {"pin": self.receptacle}
        return with_part(
            self.problem,
            self.part,
            lambda one: replace(one, wish=one.wish.model_copy(update=there), asked_of=True),
        )


def why(
    problem: Problem,
    part: str,
    receptacle: str,
    seconds: float = 60.0,
    progress: Progress | None = None,
) -> WhyAnswer:
    """
    What forbids a part a receptacle, or what it costs; each plan has `seconds` to be found.

    A receptacle may be named as on its label. Raises InputError for names that are not there.
    """
    part = part_named(part, problem)
    receptacle = named(receptacle, problem.receptacles, "RECEPTACLE").id
    asked = Asked(problem, part, receptacle, seconds)
    placed = place(problem, seconds, progress)
    plan = placed.plan
    if plan and any((seat.part, seat.receptacle) == (part, receptacle) for seat in plan.seats):
        return answered(asked, "there")
    if wished := refused(placed.seating, part, receptacle):
        return answered(asked, "forbidden", WhyMore(rule_reasons(wished), (), ()))
    if plan is None:
        unknown = placed.status is Status.UNKNOWN
        return answered(asked, "out-of-time" if unknown else "no-plan")
    forced = place(asked.placed_there, seconds, progress)
    if forced.plan:
        return priced(asked, placed, forced)
    if forced.status is Status.UNKNOWN:
        return answered(asked, "out-of-time")
    return crowding(asked, placed)


def priced(asked: Asked, placed: Placed, forced: Placed) -> WhyAnswer:
    """What it costs to have the part there; a better plan comes only of a search cut short."""
    stages = stage_changes(asked.problem, plan_of(placed), plan_of(forced))
    first = next((one for one in stages if one.decides), None)
    if first and first.after.value.value < first.before.value.value:
        return answered(asked, "out-of-time")
    changes = plan_changes(asked, placed, forced)
    return answered(asked, "costs" if first else "as-good", WhyMore((), (), stages), changes)


def crowding(asked: Asked, placed: Placed) -> WhyAnswer:
    """
    Who has no place beside the part: as few required parts as can be.

    Optional ones are left out before any of them, whatever the build prefers.
    """
    problem = asked.pinned
    seating = seats(problem)
    eased = fewest_left_out(problem, seating, asked.seconds, but=(asked.part,))
    if eased.status is Status.IMPOSSIBLE:
        against = forbidding(asked)
        status = "forbidden" if against else "out-of-time"
        return answered(asked, status, WhyMore(against, (), ()))
    if eased.status is not Status.PROVEN:
        return answered(asked, "out-of-time")
    out = [one for one in plan_of(eased).left_out if problem.part[one].wish.required]
    best = best_without(problem, seating, out, eased, asked.seconds)
    if best.plan is None:
        return answered(asked, "out-of-time")
    left = tuple(crowded_out(best, plan_of(placed), out))
    return answered(asked, "crowds-out", WhyMore((), left, ()), plan_changes(asked, placed, best))


def plan_of(placed: Placed) -> Plan:
    """The plan, or one of nothing."""
    return placed.plan or Plan()


def answered(
    asked: Asked,
    status: str,
    more: WhyMore = NOTHING_MORE,
    plan: WhyPlan = NO_CHANGE,
) -> WhyAnswer:
    """The answer, with its headline."""
    where = short_name(asked.problem.receptacle[asked.receptacle])
    word = on_condition(WORDS[status], facts=bool(plan.rests_on))
    said = headline(asked.part, where, status, more, plan.parts)
    verdict = WhyVerdict(word, status, answer_in_words(word, said, len(plan.rests_on)))
    return WhyAnswer(SCHEMA_VERSION, asked.problem.id, asked.part, where, verdict, plan, more)


def headline(
    part: str, where: str, status: str, more: WhyMore, parts: tuple[PartChange, ...]
) -> str:
    """The answer in a sentence or two."""
    if status == "costs":
        first = next(one for one in more.stages if one.decides)
        slower = "; ".join(
            f"{one.item}'s link would carry {gb_s(one.mb_s_after)} GB/s one way, not "
            f"{gb_s(one.mb_s_before)}"
            for one in parts
            if one.goes_to and one.mb_s_after < one.mb_s_before
        )
        price = f"{first.after.says} ({first.stage}; as it is, {first.before.says})"
        text = f"{part} could be in {where}, at a price: {price}."
        return f"{text} {slower}." if slower else text
    return HEADLINES[status].format(
        item=part, where=where, left=" and ".join(map(crowded_out_text, more.left))
    )


WORDS: dict[str, AnswerWord] = {
    "there": "yes",
    "costs": "yes",
    "as-good": "yes",
    "forbidden": "no",
    "crowds-out": "no",
    "no-plan": "no",
    "out-of-time": "out of time",
}

HEADLINES = {
    "there": "the best plan puts {item} into {where}.",
    "forbidden": "{item} cannot be in {where}.",
    "crowds-out": "with {item} in {where} there is no place for {left}.",
    "as-good": "{item} could be in {where} just as well: no preference speaks against it. Of equal "
    "plans always the same one is taken; write a pin if you prefer this one.",
    "no-plan": "there is no plan to begin with; `slotfit place` says why.",
    "out-of-time": "this could not be told; give it more --seconds.",
}
"""How it comes out -> the answer in a sentence or two."""


def crowded_out_text(left: CrowdedOut) -> str:
    """`scans (and the 4 parts on it)`."""
    number = len(left.with_it)
    on = f" (and the {number} parts on it)" if number > 1 else " (and the part on it)"
    return left.item + (on if number else "")


def rule_reasons(objections: Iterable[Objection]) -> tuple[RuleReason, ...]:
    """Reasons with the parts that they speak of."""
    return tuple(rule_reason(one.no, one.text, "taken by ", one.blockers) for one in objections)


def stage_changes(problem: Problem, plan: Plan, other: Plan) -> tuple[StageChange, ...]:
    """Every preference, in order; the first that differs decides."""
    found: list[StageChange] = []
    for was, now in zip(plan.stages, other.stages, strict=False):
        decides = was.value != now.value and not any(one.decides for one in found)
        before = StageOutcome(was, stage_says(problem, was))
        after = StageOutcome(now, stage_says(problem, now))
        found.append(StageChange(was.stage, before, after, decides))
    return tuple(found)


def plan_changes(asked: Asked, placed: Placed, other: Placed) -> WhyPlan:
    """What differs from what `place` says, the part asked about first."""
    before, after = shown(placed), shown(other)
    parts = sorted((one.id for one in asked.problem.parts), key=lambda name: name != asked.part)
    found = (part_change(asked.problem, name, before.get(name), after.get(name)) for name in parts)
    known = {one.statement for one in unproven_facts(plan_of(placed))}
    new = (one for one in unproven_facts(plan_of(other)) if one.statement not in known)
    settings_then = tuple(setting_changes(placed, other))
    return WhyPlan(tuple(filter(None, found)), settings_then, tuple(new))


def shown(placed: Placed) -> dict[str, PlannedSeat]:
    """Part -> its seat as `place` shows it."""
    return {seat.item: seat for seat in plan_shown(placed.problem, plan_of(placed)).seats}


def part_change(
    problem: Problem, part: str, old: PlannedSeat | None, new: PlannedSeat | None
) -> PartChange | None:
    """A part before and after; None if it sits and trains as before."""
    if (old and (old.site, old.links)) == (new and (new.site, new.links)):
        return None
    return PartChange(
        part,
        short_name(problem.receptacle[old.site]) if old else None,
        short_name(problem.receptacle[new.site]) if new else None,
        trained_text(old) if old else "no place",
        trained_text(new) if new else "no place",
        (old.carries_mb_s or 0) if old else 0,
        (new.carries_mb_s or 0) if new else 0,
    )


def setting_changes(placed: Placed, other: Placed) -> Iterator[OtherSetting]:
    """Lane groups that somebody has to set otherwise, as far as anything hangs on it then."""
    now, then = (dict(chosen_ways(one.problem, plan_of(one))) for one in (placed, other))
    matter = {(one.machine, one.lane_group) for one in settings(other.problem, plan_of(other))}
    for key, was in now.items():
        becomes = then[key]
        someone = {was.chosen_by, becomes.chosen_by} - {"presence", "fixed"}
        if was.id != becomes.id and someone and (key.machine, key.group) in matter:
            texts = (division(one.problem, plan_of(one), key).text for one in (placed, other))
            yield OtherSetting(str(key), *texts)


def refused(seating: Seating, part: str, receptacle: str) -> tuple[Objection, ...]:
    """What the seat rules object to a part in a receptacle; none if there is a seat."""
    if any(seat.receptacle == receptacle for seat in seating.every(part)):
        return ()
    against = [
        refusal.objections
        for refusal in seating.refusals
        if (refusal.seat.part, refusal.seat.receptacle)
        == (seating.first.get(part, part), receptacle)
    ]
    fewest = min((len(found) for found in against), default=0)
    told = {one: Objection(one) for found in against if len(found) == fewest for one in found}
    return tuple(told.values())


def crowded_out(best: Placed, as_it_is: Plan, out: Collection[str]) -> Iterator[CrowdedOut]:
    """
    The parts `out`, and what is against the nearest seat of each.

    What sits on such a part, through whatever it sits on, goes out with it; its plugs are it.
    """
    problem = best.problem
    under = {seat.part: seat.upstream.carriers for seat in as_it_is.seats}
    base = {
        name: next((one for one in reversed(under.get(name, ())) if one in out), name)
        for name in out
    }
    alone = [name for name in out if base[name] == name and problem.part[name].body == name]
    for part in alone:
        on_it = (name for name in out if problem.part[base[name]].body == part != name)
        with_it = tuple(name for name in on_it if problem.part[name].body == name)
        yield CrowdedOut(part, nearest(best, part), with_it)


def nearest(best: Placed, part: str) -> tuple[RuleReason, ...]:
    """What rules have against the seat that they have the least against, beside the best plan."""
    plan, about = plan_of(best), by_atom(one for one in best.clauses if one.reason.rule)
    chosen = atoms_chosen(plan)
    against = [
        told_once(reasons_against(best, one, plan, {*chosen, one.key}, about[one.key]))
        for one in best.seating.by_part.get(part, [])
    ]
    if least := min(against, key=len, default=[]):
        return rule_reasons(least)
    told = missing_beside(best, plan, [part])[part]
    return (RuleReason(told.rule, told.why, ()),)


def forbidding(asked: Asked) -> tuple[RuleReason, ...]:
    """
    What forbids it even with nothing in the machine but what carries it.

    A set of reasons that cannot hold together, none of them idle; that the part is to be there is
    what was asked. None if time ran out.
    """
    alone = all_optional(asked.pinned, but=(asked.part,))
    try:
        case = case_of(canonical(alone))
    except TooManySeatsError:
        return (TOO_LARGE,)
    given = [n for n, one in case.reasons.items() if one.required or is_the_pin(one.no, asked)]
    core = minimal_core(taken_as_given(case.stated, given), (), Clock(asked.seconds))
    told = [case.reasons[name].no for name in (core.names if core else ())]
    if core and not told:  # it is not even held to the receptacle
        receptacle = asked.problem.receptacle[asked.receptacle]
        told = [*against_unheld(Unheld(alone, alone.part[asked.part], receptacle))]
    return tuple(rule_reason(no, no.text) for no in told)


TOO_LARGE = RuleReason(
    "",
    "no plan has it there, whatever else is left out; the build is too large to say which rules "
    "stand against it",
    (),
)


def taken_as_given(stated: Stated, names: Collection[str]) -> Stated:
    """The same with these reasons beyond question."""
    hard = [clause for name in names for clause in stated.soft[name]]
    soft = {name: clauses for name, clauses in stated.soft.items() if name not in names}
    return Stated(stated.atoms, (*stated.hard, *hard), soft)


def is_the_pin(no: No, asked: Asked) -> bool:
    """Whether it only says that the part is to be where it was asked about."""
    return no.cites("wish", "pin") and ("part", asked.part) in no.names
