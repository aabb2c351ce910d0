"""What stands against a part in a receptacle: what its seat lacks, or what the clauses forbid."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Sequence
from collections.abc import Set as AbstractSet
from dataclasses import dataclass, replace
from itertools import islice

from slotfit.answers.check.question import (
    LayoutModel,
    SeatedParts,
    is_on,
    layouts,
    ousted,
    stands,
)
from slotfit.engine.seats import in_one_receptacle
from slotfit.model.clause import AtMost, Clause, atoms_of
from slotfit.model.problem import Problem, Receptacle
from slotfit.model.reason import No
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule, Unheld
from slotfit.rulebook import BY_ID, against_unheld


@dataclass(frozen=True, slots=True)
class Objection:
    """Why it does not work."""

    no: No
    blockers: tuple[str, ...] = ()
    """Parts that sit there today and take the room or the power."""
    here: str = ""
    """What it comes to in the layout at hand, where that says more."""
    one_receptacle: bool = False
    """It binds what could be in one receptacle."""
    bodies: bool = False
    """It binds bodies in one place of a row."""

    @property
    def text(self) -> str:
        """A clause that fits after "because"."""
        return self.here or self.no.text


def reasons(
    model: LayoutModel, receptacle: Receptacle, tried: Sequence[SeatedParts], today: SeatedParts
) -> list[Objection]:
    """
    What the seat rules object; where they do not, what the clauses forbid.

    Of several arrangements those that come nearest to working: that another one gives the
    receptacle no lanes at all is no further reason.
    """
    part = model.question.part_id
    tried = with_lanes(model, receptacle, tried)
    standing = [layout for layout in tried if layout.works(part)]
    if standing and (taken := taken_by(model, receptacle, standing[0])):
        return [taken, *once_free(model, receptacle, today)]
    against = [
        [Objection(one) for one in layout.against[part]]
        for layout in tried
        if part in layout.against
    ]
    if standing:
        against = [[*against_layout(model, layout, today)] for layout in standing]
    fewest = min(len(found) for found in against)
    told: dict[Hashable, Objection] = {}
    for found in against:
        for reason in found if len(found) == fewest else ():
            told.setdefault((reason.no, reason.here), reason)
    if not told:
        unheld = Unheld(model.problem, model.question.part, receptacle, frozenset(today.working))
        return [Objection(no) for no in islice(against_unheld(unheld), 1)]
    forms = [reason for reason in told.values() if reason.no.is_about_forms]
    return forms or told_once(told.values())


def taken_by(model: LayoutModel, receptacle: Receptacle, layout: SeatedParts) -> Objection | None:
    """What sits in the receptacle today."""
    if receptacle.id not in model.question.today.values():
        return None
    shared = (one for one in layout.broken if in_one_receptacle(model.seating, one))
    return next((forbidden(model, one, layout) for one in shared), None)


def once_free(model: LayoutModel, receptacle: Receptacle, today: SeatedParts) -> list[Objection]:
    """What stands against the part even if what sits there comes out, with all that is on it."""
    question = model.question
    holder = next(part for part, where in question.today.items() if where == receptacle.id)
    rest = {
        part: where
        for part, where in question.today.items()
        if part != holder and not is_on(model.problem, question.today, where, holder)
    }
    free = model.asking(replace(question, today=rest))
    tried = [*layouts(free, receptacle.id, today)]
    part = question.part_id
    if any(layout.works(part) and stands(layout, today) for layout in tried):
        return []
    return reasons(free, receptacle, tried, today)


def told_once(reasons: Iterable[Objection]) -> list[Objection]:
    """Who sits in a receptacle covers it too: that is one reason."""
    found = list(reasons)
    taken = {reason.blockers for reason in found if reason.one_receptacle}
    return [one for one in found if not one.bodies or one.blockers not in taken]


def with_lanes(
    model: LayoutModel, receptacle: Receptacle, tried: Sequence[SeatedParts]
) -> Sequence[SeatedParts]:
    """The layouts in which a receptacle of a board gets lanes; all of them if it never does."""
    group = model.group_at(receptacle.id, {})
    if group is None:
        return tried
    gives = {
        way.id for way in model.groups[group].arrangements if way.gives.get(receptacle.spec.id)
    }
    return [layout for layout in tried if layout.ways.get(group) in gives] or tried


def against_layout(
    model: LayoutModel, layout: SeatedParts, today: SeatedParts
) -> Iterator[Objection]:
    """What the clauses forbid, and who loses the seat they have today."""
    for clause in layout.broken:
        yield forbidden(model, clause, layout)
    for part in ousted(layout, today):
        for one in layout.against[part]:
            yield Objection(one, (part,))


def forbidden(model: LayoutModel, clause: Clause, layout: SeatedParts) -> Objection:
    """
    A clause that does not hold, and what sits there today that it speaks of.

    With how much it would be, where the clause counts watts, plugs or bays.
    """
    spoken, mine = set(atoms_of(clause)), model.asked()
    blockers = tuple(
        part for part, seat in layout.seats.items() if seat.key in spoken and part not in mine
    )
    here = ""
    if isinstance(clause, AtMost) and clause.unit == "bodies" and blockers:
        # the clause speaks of all that could be there
        here = f"its body and that of {' and '.join(blockers)} would overlap"
    elif isinstance(clause, AtMost) and clause.unit not in ("", "parts", "bodies"):
        chosen = model.atoms(layout.seats.values(), layout.ways)
        total = sum(weight for atom, weight in clause.terms if atom in chosen)
        amount = f"{total / 1000:g} W" if clause.unit == "mW" else total
        here = f"{clause.reason.text}, and this comes to {amount}"
        here += by_typical(model.problem, model.seating, clause, chosen)
    return reason_of(model.seating, clause, blockers, here)


def by_typical(problem: Problem, seating: Seating, clause: Clause, chosen: AbstractSet[str]) -> str:
    """That a sum of watts is too much only by the worst of classes; empty if it is not."""
    rule = BY_ID.get(clause.reason.rule)
    if not (isinstance(clause, AtMost) and clause.unit == "mW" and isinstance(rule, PlanRule)):
        return ""
    asked = (clause.reason.case, clause.reason.names)
    for one in rule.state(problem.typical, seating) if problem.typical is not problem else ():
        if isinstance(one, AtMost) and (one.reason.case, one.reason.names) == asked:
            total = sum(weight for atom, weight in one.terms if atom in chosen)
            if total <= one.limit:
                return f": by the worst of its class (typical {total / 1000:g} W would fit)"
    return ""


def reason_of(
    seating: Seating, clause: Clause, blockers: tuple[str, ...], here: str = ""
) -> Objection:
    """A clause that does not hold, and who is in the way."""
    bodies = isinstance(clause, AtMost) and clause.unit == "bodies"
    return Objection(clause.reason, blockers, here, in_one_receptacle(seating, clause), bodies)
