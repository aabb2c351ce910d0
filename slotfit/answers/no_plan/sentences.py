"""What the parts of a clash take of something that is limited, added up."""

from __future__ import annotations

from collections.abc import Hashable, Iterable, Iterator, Mapping, Sequence

from slotfit.answers.check.answer import RuleReason
from slotfit.answers.names import amount
from slotfit.answers.no_plan.answer import Sentence
from slotfit.answers.no_plan.case import Case, Reason, asks, order
from slotfit.engine.seats import in_one_receptacle
from slotfit.hardware.room import Position
from slotfit.listing import listed, natural
from slotfit.model.clause import AtMost, atoms_of
from slotfit.model.entity import Span
from slotfit.model.seat import Seat


def bound_seats(case: Case, reason: Reason) -> list[Seat]:
    """The seats a plan rule's reason binds."""
    atoms = (atom for clause in reason.clauses for atom in atoms_of(clause))
    return [case.seating.by_key[atom] for atom in atoms if atom in case.seating.by_key]


def name_of(case: Case, place: Position) -> str:
    """The receptacle at a place of a row, or the place's number."""
    owner, row, number = place
    for receptacle in case.problem.receptacles:
        if receptacle.row == (owner, row) and receptacle.spec.position == number:
            return receptacle.id
    return f"position {number} of row {row} of {owner}"


def required_parts(case: Case, reasons: Iterable[Reason]) -> list[str]:
    """Parts of which the reasons say that they must be placed."""
    names = (name for reason in reasons if reason.required for _, name in reason.no.names)
    return [name for name in names if name in case.problem.part]


ONE_EACH = ("", "parts", "bodies")
"""Units in which every seat counts one: nothing to add up."""

MOST_ONE_BY_ONE = 2


def total(case: Case, reason: Reason, everything: Iterable[Reason]) -> str:
    """For a budget: who takes how much of it."""
    clause = reason.clauses[0] if len(reason.clauses) == 1 else None
    if not isinstance(clause, AtMost) or clause.unit in ONE_EACH or not clause.terms:
        return ""
    everything = [*everything]
    required = required_parts(case, everything)
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


def least_of(case: Case, clause: AtMost, parts: Iterable[str]) -> dict[str, int]:
    """What each of the parts takes of a budget at least, wherever it goes; none that take none."""
    weights = dict(clause.terms)
    draws = {
        name: [weights[s.key] for s in case.seating.by_part.get(name, []) if s.key in weights]
        for name in parts
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
        seats = [s for s in case.seating.by_part.get(name, []) if s.key not in refused]
        hosts = [set(seat.upstream.carriers) for seat in seats]
        for host in sorted(set.intersection(*hosts) if hosts else (), key=natural):
            if host not in required:
                found.setdefault(host, []).append(name)
    return found


def body_positions(reason: Reason) -> list[Position]:
    """The places of a row that it lets one body have each."""
    bodies = any(isinstance(one, AtMost) and one.unit == "bodies" for one in reason.clauses)
    return [value for name, value in reason.no.detail if bodies and name == "position"]


Places = dict[int, set[str]]
"""Places of a row that take one body each -> the keys of the seats that would take one there."""


def row_sums(case: Case, reasons: Sequence[Reason]) -> Iterable[str]:
    """Where more slots' thickness is asked for than the places named: the sum that shows it."""
    rows: dict[tuple[str, str], Places] = {}
    for reason in reasons:
        for position in body_positions(reason):
            bound = rows.setdefault(position[:2], {}).setdefault(position[2], set())
            bound.update(seat.key for seat in bound_seats(case, reason))
    for reason in reasons:
        if any(in_one_receptacle(case.seating, clause) for clause in reason.clauses):
            seats = bound_seats(case, reason)
            receptacle = case.problem.receptacle[seats[0].receptacle]
            if receptacle.row in rows:
                keys = {seat.key for seat in seats}
                rows[receptacle.row].setdefault(receptacle.spec.position, keys)
    for row, places in rows.items():
        yield from row_sum(case, reasons, row, places)


def row_sum(
    case: Case, reasons: Sequence[Reason], row: tuple[str, str], places: Places
) -> Iterable[str]:
    """The sum for one row, if it is more than fits."""
    thick = {
        name: case.problem.part[name].spec.thickness or 1 for name in required_parts(case, reasons)
    }
    parts = [name for name in thick if needed(case, name, reasons, places) == thick[name]]
    thickness = sum(thick[name] for name in parts)
    if thickness > len(places):
        where = listed(name_of(case, (*row, number)) for number in places)
        named = "place" if len(places) == 1 else f"{len(places)} places"
        yield f"{len(parts)} parts, {thickness} slots thick together, for the {named} {where}"


def needed(case: Case, name: str, reasons: Sequence[Reason], places: Places) -> int:
    """How many of the places the part takes at the least, wherever it may still go."""
    refused = {key for reason in reasons for key in reason.seats}
    left = [seat.key for seat in case.seating.by_part.get(name, []) if seat.key not in refused]
    return min((sum(key in bound for bound in places.values()) for key in left), default=0)


DETAILS = 2
"""So many different explanations of one claim are told; the others are counted."""


def alike(case: Case, same: Sequence[Reason], everything: Sequence[Reason]) -> list[Telling]:
    """Reasons that differ in one name are one sentence: `(likewise slot3 and slot8)`."""
    groups: dict[Hashable, list[Reason]] = {}
    for reason in same:
        roles = tuple(role for role, _ in reason.no.names)
        groups.setdefault((reason.no.case, roles, reason.no.values), []).append(reason)
    return [
        told(case, block, everything)
        for group in groups.values()
        for block in blocks(list(differing_in_one(group)))
    ]


Telling = tuple[Sequence[Reason], str, tuple[Span, ...]]
"""Reasons of one rule, their sentence, and where it is written, if not where the reasons are."""

Bunch = list[Reason]
"""Reasons that differ in one name."""


def told(case: Case, block: Sequence[Bunch], everything: Sequence[Reason]) -> Telling:
    """One sentence for bunches that differ in one further name."""
    bunch = block[0]
    text = bunch[0].no.claim + likewise(bunch) + why(bunch)
    text += total(case, bunch[0], everything)
    others = [names(one[0])[place] for one in block[1:] for place in apart(one[0], bunch[0])]
    if others:
        text += f"; the same holds for {listed(others)}"
    return [reason for one in block for reason in one], text, ()


def names(reason: Reason) -> tuple[str, ...]:
    """The things that it names, in the order of its roles."""
    return tuple(name for _, name in reason.no.names)


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
        here.no.explained == there.no.explained and apart(here, there) == {place}
        for here, there in pairs
    )


def differing_in_one(group: Sequence[Reason]) -> Iterator[Bunch]:
    """Bunches whose names differ in one place at most, the largest first."""
    left = list(group)
    while left:
        bunches = [
            [reason for reason in left if apart(reason, left[0]) <= {place}]
            for place in range(len(left[0].no.names))
        ] or [left[:1]]
        bunch = max(bunches, key=len)
        yield bunch
        left = [reason for reason in left if reason not in bunch]


def apart(one: Reason, other: Reason) -> set[int]:
    """The places at which the names differ."""
    pairs = zip(names(one), names(other), strict=True)
    return {place for place, (here, there) in enumerate(pairs) if here != there}


def likewise(bunch: Bunch) -> str:
    """The other names of a bunch."""
    others = [names(one)[place] for one in bunch[1:] for place in apart(one, bunch[0])]
    return f" (likewise {listed(others)})" if others else ""


def why(bunch: Bunch) -> str:
    """What the reasons add after their claim."""
    told = dict.fromkeys(reason.no.explained for reason in bunch)
    details = [detail for detail in told if detail]
    if not details:
        return ""
    carriers = {c for reason in bunch for s in reason.seats.values() for c in s.upstream.carriers}
    by = f"by where {listed(carriers)} sits, " if carriers and len(details) > 1 else ""
    further = len(details) - DETAILS
    rest = f"; or one of {further} more such reasons" if further > 0 else ""
    return f": {by}" + "; or ".join(details[:DETAILS]) + rest


def together(case: Case, same: Sequence[Reason], everything: Sequence[Reason]) -> list[Telling]:
    """Reasons of one kind in their rule's own words for several; else as any are told."""
    in_one = same[0].no.wording.together
    if in_one is None:
        return alike(case, same, everything)
    parts = {name: case.problem.part[name] for name in required_parts(case, everything)}
    by_no = {reason.no: reason for reason in same}
    return [
        ([by_no[no] for no in told.reasons], told.text, told.spans)
        for told in in_one(tuple(by_no), parts)
    ]


def sentences_of(case: Case, reasons: Sequence[Reason], first: int = 1) -> tuple[Sentence, ...]:
    """All the reasons, told and numbered; every reason is in exactly one sentence."""
    told: list[Telling] = []
    kinds: dict[Hashable, list[Reason]] = {}
    in_order = sorted(reasons, key=lambda one: (not one.required, not asks(one), order(one.no)))
    for reason in in_order:
        words = reason.no.wording.together
        kinds.setdefault((reason.rule, words and id(words)), []).append(reason)
    for same in kinds.values():
        told += together(case, same, reasons)
    found = []
    for number, (block, text, written) in enumerate(told, first):
        spans = written or sorted({span for reason in block for span in reason.spans})
        says = RuleReason(block[0].rule, text, tuple(map(str, spans)))
        parts = dict.fromkeys(seat.part for reason in block for seat in reason.seats.values())
        own_words = tuple(reason.text for reason in block)
        found.append(Sentence(number, says, own_words, tuple(sorted(parts, key=natural))))
    return tuple(found)
