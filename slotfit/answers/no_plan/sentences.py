"""What the parts of a clash take of something that is limited, added up."""

from __future__ import annotations

import re
from collections.abc import Callable, Iterable, Iterator, Mapping, Sequence
from dataclasses import dataclass

from slotfit.answers.no_plan.answer import Sentence
from slotfit.answers.no_plan.case import WORD, Case, Reason, asks, names_in, order
from slotfit.hardware.room import Position, positions
from slotfit.listing import listed, natural
from slotfit.model.clause import AtMost, atoms_of
from slotfit.model.entity import Span
from slotfit.model.seat import Seat


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


DETAILS = 2
"""So many different explanations of one claim are told; the others are counted."""


@dataclass(frozen=True)
class Words:
    """A reason's claim with the names in it taken out, and what it adds after a colon."""

    reason: Reason
    claim: str
    template: tuple[str, ...]
    names: tuple[str, ...]
    detail: str


def alike(case: Case, same: Sequence[Reason], everything: Sequence[Reason]) -> list[Sentence]:
    """Reasons whose claims differ in one name are one sentence: `(likewise slot3 and slot8)`."""
    known = frozenset((*case.problem.item, *case.problem.site, *case.problem.rig))
    groups: dict[tuple[str, ...], list[Words]] = {}
    for reason in same:
        words = taken_apart(reason, known)
        groups.setdefault(words.template, []).append(words)
    return [
        told(case, block, everything)
        for group in groups.values()
        for block in blocks(list(differing_in_one(group)))
    ]


Bunch = list[Words]
"""Claims that differ in one name."""


def told(case: Case, block: Sequence[Bunch], everything: Sequence[Reason]) -> Sentence:
    """One sentence for bunches that differ in one further name."""
    bunch = block[0]
    text = bunch[0].claim + likewise(bunch) + why(bunch)
    text += total(case, bunch[0].reason, everything)
    others = [one[0].names[place] for one in block[1:] for place in apart(one[0], bunch[0])]
    if others:
        text += f"; the same holds for {listed(others)}"
    return sentence([words.reason for one in block for words in one], text)


def blocks(bunches: Sequence[Bunch]) -> Iterator[list[Bunch]]:
    """Bunches that say the same of another thing, the same names and details in each."""
    left = list(bunches)
    while left:
        same = [one for one in left if one is left[0] or mirrors(left[0], one)]
        places = {place for one in same[1:] for place in apart(one[0], same[0][0])}
        block = same if len(places) < 2 else same[:1]
        yield block
        left = [one for one in left if all(one is not other for other in block)]


def mirrors(one: Bunch, other: Bunch) -> bool:
    """Whether two bunches differ in one name that does not vary within either."""
    if len(one) != len(other) or len(apart(one[0], other[0])) != 1:
        return False
    (place,) = apart(one[0], other[0])
    pairs = zip(one, other, strict=True)
    return all(
        here.detail == there.detail and apart(here, there) == {place} for here, there in pairs
    )


def sentence(reasons: Sequence[Reason], text: str) -> Sentence:
    """One sentence for several reasons of one rule."""
    spans = tuple(sorted({span for reason in reasons for span in reason.spans}))
    told = tuple(reason.text for reason in reasons)
    refuses = frozenset(seat.item for reason in reasons for seat in reason.seats.values())
    return Sentence(reasons[0].rule, text, spans, told, refuses)


def taken_apart(reason: Reason, known: frozenset[str]) -> Words:
    """The text with a gap for each name of a part, receptacle or machine."""
    claim, _, detail = reason.text.partition(": ")
    pieces = re.split(f"({WORD.pattern})", claim)
    names = tuple(piece for piece in pieces if piece in known)
    template = tuple("" if piece in known else piece for piece in pieces)
    return Words(reason, claim, template, names, detail)


def differing_in_one(group: Sequence[Words]) -> Iterator[list[Words]]:
    """Bunches whose names differ in one place at most, the largest first."""
    left = list(group)
    while left:
        bunches = [
            [words for words in left if apart(words, left[0]) <= {place}]
            for place in range(len(left[0].names))
        ] or [left[:1]]
        bunch = max(bunches, key=len)
        yield bunch
        left = [words for words in left if words not in bunch]


def apart(one: Words, other: Words) -> set[int]:
    """The places at which the names differ."""
    pairs = zip(one.names, other.names, strict=True)
    return {place for place, (here, there) in enumerate(pairs) if here != there}


def likewise(bunch: Sequence[Words]) -> str:
    """The other names of a bunch."""
    others = [words.names[place] for words in bunch[1:] for place in apart(words, bunch[0])]
    return f" (likewise {listed(others)})" if others else ""


def why(bunch: Sequence[Words]) -> str:
    """What the reasons add after their claim."""
    details = [detail for detail in dict.fromkeys(words.detail for words in bunch) if detail]
    if not details:
        return ""
    carriers = {c for words in bunch for s in words.reason.seats.values() for c in s.offer.carriers}
    by = f"by where {listed(carriers)} sits, " if carriers and len(details) > 1 else ""
    further = len(details) - DETAILS
    rest = f"; or one of {further} more such reasons" if further > 0 else ""
    return f": {by}" + "; or ".join(details[:DETAILS]) + rest


REQUIRED = "WISH007"

SHOWS = re.compile(r"shows (\d+) of the (\d+) endpoints")


def required(case: Case, same: Sequence[Reason], _: Sequence[Reason]) -> list[Sentence]:
    """`gpu, hba and nic must be placed`."""
    names = required_items(case, same)
    plugs = [
        f"{name} is a plug of {owner}"
        for name in names
        if (owner := case.problem.item[name].companion_of)
    ]
    told = f" ({'; '.join(plugs)})" if plugs else ""
    return [sentence(same, f"{listed(names)} must be placed{told}")]


def one_part(case: Case, same: Sequence[Reason], _: Sequence[Reason]) -> list[Sentence]:
    """`slot1 to slot3 take one part each`."""
    if len(same) == 1:
        return [sentence(same, same[0].text)]
    names = [name for reason in same for name in names_in(reason.text, case.problem.site)]
    return [sentence(same, f"{listed(names)} take one part each")]


def one_body(case: Case, same: Sequence[Reason], everything: Sequence[Reason]) -> list[Sentence]:
    """The places of the slot row, and which bodies reach from one into the next."""
    told = tuple(row_text(case, [reason], everything) for reason in same)
    spans = thickness_spans(case, same, everything)
    return [Sentence(same[0].rule, row_text(case, same, everything), spans, told)]


def endpoints(case: Case, same: Sequence[Reason], everything: Sequence[Reason]) -> list[Sentence]:
    """`scans is to show 4 endpoints; it shows 1 or 2 in slot1 and 1 in slot3 and slot5`."""
    found: dict[tuple[str, str], dict[str, set[str]]] = {}
    bound: dict[tuple[str, str], list[Reason]] = {}
    for reason in same:
        said = SHOWS.search(reason.text)
        if said is None or not reason.seats:
            return alike(case, same, everything)
        for seat in reason.seats.values():
            found.setdefault((seat.item, said[2]), {}).setdefault(seat.site, set()).add(said[1])
        bound.setdefault((next(iter(reason.seats.values())).item, said[2]), []).append(reason)
    return [
        sentence(
            bound[item, wanted], f"{item} is to show {wanted} endpoints; it shows {shown(sites)}"
        )
        for (item, wanted), sites in found.items()
    ]


def shown(sites: dict[str, set[str]]) -> str:
    """How many endpoints where, sites of a kind together."""
    by_number: dict[str, list[str]] = {}
    for site, numbers in sites.items():
        by_number.setdefault(listed(numbers, "or"), []).append(site)
    clauses = [f"{number} in {listed(names)}" for number, names in sorted(by_number.items())]
    return "; ".join(clauses) + ", by how the lanes there are divided"


Teller = Callable[[Case, Sequence[Reason], Sequence[Reason]], list[Sentence]]

TELLERS: dict[str, Teller] = {
    REQUIRED: required,
    "FIT003": one_part,
    "FIT004": one_body,
    "LANE002": endpoints,
}


def sentences_of(case: Case, reasons: Sequence[Reason]) -> tuple[Sentence, ...]:
    """All the reasons, told; every reason is in exactly one sentence."""
    told: list[Sentence] = []
    by_rule: dict[str, list[Reason]] = {}
    for reason in sorted(reasons, key=lambda one: (not must(one), not asks(one), order(one.no))):
        by_rule.setdefault(reason.rule, []).append(reason)
    for rule, same in by_rule.items():
        told += TELLERS.get(rule, alike)(case, same, reasons)
    return tuple(told)


def must(reason: Reason) -> bool:
    """Whether it says that a part must be placed."""
    return reason.rule == REQUIRED
