"""The slot row in words: which places a clash is about, and which bodies reach over them."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from slotfit.explain.reasons import Case, Reason, names_in
from slotfit.hardware.slot_row import Position, positions
from slotfit.listing import listed
from slotfit.model.clause import atoms_of
from slotfit.model.seat import Seat
from slotfit.model.span import Span


def bound_seats(case: Case, reason: Reason) -> list[Seat]:
    """The seats a plan rule's reason binds."""
    atoms = (atom for clause in reason.clauses for atom in atoms_of(clause))
    return [case.seating.by_key[atom] for atom in atoms if atom in case.seating.by_key]


def place_of(case: Case, reason: Reason) -> Position:
    """The place of a row that all bodies bound by the reason cover, and that it names."""
    covers = [frozenset(positions(case.problem, seat)) for seat in bound_seats(case, reason)]
    shared = frozenset.intersection(*covers)
    # Bodies of two slots may share two places; the reason's own words settle which one is meant.
    return min(shared, key=lambda place: (name_of(case, place) not in reason.text, place))


def name_of(case: Case, place: Position) -> str:
    """The receptacle at a place of a row, or the place's number."""
    owner, row, number = place
    for site in case.problem.sites:
        if site.row == (owner, row) and site.receptacle.position == number:
            return site.id
    return f"position {number} of row {row} of {owner}"


def required_items(case: Case, reasons: Iterable[Reason]) -> list[str]:
    """Parts of which the reasons say that they must be placed."""
    asked = [reason for reason in reasons if reason.rule == "WISH007"]
    return [name for reason in asked for name in names_in(reason.text, case.problem.item)]


def thick_items(case: Case, reasons: Iterable[Reason]) -> dict[int, list[str]]:
    """Slots thick -> required parts that are so; those of one slot are left out."""
    found: dict[int, list[str]] = {}
    for name in required_items(case, reasons):
        thickness = case.problem.item[name].part.thickness or 1
        if thickness > 1:
            found.setdefault(thickness, []).append(name)
    return dict(sorted(found.items()))


def row_text(case: Case, same: Sequence[Reason], everything: Sequence[Reason]) -> str:
    """The places with room for one body each, and why bodies meet there."""
    places = [place_of(case, reason) for reason in same]
    one = len(places) == 1
    names = listed(name_of(case, place) for place in places)
    text = f"{names} {'has' if one else 'have'} room for one body{'' if one else ' each'}"
    for thickness, items in thick_items(case, everything).items():
        verb = "is" if len(items) == 1 else "are"
        text += f", and {listed(items)} {verb} {thickness} slots thick"
    return text


def thickness_spans(
    case: Case, same: Sequence[Reason], everything: Sequence[Reason]
) -> tuple[Span, ...]:
    """Where the thickness of the clash's thick parts is written."""
    thick = [name for group in thick_items(case, everything).values() for name in group]
    found = [case.problem.item[name].part.span("thickness") for name in thick]
    spans = tuple(dict.fromkeys(span for span in found if span))
    return spans or tuple(span for reason in same for span in reason.spans)
