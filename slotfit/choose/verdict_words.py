"""What decides between two boards, in words."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.choose.compare import Found, Result
from slotfit.choose.rank import REQUIRED, Difference
from slotfit.listing import counted, listed
from slotfit.render.compare.view import CauseView
from slotfit.render.words import gb_s

STAGE_NAMES = {
    REQUIRED: "what has to fit",
    "optional-parts": "optional parts",
    "dark-endpoints": "dark endpoints",
    "bandwidth": "bandwidth",
    "unproven-facts": "unproven facts",
    "locality": "locality",
    "cooling": "cooling",
}

AMOUNTS = {
    REQUIRED: ("required part without a place", "required parts without a place"),
    "optional-parts": ("worth of optional parts left out", "worth of optional parts left out"),
    "dark-endpoints": ("endpoint dark", "endpoints dark"),
    "bandwidth": ("GB/s short of demand", "GB/s short of demand"),
    "unproven-facts": ("fact nobody has proven", "facts nobody has proven"),
    "locality": ("part on another processor", "parts on another processor"),
    "cooling": ("gap without air", "gaps without air"),
}
"""What one of it is called, and what several are."""

CAUSES_TOLD = 3


def deciding_words(apart: Difference, worse: Result, better: Result) -> str:
    """`only on locality: 2 parts on another processor against none (nic-25 on cpu1, not cpu0)`."""
    on = f"{'only ' if apart.only else ''}on {STAGE_NAMES[apart.stage]}"
    against = amount(apart.stage, apart.better_value)
    told = "; ".join(causes_told(apart.stage, worse.found, better.found))
    text = f"{on}: {amount_of(apart)} against {against}" + (f" ({told})" if told else "")
    if apart.stage == REQUIRED:
        return text  # other preferences are easily met with fewer parts
    if apart.worse_too:
        text += f"; worse in {named(apart.worse_too)} too"
    if apart.better_there:
        text += f"; better in {named(apart.better_there)}, which counts less"
    return text


def amount_of(apart: Difference) -> str:
    """The worse value with what it counts."""
    one, several = AMOUNTS[apart.stage]
    return f"{amount(apart.stage, apart.worse_value)} {one if apart.worse_value == 1 else several}"


def amount(stage: str, value: int) -> str:
    """`none`, `2`, `15.9`."""
    if not value:
        return "none"
    return gb_s(value) if stage == "bandwidth" else str(value)


def named(stages: Sequence[str]) -> str:
    """`locality and cooling`."""
    return listed(STAGE_NAMES[stage] for stage in stages)


def causes_told(stage: str, worse: Found | None, better: Found | None) -> Iterator[str]:
    """What makes the difference on the worse board: causes that the better one has less of."""
    there = {one.who: one.amount for one in causes(better, stage)}
    told = [one.text for one in causes(worse, stage) if one.amount > there.get(one.who, 0)]
    yield from told[:CAUSES_TOLD]
    if len(told) > CAUSES_TOLD:
        yield f"and {counted(len(told) - CAUSES_TOLD, 'more')}".replace("mores", "more")


def causes(found: Found | None, stage: str) -> Sequence[CauseView]:
    """What makes up one preference's value."""
    if found and stage == REQUIRED:
        return [CauseView(stage, one.item, 1, f"{one.item}: {one.why}") for one in found.missing]
    return [one for one in found.causes if one.stage == stage] if found else ()


def missing_words(found: Found) -> str:
    """Parts without a place, those with one reason together."""
    by_reason: dict[str, list[str]] = {}
    for one in found.missing:
        by_reason.setdefault(str(one.why), []).append(one.item)
    told = [f"{listed(items)} ({why})" for why, items in by_reason.items()]
    more = len(told) - CAUSES_TOLD
    return "; ".join(told[:CAUSES_TOLD]) + (f"; and {more} more" if more > 0 else "")
