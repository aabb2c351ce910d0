"""The best plan there is, and if not everything required fits, the best plan of the most of it."""

from __future__ import annotations

from collections import defaultdict
from collections.abc import Collection, Iterable, Iterator, Mapping, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace

from slotfit.answers.check.against import Objection, by_typical, reason_of, told_once
from slotfit.answers.place.decided import Beside
from slotfit.answers.place.plan import best_plan, refereed, seats, state_all
from slotfit.engine.seats import in_one_receptacle
from slotfit.listing import listed, natural
from slotfit.model.clause import AtMost, Clause, arrangement, atoms_of, holds
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import No, stated
from slotfit.model.seat import Seat, Seating
from slotfit.rule import Unheld
from slotfit.rulebook import against_unheld
from slotfit.solve.engine import Clock
from slotfit.solve.place import place

Clauses = defaultdict[str, list[Clause]]
"""Atom -> the clauses that speak of it."""

FEW = 3
"""So many receptacles are named; of more it is said that it is all of them."""


@dataclass(frozen=True, slots=True)
class MissingPart:
    """A part without a seat, and the nearest reason against it."""

    item: str
    rule: str
    """Empty: no rule forbids it; a plan with it was not found in time."""
    nearest: str
    """The receptacle that comes nearest; empty: it is the same everywhere."""
    obstacle: str
    """A clause that fits after "because", the receptacle left out."""
    cites: tuple[str, ...] = ()
    """The facts that it rests on, such as `chassis.sizes`."""
    of_a_plug: bool = False
    """It is that another plug of the part has no seat."""

    @property
    def why(self) -> str:
        """The obstacle, with the receptacle in front."""
        return f"{self.nearest}: {self.obstacle}" if self.nearest else self.obstacle


def missing(
    part: str, no: No | None, nearest: str, obstacle: str, *, of_a_plug: bool = False
) -> MissingPart:
    """The part with what a rule says against it."""
    cites = tuple(f"{fact.role}.{fact.path}" for fact in no.facts) if no else ()
    return MissingPart(part, no.rule if no else "", nearest, obstacle, cites, of_a_plug)


def missing_beside(placed: Placed, plan: Plan, parts: Iterable[str]) -> dict[str, MissingPart]:
    """Why each of these parts has no seat beside a plan."""
    chosen, about = atoms_chosen(plan), by_atom(placed.clauses)
    return {part: missing_part(placed, plan, chosen, about, part) for part in parts}


def atoms_chosen(plan: Plan) -> set[str]:
    """What the plan chooses, as clauses speak of it."""
    ways = (arrangement(group, way) for group, way in plan.arrangements.items())
    return {*(seat.key for seat in plan.seats), *ways}


def by_atom(clauses: Iterable[Clause]) -> Clauses:
    """The clauses by what they speak of."""
    about: Clauses = defaultdict(list)
    for clause in clauses:
        for atom in dict.fromkeys(atoms_of(clause)):
            about[atom].append(clause)
    return about


def missing_part(
    placed: Placed, plan: Plan, chosen: AbstractSet[str], about: Clauses, part: str
) -> MissingPart:
    """What the seat rules say against a part, or else what is in its way."""
    seating = placed.seating
    seats = seating.by_part.get(part, [])
    if not seats and (alike := seating.every(part)):
        stated = (clause for seat in alike for clause in about[seat.key])
        shared = next((one.reason for one in stated if in_one_receptacle(seating, one)), None)
        homes = {seat.receptacle for seat in alike}
        return missing(part, shared, "", all_taken(dict.fromkeys(sorted(homes, key=natural), ())))
    if not seats:
        return refused_part(placed.problem, seating, part)
    best: dict[str, list[Objection]] = {}
    for seat in seats:
        if not seat.parents or not chosen.isdisjoint(seat.parents):
            with_it = {*chosen, seat.key}
            found = told_once(reasons_against(placed, seat, plan, with_it, about[seat.key]))
            best[seat.receptacle] = min(best.get(seat.receptacle, found), found, key=len)
    if not best:
        owners = {placed.problem.receptacle[seat.receptacle].owner for seat in seats}
        return without_carrier(placed.problem, part, owners)
    return nearest(placed, plan, part, {one: best[one] for one in sorted(best, key=natural)})


def reasons_against(
    placed: Placed,
    seat: Seat,
    plan: Plan,
    with_it: AbstractSet[str],
    clauses: Iterable[Clause],
) -> list[Objection]:
    """Clauses that would not hold if a seat were taken as well, and whose seats they bind."""
    found: list[Objection] = []
    for clause in clauses:
        if not holds(clause, with_it):
            atoms = atoms_of(clause)
            there = tuple(s.part for s in plan.seats if s.key in atoms and s.part != seat.part)
            typical = by_typical(placed.problem, placed.seating, clause, with_it)
            here = clause.reason.text + typical if typical else ""
            found.append(reason_of(placed.seating, clause, there, here))
    return found


def nearest(
    placed: Placed, plan: Plan, part: str, best: Mapping[str, list[Objection]]
) -> MissingPart:
    """
    The receptacle with the fewest reasons; that all of them are taken is told as one thing.

    What speaks against a receptacle whatever else sits where goes before who has it: were it free,
    nothing would be gained.
    """
    alone = refused_alone(placed, part)
    hard = {one: [no for no in found if no.no in alone] for one, found in best.items()}
    could = {one: found for one, found in best.items() if not hard[one]}
    if not could:
        return first_of(part, hard)
    free = {one: found for one, found in could.items() if not any(map(is_taken, found))}
    if not free:
        holds_it = [one for found in could.values() for one in found if is_taken(one)]
        first = next((one for one in holds_it if one.one_receptacle), holds_it[0])
        return missing(part, first.no, "", all_taken(could))
    for receptacle in (one for one in free if not free[one]):
        return missing(part, None, receptacle, undecided(placed, plan, part, receptacle))
    return first_of(part, free)


def first_of(part: str, best: Mapping[str, Sequence[Objection]]) -> MissingPart:
    """The first reason in the receptacle with the fewest."""
    receptacle = min(best, key=lambda name: (len(best[name]), natural(name)))
    first = best[receptacle][0]
    roles = {role for role, _ in first.no.names}
    return missing(part, first.no, receptacle, first.text, of_a_plug={"body", "plug"} <= roles)


def undecided(placed: Placed, plan: Plan, part: str, receptacle: str) -> str:
    """No rule forbids it there: what the plan would lose, or that time ran out."""
    if placed.status is not Status.PROVEN:
        return "nothing forbids it there; time ran out"
    seats = [one for one in placed.seating.by_part[part] if one.receptacle == receptacle]
    return f"nothing forbids it there; {Beside(placed, plan).decides(seats)}"


def refused_alone(placed: Placed, part: str) -> set[No]:
    """What speaks against some seat of the part with nothing else in the machine."""
    keys = {seat.key for seat in placed.seating.by_part.get(part, ())}
    return {
        clause.reason
        for clause in placed.clauses
        if isinstance(clause, AtMost)
        for atom, count in clause.terms
        if atom in keys and count > clause.limit
    }


def is_taken(reason: Objection) -> bool:
    """Whether it says that something is there already."""
    return reason.one_receptacle or reason.bodies


def all_taken(best: Mapping[str, Sequence[Objection]]) -> str:
    """`slot1 (nic) and slot3 (hba) are taken`; many are not named; what stands there besides."""
    if len(best) > FEW:
        text = f"no suitable slot is free ({len(best)} checked)"
    else:
        held = {
            name: dict.fromkeys(who for one in found if is_taken(one) for who in one.blockers)
            for name, found in best.items()
        }
        named = [f"{one} ({', '.join(who)})" if who else one for one, who in held.items()]
        verb = "are" if len(best) > 1 else "is"
        text = f"no suitable slot is free: {listed(named)} {verb} taken or covered"
    besides = [{one.text for one in found if not is_taken(one)} for found in best.values()]
    common = sorted(set.intersection(*besides))
    return text + (f", and besides, {common[0]}" if common else "")


def refused_part(problem: Problem, seating: Seating, part: str) -> MissingPart:
    """Why no receptacle takes a part: what is said of all of them, or of the nearest."""
    refused = [one for one in seating.refusals if one.seat.part == part]
    told = [one for one in refused if not any(no.is_about_forms for no in one.objections)]
    if not told:
        form = problem.part[part].spec.plug.form
        misfit = next((no for one in refused for no in one.objections if no.is_about_forms), None)
        return missing(part, misfit, "", f"no receptacle takes a plug of form {form}")
    said: defaultdict[No, set[str]] = defaultdict(set)
    for one in told:
        for objection in one.objections:
            said[objection].add(one.seat.key)
    for reason, keys in said.items():
        if len(keys) == len(told):
            receptacle = told[0].seat.receptacle if len(told) == 1 else ""
            return missing(part, reason, receptacle, reason.text)
    closest = min(told, key=lambda one: (len(one.objections), natural(one.seat.receptacle)))
    first = closest.objections[0]
    return missing(part, first, closest.seat.receptacle, first.text)


@dataclass(frozen=True, slots=True)
class MostPlaced:
    """As much of a build as fits."""

    placed: Placed
    """Of what has a seat anywhere; what the plan leaves out of it is optional there."""
    missing: tuple[MissingPart, ...]
    """Required parts without a seat."""
    seconds: float


def place_most(problem: Problem, seconds: float) -> MostPlaced:
    """
    The best plan; if not all required parts fit, as few of them left out as can be.

    Of the plans that leave out as few, it is the best one that leaves out the same parts as the
    best one that counts optional parts next, wherever the build puts them.
    """
    clock = Clock(seconds)
    seating = seats(problem)
    missing = never_seated(problem, seating)
    rest = without(problem, missing)
    if missing:  # what rules doubt beside a part they need not doubt without it
        seating = seats(rest)
    placed = best_plan(rest, time_left(clock), seating=seating)
    if placed.status is Status.IMPOSSIBLE:
        crowded = fewest_left_out(rest, seating, time_left(clock))
        plan = crowded.plan
        if plan:
            out = [name for name in plan.left_out if rest.part[name].wish.required]
            placed = best_without(rest, seating, out, crowded, time_left(clock))
            # Who stands in the way is told of the plan that is shown.
            missing |= missing_beside(crowded, placed.plan or plan, out)
    return MostPlaced(placed, tuple(missing_bodies(problem, missing)), clock.spent)


def missing_bodies(problem: Problem, missing: Mapping[str, MissingPart]) -> Iterator[MissingPart]:
    """A part and its plugs are one; that a plug has no seat says less than why it has none."""
    for part in problem.parts:
        if part.id in missing and part.companion_of is None:
            told = [missing[name] for name in plugs_of(problem, part) if name in missing]
            first = next((one for one in told if not one.of_a_plug), told[0])
            yield replace(first, item=part.id)


def fewest_left_out(
    problem: Problem, seating: Seating, seconds: float, but: Collection[str] = ()
) -> Placed:
    """
    A best plan that leaves out as few required parts as can be, and none of `but`.

    Where leaving out others would be as good, it is the solver's choice which go: the same each
    time with the same solver. Telling them apart by name would take as long again.
    """
    loose = all_optional(problem, but)
    seating, clauses = state_all(loose, unless_in_order(seating))
    return place(loose, seating, clauses, seconds, any_of_the_best=True)


def best_without(
    problem: Problem, seating: Seating, out: Collection[str], crowded: Placed, seconds: float
) -> Placed:
    """
    The best plan without some parts, proven as far as it was proven that it must be so many.

    They stay in the build, so that whatever they could sit on is used as before.
    """
    asked = optional(problem, out, 0)
    seating, clauses = state_all(asked, unless_in_order(seating))
    never = tuple((seat.key, 1) for name in out for seat in seating.by_part.get(name, []))
    clauses = (*clauses, AtMost(stated("they are left out"), never, 0, "parts"))
    placed = place(asked, seating, clauses, seconds)
    if placed.plan and crowded.status is not Status.PROVEN:
        placed = replace(placed, status=Status.UNPROVEN)
    return refereed(placed)


def unless_in_order(seating: Seating) -> Seating | None:
    """The seats, if they are for any wishes: one in order is for its own alone."""
    return None if seating.in_order else seating


def time_left(clock: Clock) -> float:
    """Seconds that are left, never quite none."""
    return max(clock.left, 0.01)


def never_seated(problem: Problem, seating: Seating) -> dict[str, MissingPart]:
    """
    Required parts without a seat whatever else is done, and why.

    With one plug of a part the whole part goes, and with a part what could sit on it alone.
    """
    gone: dict[str, MissingPart] = {}
    left_over = seating
    while found := [
        part
        for part in problem.parts
        if part.wish.required and part.id not in gone and not left_over.every(part.id)
    ]:
        for part in found:
            gone[part.id] = never_seated_part(problem, seating, part.id)
        for part in found:
            for other in plugs_of(problem, part):
                text = f"{part.id}, a plug of it, has no seat"
                gone.setdefault(
                    other,
                    replace(gone[part.id], item=other, nearest="", obstacle=text, of_a_plug=True),
                )
        left_over = without_seats(seating, gone)
    return gone


def never_seated_part(problem: Problem, seating: Seating, part: str) -> MissingPart:
    """What refuses the part, or that all that would take it has no seat itself."""
    owners = {problem.receptacle[seat.receptacle].owner for seat in seating.every(part)}
    return (
        without_carrier(problem, part, owners) if owners else refused_part(problem, seating, part)
    )


def without_carrier(problem: Problem, part: str, owners: Collection[str]) -> MissingPart:
    """All that would take the part has no seat itself."""
    receptacles = (receptacle for receptacle in problem.receptacles if receptacle.owner in owners)
    unheld = (Unheld(problem, problem.part[part], receptacle) for receptacle in receptacles)
    against = next((no for one in unheld if one.fits for no in against_unheld(one)), None)
    return missing(part, against, "", f"what it could sit on has no seat: {listed(owners)}")


def plugs_of(problem: Problem, part: Part) -> Iterator[str]:
    """The part that a part is a plug of, and all its plugs."""
    return (one.id for one in problem.parts if part.body in (one.id, one.companion_of))


def without_seats(seating: Seating, gone: Collection[str]) -> Seating:
    """The seating as if these parts were not in the build."""

    def stays(seat: Seat) -> bool:
        return seat.part not in gone and not any(name in gone for name in seat.upstream.carriers)

    return Seating(
        tuple(seat for seat in seating.seats if stays(seat)),
        tuple(one for one in seating.refusals if stays(one.seat)),
        tuple(kind for kind in seating.in_order if kind.parts[0] not in gone),
    )


def without(problem: Problem, gone: Collection[str]) -> Problem:
    """The build as if these parts were not in it."""
    return replace(
        problem,
        parts=tuple(part for part in problem.parts if part.id not in gone),
        receptacles=tuple(
            one for one in problem.receptacles if one.on_board or one.owner not in gone
        ),
    )


def heaviest(problem: Problem) -> int:
    """More than all optional parts together weigh."""
    return 1 + sum(part.wish.weight for part in problem.parts if not part.wish.required)


def all_optional(problem: Problem, but: Collection[str] = ()) -> Problem:
    """The same build where every part `but` these may be left out, required ones last of all."""
    required = [part.id for part in problem.parts if part.wish.required and part.id not in but]
    dropped = ("optional-parts", "reserve", "spare-lanes")
    rest = tuple(stage for stage in problem.preferences if stage not in dropped)
    loose = optional(problem, required, heaviest(problem))
    return replace(loose, preferences=("optional-parts", *rest))


def optional(problem: Problem, names: Collection[str], weight: int) -> Problem:
    """The same build where these parts may be left out."""

    def may_go(part: Part) -> Part:
        update = {"required": False, "weight": weight}
        return replace(part, wish=part.wish.model_copy(update=update))

    parts = tuple(may_go(part) if part.id in names else part for part in problem.parts)
    return replace(problem, parts=parts)
