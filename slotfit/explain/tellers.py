"""Rules whose reasons have a wording of their own for several."""

from __future__ import annotations

import re
from collections.abc import Callable, Sequence

from slotfit.explain.alike_facts import alike, sentence
from slotfit.explain.reasons import Case, Reason, names_in
from slotfit.explain.room import required_items, row_text, thickness_spans
from slotfit.explain.told import Sentence
from slotfit.listing import listed

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
