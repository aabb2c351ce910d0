"""Why a part does not work in a receptacle: every reason, each once."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.check.answer import Reason
from slotfit.check.bench import Bench, Layout, ousted
from slotfit.model.clause import AtMost, Clause, atoms_of
from slotfit.model.problem import Item, Site
from slotfit.standards.forms import fit_of

TAKEN, OVERLAP = "FIT003", "FIT004"
"""A receptacle takes one part; bodies overlap. Who sits in it also overlaps: that is one reason."""

OTHER_FORM = "FIT001"
"""A plug of another form: nothing else is worth a word then."""


def reasons(bench: Bench, site: Site, tried: Sequence[Layout], today: Layout) -> Iterator[Reason]:
    """
    What the seat rules object; where they do not, what the clauses forbid.

    Of several arrangements those that come nearest to working: that another one gives the
    receptacle no lanes at all is no further reason.
    """
    part = bench.question.part
    tried = with_lanes(bench, site, tried)
    standing = [layout for layout in tried if part in layout.seats]
    against = [[*against_seat(bench, layout)] for layout in tried if layout not in standing]
    if standing:
        against = [[*against_layout(bench, layout, today)] for layout in standing]
    fewest = min(len(found) for found in against)
    told: dict[str, Reason] = {}
    for found in against:
        for reason in found if len(found) == fewest else ():
            told.setdefault(reason.text, reason)
    if not told:
        told = {reason.text: reason for reason in never_tried(bench, site, today)}
    if any(reason.rule == OTHER_FORM for reason in told.values()):
        told = {text: reason for text, reason in told.items() if reason.rule == OTHER_FORM}
    taken = {reason.blockers for reason in told.values() if reason.rule == TAKEN}
    for reason in told.values():
        if reason.rule != OVERLAP or reason.blockers not in taken:
            yield reason


def with_lanes(bench: Bench, site: Site, tried: Sequence[Layout]) -> Sequence[Layout]:
    """The layouts in which a receptacle of a board gets lanes; all of them if it never does."""
    group = bench.groups.get(bench.group_at(site.id, {}) or "")
    ways = (
        {way.id for way in group.arrangements if way.gives.get(site.receptacle.id)} if group else {}
    )
    name = f"{site.owner}/{group.id}" if group else ""
    return [layout for layout in tried if layout.ways.get(name) in ways] or tried


def never_tried(bench: Bench, site: Site, today: Layout) -> Iterator[Reason]:
    """
    Why a receptacle on a part was not even tried.

    A plug of another form never is, nor is anything on a part that has no seat of its own.
    """
    other = other_form(bench.question.item, site)
    if other:
        yield other
    elif site.owner not in today.seats:
        yield Reason("NEST001", f"{site.owner} has no seat today")
    else:
        yield Reason("LANE001", f"nothing of {bench.question.part} is seen in {site.id}")


def other_form(item: Item, site: Site) -> Reason | None:
    """Why a plug is of no use in a receptacle, whatever else holds; None if it could be."""
    fit = fit_of(item.part.plug.form, site.receptacle.form)
    return None if fit.fits else Reason(OTHER_FORM, fit.reason)


def against_seat(bench: Bench, layout: Layout) -> Iterator[Reason]:
    """What the seat rules object."""
    for one in layout.unseated[bench.question.part]:
        yield Reason(one.rule, one.reason, one.spans)


def against_layout(bench: Bench, layout: Layout, today: Layout) -> Iterator[Reason]:
    """What the clauses forbid, and who loses the seat they have today."""
    for clause in layout.broken:
        yield forbidden(bench, clause, layout)
    for item in ousted(layout, today):
        for one in layout.unseated[item]:
            yield Reason(one.rule, one.reason, one.spans, (item,))


def forbidden(bench: Bench, clause: Clause, layout: Layout) -> Reason:
    """A clause that does not hold, and what sits there today that it speaks of."""
    spoken = set(atoms_of(clause))
    blockers = tuple(
        item
        for item, seat in layout.seats.items()
        if seat.key in spoken and item not in bench.asked()
    )
    text = clause.ground.reason + comes_to(bench, clause, layout)
    if clause.ground.rule == OVERLAP and blockers:  # the clause speaks of all that could be there
        text = f"its body and that of {' and '.join(blockers)} would overlap"
    return Reason(clause.ground.rule, text, clause.ground.spans, blockers)


def comes_to(bench: Bench, clause: Clause, layout: Layout) -> str:
    """How much it would be, where the clause counts watts, plugs or bays."""
    if not isinstance(clause, AtMost) or clause.unit in ("", "parts", "bodies"):
        return ""
    chosen = bench.atoms(layout.seats.values(), layout.ways)
    total = sum(weight for atom, weight in clause.terms if atom in chosen)
    return f", and this comes to {f'{total / 1000:g} W' if clause.unit == 'mW' else total}"
