"""Facts that say the same of several things, in one sentence."""

from __future__ import annotations

import re
from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slotfit.explain.reasons import WORD, Case, Reason
from slotfit.explain.told import Sentence
from slotfit.explain.totals import total
from slotfit.listing import listed

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
