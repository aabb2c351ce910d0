"""What the parts of a clash take of something that is limited, added up."""

from __future__ import annotations

from collections.abc import Iterable, Sequence

from slotfit.explain.listing import listed
from slotfit.explain.reasons import Case, Reason
from slotfit.explain.room import bound_seats, name_of, place_of, required_items
from slotfit.model.clause import AtMost

ONE_EACH = ("", "parts", "bodies")
"""Units in which every seat counts one: nothing to add up."""


def total(case: Case, reason: Reason, everything: Iterable[Reason]) -> str:
    """For a budget: who takes how much of it."""
    clause = reason.clauses[0] if len(reason.clauses) == 1 else None
    if not isinstance(clause, AtMost) or clause.unit in ONE_EACH or not clause.terms:
        return ""
    weights = dict(clause.terms)
    taken: dict[str, int] = {}
    for name in required_items(case, everything):
        draws = [weights[s.key] for s in case.seating.by_item.get(name, []) if s.key in weights]
        if draws:
            taken[name] = min(draws)
    shown = [f"{name} takes {amount(clause.unit, worth)}" for name, worth in taken.items()]
    in_all = f", {amount(clause.unit, sum(taken.values()))} in all" if len(shown) > 1 else ""
    return f"; {', '.join(shown)}{in_all}" if shown else ""


def amount(unit: str, worth: int) -> str:
    """`300 W` for milliwatts; `1 pcie-8 plug`, `2 pcie-8 plugs`."""
    if unit == "mW":
        return f"{worth / 1000:g} W"
    return f"{worth} {unit.removesuffix('s') if worth == 1 else unit}"


def row_sums(case: Case, reasons: Sequence[Reason]) -> Iterable[str]:
    """Where more slots' thickness is asked for than the places named: the sum that shows it."""
    places: dict[tuple[str, str], set[int]] = {}
    for reason in reasons:
        if reason.rule == "FIT004":
            owner, row, number = place_of(case, reason)
            places.setdefault((owner, row), set()).add(number)
    for reason in reasons:
        site = (
            case.problem.site[bound_seats(case, reason)[0].site]
            if reason.rule == "FIT003"
            else None
        )
        if site and site.row in places:
            places[site.row].add(site.receptacle.position)
    for place, numbers in places.items():
        yield from row_sum(case, reasons, place, numbers)


def row_sum(
    case: Case, reasons: Sequence[Reason], row: tuple[str, str], numbers: set[int]
) -> Iterable[str]:
    """The sum for one row, if it is more than fits."""
    items = [name for name in required_items(case, reasons) if only_in(case, name, reasons, row)]
    thickness = sum(case.problem.item[name].part.thickness or 1 for name in items)
    if thickness > len(numbers):
        where = listed(name_of(case, (*row, number)) for number in numbers)
        yield (
            f"{len(items)} parts, {thickness} slots thick together, for the "
            f"{len(numbers)} places {where}"
        )


def only_in(case: Case, name: str, reasons: Sequence[Reason], row: tuple[str, str]) -> bool:
    """Whether all that is left to the part is in this row."""
    refused = {key for reason in reasons for key in reason.seats}
    left = [seat for seat in case.seating.by_item.get(name, []) if seat.key not in refused]
    return bool(left) and all(case.problem.site[seat.site].row == row for seat in left)
