"""What the parts of a clash take of something that is limited, added up."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping, Sequence

from slotfit.explain.reasons import Case, Reason
from slotfit.explain.room import bound_seats, name_of, place_of, required_items
from slotfit.listing import listed
from slotfit.model.clause import AtMost
from slotfit.natural_order import natural

ONE_EACH = ("", "parts", "bodies")
"""Units in which every seat counts one: nothing to add up."""

MOST_ONE_BY_ONE = 2


def total(case: Case, reason: Reason, everything: Iterable[Reason]) -> str:
    """For a budget: who takes how much of it."""
    clause = reason.clauses[0] if len(reason.clauses) == 1 else None
    if not isinstance(clause, AtMost) or clause.unit in ONE_EACH or not clause.terms:
        return ""
    everything = [*everything]
    required = required_items(case, everything)
    hosts = carried_by(case, required, everything)
    taken = least_of(case, clause, required)
    beneath = least_of(case, clause, hosts)
    if not taken:
        return ""
    shown = [*each_takes(clause.unit, taken)]
    shown += [
        f"{name} takes {amount(clause.unit, worth)} (it carries {listed(hosts[name])})"
        for name, worth in beneath.items()
    ]
    comes_to = sum(taken.values()) + sum(beneath.values())
    several = len(taken) + len(beneath) > 1
    in_all = f", {amount(clause.unit, comes_to)} in all" if several else ""
    more = "" if comes_to > clause.limit else ", and what carries them takes the rest"
    return f"; {', '.join(shown)}{in_all}{more}"


def each_takes(unit: str, taken: Mapping[str, int]) -> Iterator[str]:
    """Who takes how much; three or more that take alike are told together."""
    alike: dict[int, list[str]] = {}
    for name, worth in taken.items():
        alike.setdefault(worth, []).append(name)
    for worth, names in alike.items():
        if len(names) > MOST_ONE_BY_ONE:
            yield f"{listed(names)} take {amount(unit, worth)} each"
        else:
            yield from (f"{name} takes {amount(unit, worth)}" for name in names)


def least_of(case: Case, clause: AtMost, items: Iterable[str]) -> dict[str, int]:
    """What each of the items takes of a budget at least, wherever it goes; none that take none."""
    weights = dict(clause.terms)
    draws = {
        name: [weights[s.key] for s in case.seating.by_item.get(name, []) if s.key in weights]
        for name in items
    }
    return {name: min(each) for name, each in draws.items() if each}


def carried_by(
    case: Case, required: Sequence[str], reasons: Iterable[Reason]
) -> dict[str, list[str]]:
    """
    Parts that nobody asks for here, and without which others have no seat: who sits on them.

    A drive needs the adapter that its cable hangs on, whichever cable it is.
    """
    refused = {key for reason in reasons for key in reason.seats}
    found: dict[str, list[str]] = {}
    for name in required:
        seats = [s for s in case.seating.by_item.get(name, []) if s.key not in refused]
        hosts = [set(seat.offer.carriers) for seat in seats]
        for host in sorted(set.intersection(*hosts) if hosts else (), key=natural):
            if host not in required:
                found.setdefault(host, []).append(name)
    return found


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
        places = "place" if len(numbers) == 1 else f"{len(numbers)} places"
        yield (f"{len(items)} parts, {thickness} slots thick together, for the {places} {where}")


def only_in(case: Case, name: str, reasons: Sequence[Reason], row: tuple[str, str]) -> bool:
    """Whether all that is left to the part is in this row."""
    refused = {key for reason in reasons for key in reason.seats}
    left = [seat for seat in case.seating.by_item.get(name, []) if seat.key not in refused]
    return bool(left) and all(case.problem.site[seat.site].row == row for seat in left)
