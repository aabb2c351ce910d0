"""Why a part is not in a receptacle: what forbids it, or what it would cost."""

from __future__ import annotations

from collections.abc import Iterable, Iterator
from dataclasses import replace
from typing import Protocol

from slotfit.answers.check.against import Objection
from slotfit.answers.check.answer import RuleReason
from slotfit.answers.check.check import rule_reason
from slotfit.answers.check.machine_asked import named, part_named
from slotfit.answers.names import gb_s, link_text, short_name
from slotfit.answers.place.answer import StageOutcome
from slotfit.answers.place.of_plan import stage_says
from slotfit.answers.place.plan import Progress
from slotfit.answers.place.plan import best_plan as place
from slotfit.answers.why.answer import (
    SCHEMA_VERSION,
    CrowdedOut,
    PartChange,
    StageChange,
    WhyAnswer,
    WhyMore,
    WhyPlan,
    WhyVerdict,
)
from slotfit.engine.seats import is_structure
from slotfit.hardware.flow import capacity
from slotfit.model.clause import Clause, arrangement, atoms_of, holds
from slotfit.model.plan import Plan, Status
from slotfit.model.problem import Part, Problem
from slotfit.model.seat import Seat, Seating
from slotfit.rule import Unheld
from slotfit.rulebook import against_unheld


class SeatedProblem(Protocol):
    """A problem with its seats and clauses."""

    @property
    def problem(self) -> Problem: ...
    @property
    def seating(self) -> Seating: ...
    @property
    def clauses(self) -> tuple[Clause, ...]: ...


NOTHING_MORE = WhyMore((), (), ())


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
    placed = place(problem, seconds, progress)
    plan = placed.plan
    if plan and any((seat.part, seat.receptacle) == (part, receptacle) for seat in plan.seats):
        return answered(problem, part, receptacle, "there")
    if wished := refused(placed.seating, part, receptacle):
        return answered(
            problem, part, receptacle, "forbidden", WhyMore(rule_reasons(wished), (), ())
        )
    if plan is None:
        unknown = placed.status is Status.UNKNOWN
        return answered(problem, part, receptacle, "out-of-time" if unknown else "no-plan")
    forced = place(pinned(problem, part, receptacle), seconds, progress)
    if forced.plan:
        stages = stage_changes(problem, plan, forced.plan)
        status = "costs" if any(one.decides for one in stages) else "as-good"
        parts = part_changes(problem, plan, forced.plan, part)
        return answered(problem, part, receptacle, status, WhyMore((), (), stages), parts)
    if forced.status is Status.UNKNOWN:
        return answered(problem, part, receptacle, "out-of-time")
    eased = place(pinned(problem, part, receptacle, others_must=False), seconds, progress)
    if eased.plan is None:
        against = rule_reasons(stands_against(eased, part, receptacle))
        return answered(problem, part, receptacle, "forbidden", WhyMore(against, (), ()))
    left = tuple(crowded_out(eased, eased.plan, plan))
    parts = part_changes(problem, plan, eased.plan, part)
    return answered(problem, part, receptacle, "crowds-out", WhyMore((), left, ()), parts)


def answered(
    problem: Problem,
    part: str,
    receptacle: str,
    status: str,
    more: WhyMore = NOTHING_MORE,
    parts: tuple[PartChange, ...] = (),
) -> WhyAnswer:
    """The answer, with its headline."""
    where = short_name(problem.receptacle[receptacle])
    verdict = WhyVerdict(status, headline(part, where, status, more, parts))
    return WhyAnswer(SCHEMA_VERSION, problem.id, part, where, verdict, WhyPlan(parts), more)


def headline(
    part: str, where: str, status: str, more: WhyMore, parts: tuple[PartChange, ...]
) -> str:
    """The answer in a sentence or two."""
    if status == "costs":
        first = next(one for one in more.stages if one.decides)
        slower = "; ".join(
            f"{one.item} would drop from {gb_s(one.mb_s_before)} to {gb_s(one.mb_s_after)} GB/s"
            for one in parts
            if one.goes_to and one.mb_s_after < one.mb_s_before
        )
        price = f"{first.after.says} ({first.stage}; as it is, {first.before.says})"
        text = f"{part} could be in {where}, at a price: {price}."
        return f"{text} {slower}." if slower else text
    return HEADLINES[status].format(
        item=part, where=where, left=" and ".join(map(crowded_out_text, more.left))
    )


HEADLINES = {
    "there": "It is there: the best plan puts {item} into {where}.",
    "forbidden": "{item} cannot be in {where}.",
    "crowds-out": "With {item} in {where} there is no place for {left}.",
    "as-good": "{item} could be in {where} just as well: no preference speaks against it. Of equal "
    "plans always the same one is taken; write a pin if you prefer this one.",
    "no-plan": "There is no plan to begin with; `slotfit place` says why.",
    "out-of-time": "Time ran out before this could be told; give it more --seconds.",
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


def part_changes(problem: Problem, plan: Plan, forced: Plan, first: str) -> tuple[PartChange, ...]:
    """Parts whose seat or links differ, the first one first."""
    before = {seat.part: seat for seat in plan.seats}
    after = {seat.part: seat for seat in forced.seats}
    found = []
    for part in sorted((one.id for one in problem.parts), key=lambda name: name != first):
        old, new = before.get(part), after.get(part)
        if (old and (old.receptacle, old.links)) != (new and (new.receptacle, new.links)):
            found.append(
                PartChange(
                    part,
                    short_name(problem.receptacle[old.receptacle]) if old else None,
                    short_name(problem.receptacle[new.receptacle]) if new else None,
                    links_text(old),
                    links_text(new),
                    capacity(old) if old else 0,
                    capacity(new) if new else 0,
                )
            )
    return tuple(found)


def links_text(seat: Seat | None) -> str:
    """`8 GT/s x8`, `2 of 4 links: 16 GT/s x4`, `no place`."""
    if seat is None:
        return "no place"
    alive = [link for link in seat.links if link.lanes]
    if not seat.links:
        return "no lanes"
    wired = all(link.to for link in seat.links)
    texts = dict.fromkeys(
        f"x{link.lanes}" if link.to else link_text(link.bus, link.generation, link.lanes)
        for link in alive
    )
    said = ", ".join(texts) or "dark"
    if len(seat.links) == 1:
        return said
    return f"{len(alive)} of {len(seat.links)} {'sockets' if wired else 'links'}: {said}"


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


def crowded_out(placed: SeatedProblem, plan: Plan, as_it_is: Plan) -> Iterator[CrowdedOut]:
    """
    Parts that `plan` leaves out and `as_it_is` does not, and what is against the nearest seat.

    What sits on such a part goes out with it.
    """
    out = [name for name in plan.left_out if name not in as_it_is.left_out]
    on = {
        seat.part: placed.problem.receptacle[seat.receptacle].owner
        for seat in as_it_is.seats
        if placed.problem.receptacle[seat.receptacle].owner in out
    }
    chosen = {seat.key for seat in plan.seats}
    chosen |= {arrangement(group, way) for group, way in plan.arrangements.items()}
    for part in out:
        if part in on:
            continue
        against = [
            tuple(against_seat(placed, seat, plan, chosen))
            for seat in placed.seating.by_part.get(part, [])
        ]
        with_it = tuple(name for name, owner in on.items() if owner == part)
        nearest = min(against, key=len) if against else ()
        yield CrowdedOut(part, rule_reasons(nearest), with_it)


def stands_against(placed: SeatedProblem, part: str, receptacle: str) -> tuple[Objection, ...]:
    """What forbids a part in a receptacle even with nothing in the machine but what carries it."""
    nothing = Plan()
    seats = [seat for seat in placed.seating.by_part.get(part, []) if seat.receptacle == receptacle]
    if not seats and not placed.problem.receptacle[receptacle].on_board:
        unheld = Unheld(
            placed.problem, placed.problem.part[part], placed.problem.receptacle[receptacle]
        )
        return tuple(Objection(no) for no in against_unheld(unheld))
    stacks = [(seat, below) for seat in seats for below in chains(placed.seating, seat)]
    against = [tuple(against_seat(placed, seat, nothing, below)) for seat, below in stacks]
    if against and all(against):
        return min(against, key=len)
    # Where nothing is against the part itself, something is against what carries it.
    beneath = [
        tuple(
            reason
            for key in sorted(below)
            for reason in against_seat(placed, placed.seating.by_key[key], nothing, below)
        )
        for _, below in stacks
    ]
    return min(beneath, key=len) if beneath else ()


def chains(seating: Seating, seat: Seat) -> Iterator[set[str]]:
    """What a seat rests on, down to the board: the keys of one seat a carrier."""
    for key in seat.parents:
        for below in chains(seating, seating.by_key[key]):
            yield {key, *below}
    if not seat.parents:
        yield set()


def against_seat(
    placed: SeatedProblem, seat: Seat, plan: Plan, chosen: set[str]
) -> Iterator[Objection]:
    """
    Clauses that would not hold if a seat were taken as well.

    An arrangement chosen and a carrier placed follow from other choices: they are no reason.
    """
    with_it = chosen | {seat.key}
    for clause in placed.clauses:
        atoms = atoms_of(clause)
        follows = seat.key not in atoms or is_structure(placed.seating, clause)
        if not follows and not holds(clause, with_it):
            others = tuple(s.part for s in plan.seats if s.key in atoms and s.part != seat.part)
            yield Objection(clause.reason, others)


def pinned(problem: Problem, part: str, receptacle: str, *, others_must: bool = True) -> Problem:
    """The same problem with the part in the receptacle and, if so asked, no other part required."""

    def wished(one: Part) -> Part:
        changed: dict[str, object] = {"required": False, "weight": 1}
        if one.id == part:
            changed = {"pin": receptacle, "required": True}
        elif others_must:
            return one
        return replace(one, wish=one.wish.model_copy(update=changed))

    return replace(problem, parts=tuple(map(wished, problem.parts)))
