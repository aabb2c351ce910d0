"""What a comparison comes to: every board's place, and a sentence on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from dataclasses import dataclass

from slotfit.answers.compare.answer import (
    UNTRIED,
    BoardView,
    CauseView,
    Comparison,
    DecidingView,
    MissingView,
    PreferenceView,
)
from slotfit.answers.compare.compare import Found, Result
from slotfit.answers.place.answer import SCHEMA_VERSION
from slotfit.answers.place.causes import draw_unknown, lanes_left, left_over, power_left
from slotfit.answers.text_layout import gb_s
from slotfit.listing import counted, listed
from slotfit.model.problem import Problem

REQUIRED = "required-parts"
"""What comes before every preference: that everything required has a seat."""


@dataclass(frozen=True, slots=True)
class Difference:
    """Everything in which one board's plan differs from another's, the deciding one first."""

    worse: str
    better: str
    stage: str
    worse_value: int
    better_value: int
    worse_too: tuple[str, ...]
    """Later preferences in which the worse one is worse as well."""
    better_there: tuple[str, ...]
    """Later preferences in which the worse one is better."""
    proven: bool
    """Both plans are proven best; else time may have decided."""

    @property
    def only(self) -> bool:
        """They differ in nothing else; nobody can say so where one lacks required parts."""
        return self.stage != REQUIRED and not (self.worse_too or self.better_there)


def score(found: Found) -> dict[str, int]:
    """Preference -> value, in their order; smaller is better."""
    return {REQUIRED: len(found.missing)} | {one.stage: one.value for one in found.stages}


def order(result: Result) -> tuple[object, ...]:
    """A sort key: by the preferences; then what did not fit, what time ran out on, mistakes."""
    if result.found:
        return (0, *score(result.found).values())
    return (3 if result.mistake else 1 if result.impossible else 2,)


def ranked(results: Sequence[Result]) -> list[Result]:
    """Best first; ties in the order given; those without an answer last."""
    return sorted(results, key=order)


def places(results: Sequence[Result]) -> dict[str, int]:
    """The place of each board that has an answer; boards that tie share one."""
    scores = {one.name: [*score(one.found).values()] for one in results if one.found}
    return {
        name: 1 + sum(other < mine for other in scores.values()) for name, mine in scores.items()
    }


def difference(one: Result, other: Result) -> Difference | None:
    """How two boards differ; None if they tie in every preference, or one has no answer."""
    if not one.found or not other.found:
        return None
    first, second = score(one.found), score(other.found)
    apart = [name for name in first if first[name] != second.get(name)]
    if not apart:
        return None
    stage, *later = apart
    worse, better = (one, other) if first[stage] > second[stage] else (other, one)
    high, low = (first, second) if worse is one else (second, first)
    return Difference(
        worse=worse.name,
        better=better.name,
        stage=stage,
        worse_value=high[stage],
        better_value=low[stage],
        worse_too=tuple(name for name in later if high[name] > low[name]),
        better_there=tuple(name for name in later if high[name] < low[name]),
        proven=one.found.proven and other.found.proven,
    )


def dominated_by(result: Result, results: Sequence[Result]) -> str | None:
    """
    A board than which this one is better in nothing: no preference, no future, and not its price.

    Only proven plans count, and one of two that tie does not dominate the other.
    """
    for other in results:
        apart = difference(result, other)
        if (
            apart
            and apart.proven
            and apart.worse == result.name
            and not apart.better_there
            and not has_more_to_offer(result, other)
        ):
            return other.name
    return None


def has_more_to_offer(one: Result, other: Result) -> bool:
    """Whether it is known to cost less, or to take futures that the other does not."""
    cheaper = one.price is not None and other.price is not None and one.price < other.price
    mine, theirs = (result.found and result.found.outlook for result in (one, other))
    return cheaper or bool(mine and theirs and set(mine.fits) - set(theirs.fits))


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


def comparison_of(
    problem: Problem,
    machine: str,
    results: Sequence[Result],
    notes: Sequence[str] = (),
    *,
    stopped: bool = False,
) -> Comparison:
    """All boards ranked, each with its verdict."""
    order = ranked(results)
    return Comparison(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        machine=machine,
        items=tuple((item.id, item.part.name or item.part.id) for item in problem.items),
        notes=(*notes, *chassis_notes(results)),
        stopped=stopped,
        boards=tuple(board_view(problem, result, order) for result in order),
    )


def chassis_notes(results: Sequence[Result]) -> Iterator[str]:
    """What to do where a board does not go into its chassis."""
    missing = (one for result in results if result.found for one in result.found.missing)
    if any(one.why.no and one.why.no.cites("chassis", "sizes") for one in missing):
        yield "a board is too big for its chassis: --no-chassis leaves that aside"


def board_view(problem: Problem, result: Result, order: Sequence[Result]) -> BoardView:
    """One board."""
    found = result.found
    rival = rival_of(result, order)
    apart = difference(result, rival) if rival else None
    own = [item.id for item in problem.items if item.companion_of is None]
    seated = {seat.item for seat in found.view.seats} if found else set()
    return BoardView(
        name=result.name,
        board=result.board,
        invented=result.invented,
        fitted=result.fitted,
        sockets=result.sockets,
        place=places(order).get(result.name, 0),
        complete=bool(found and not found.missing),
        proven=bool(found and found.proven),
        verdict=verdict(result, order),
        brief=brief(result, order),
        deciding=deciding_view(result, apart) if apart else None,
        dominated_by=dominated_by(result, order),
        placed=len(seated.intersection(own)),
        parts=len(own),
        preferences=tuple(
            PreferenceView(one.stage, one.value, one.bound, one.unit)
            for one in (found.stages if found else ())
        ),
        causes=found.causes if found else (),
        missing=tuple(
            MissingView(one.item, one.why.no.rule if one.why.no else "", str(one.why))
            for one in (found.missing if found else ())
        ),
        left=left_over(found.view) if found else (),
        lanes_left=lanes_left(found.view) if found else 0,
        power_left_w=power_left(found.view) if found else None,
        draw_unknown=draw_unknown(found.view) if found else (),
        price=result.price,
        notes=result.notes,
        outlook=found.outlook if found else None,
        seconds=result.seconds,
        mistake=result.mistake,
        view=found.view if found else None,
    )


def rival_of(result: Result, order: Sequence[Result]) -> Result | None:
    """Whom it is measured against: the best board; for the best ones the next that is worse."""
    best = order[0]
    if difference(result, best):
        return best
    return next((other for other in order if difference(result, other)), None)


def deciding_view(result: Result, apart: Difference) -> DecidingView:
    """The difference as this board sees it."""
    loses = apart.worse == result.name
    return DecidingView(
        against=apart.better if loses else apart.worse,
        stage=apart.stage,
        value=apart.worse_value if loses else apart.better_value,
        against_value=apart.better_value if loses else apart.worse_value,
        only=apart.only,
        worse_too=apart.worse_too if loses else apart.better_there,
        better=apart.better_there if loses else apart.worse_too,
        proven=apart.proven,
    )


def verdict(result: Result, order: Sequence[Result]) -> str:
    """One sentence, without its full stop."""
    found = result.found
    if result.mistake == UNTRIED:
        return f"not tried: {UNTRIED.partition(' it')[0]}"
    if result.mistake:
        return f"could not be tried: {result.mistake.splitlines()[0]}"
    if found is None and result.impossible:
        return "does not take everything; time ran out before it was known what it does take"
    if found is None:
        return "time ran out before a plan was found"
    said = [text for text in (standing(result, order), afterthought(result, order)) if text]
    if found.missing:
        said.insert(0, f"does not take everything: no place for {missing_words(found)}")
    if not found.proven:
        said.append("time ran out: it may be better than this")
    return "; ".join(said)


def brief(result: Result, order: Sequence[Result]) -> str:
    """The same without the reasons for what has no place."""
    found = result.found
    if found is None or not found.missing:
        return verdict(result, order)
    said = f"no place for {listed(one.item for one in found.missing)}"
    over = afterthought(result, order)
    return said + (f"; {over}" if over else "")


def standing(result: Result, order: Sequence[Result]) -> str:
    """How it compares with its rival, or with those it ties with."""
    rival = rival_of(result, order)
    apart = difference(result, rival) if rival else None
    ties = [other.name for other in order if other is not result and ties_with(result, other)]
    tie = f"as good as {listed(ties)} in every preference" if ties else ""
    complete = result.found is not None and not result.found.missing
    if apart is None or rival is None:
        return tie or ("everything fits" if complete else "")
    if apart.worse == result.name:
        if apart.stage == "required-parts" and complete is False:
            return tie
        loses = f"loses to {rival.name} {deciding_words(apart, result, rival)}"
        return "; ".join(text for text in (loses, tie) if text)
    ahead = "best; " + (f"{tie}; " if tie else "")
    return f"{ahead}{rival.name} loses {deciding_words(apart, rival, result)}"


def ties_with(one: Result, other: Result) -> bool:
    """Whether they are as good in every preference."""
    return bool(one.found and other.found) and difference(one, other) is None


def afterthought(result: Result, order: Sequence[Result]) -> str:
    """That there is no preference in which it is better."""
    over = dominated_by(result, order)
    return f"in no preference better than {over}" if over else ""
