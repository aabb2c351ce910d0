"""From the outcomes in one receptacle to a verdict on it."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.check.answer import Outcome, Verdict, Word
from slotfit.check.bench import Bench, Layout, ousted
from slotfit.check.effects import covers, effects, filled, kept_empty, refuted
from slotfit.check.outcome import outcome_of
from slotfit.check.reasons import reasons


def layouts(bench: Bench, site: str) -> Iterator[Layout]:
    """The part in one receptacle, once for each arrangement of the lanes below it."""
    question = bench.question
    sits = {**question.today, question.part: site, **question.drives}
    group = bench.group_at(site, sits)
    if group is None:
        yield bench.lay(sits, {})
        return
    for way in bench.groups[group].arrangements:
        yield bench.lay(sits, {group: str(way.id)})


def verdict_on(bench: Bench, site_id: str, today: Layout) -> Verdict:
    """The word for one receptacle, and what belongs to it."""
    tried = [*layouts(bench, site_id)]
    found = settled(outcomes(bench, tried, today))
    possible = [outcome for layout, outcome in found if stands(layout, today)]
    site = bench.problem.site[site_id]
    if not possible:
        return Verdict(
            site,
            Word.NO,
            None,
            reasons=tuple(reasons(bench, site, tried, today)),
            refuted=refuted(bench, site),
        )
    best = choose(possible)
    if best.total and not best.alive:
        return Verdict(site, Word.NO, best, refuted=refuted(bench, site))
    sure = [one for one in possible if one.certain]
    perhaps = [one for one in possible if not one.certain and one.alive > best.alive]
    unset = [one for one in possible if not one.change and one is not best]
    return Verdict(
        site,
        word_for(best),
        best,
        unset=min(unset, key=order) if best.change and unset else None,
        certain=min(sure, key=order) if sure and not best.certain else None,
        twin=next((one for one in possible if is_twin(best, one)), None),
        maybe=min(perhaps, key=order) if perhaps else None,
        refuted=refuted(bench, site),
        others=tuple(others(possible, best)),
        keep_empty=kept_empty(best),
        filled=tuple(filled(best, found)),
        effects=tuple(effects(best, today)),
        covers=tuple(covers(bench, best)),
    )


def outcomes(bench: Bench, tried: Sequence[Layout], today: Layout) -> list[tuple[Layout, Outcome]]:
    """What becomes of the part in each layout in which it has a seat."""
    return [
        (layout, outcome_of(bench, layout, today))
        for layout in tried
        if bench.question.part in layout.seats
    ]


def settled(found: list[tuple[Layout, Outcome]]) -> list[tuple[Layout, Outcome]]:
    """
    The order of the lanes decides nothing where as many endpoints are seen either way.

    Which of them stay dark is then a further fact.
    """
    return [
        (
            layout,
            indifferent(one)
            if all(other.alive == one.alive for _, other in found if is_twin(one, other))
            else one,
        )
        for layout, one in found
    ]


def indifferent(outcome: Outcome) -> Outcome:
    """The same, its lane order no longer deciding."""
    decides = tuple(fact for fact in outcome.decides if fact not in outcome.order)
    return outcome._replace(decides=decides)


def stands(layout: Layout, today: Layout) -> bool:
    """Whether nothing forbids a layout: no clause, and nobody loses the seat they have today."""
    return not layout.broken and not ousted(layout, today)


def word_for(outcome: Outcome) -> Word:
    """The verdict on one outcome alone."""
    if not outcome.certain:
        return Word.NOT_KNOWN
    if not outcome.whole:
        return Word.IN_PART
    return Word.ONCE_SET if outcome.change else Word.WORKS


def others(possible: Sequence[Outcome], best: Outcome) -> Iterator[Outcome]:
    """The other settings of the lane group, each once."""
    told = {best.way.setting} if best.way else set()
    for one in possible:
        if one.change and one.way and one.way.setting not in told:
            told.add(one.way.setting)
            yield one


def is_twin(best: Outcome, other: Outcome) -> bool:
    """Whether both are what one setting may mean: its lane order is not known."""
    if best.way is None or other.way is None or best.way.order == "known":
        return False
    one_label = (best.group, best.way.setting) == (other.group, other.way.setting)
    return one_label and other.way is not best.way and other.way.order == "unknown"


def choose(possible: Sequence[Outcome]) -> Outcome:
    """
    The outcome the verdict is about.

    One that is whole and certain; else one that is whole if its facts hold, which leaves the
    verdict open; else the best of the certain ones.
    """
    for wanted in (
        [one for one in possible if one.whole and one.certain],
        [one for one in possible if one.whole],
        [one for one in possible if one.certain],
        possible,
    ):
        if wanted:
            return min(wanted, key=order)
    raise ValueError("nothing to choose from")


def order(outcome: Outcome) -> tuple[int, int, int, int, int]:
    """Best first: as `place` prefers, then what takes the least doing."""
    return (
        -outcome.alive,
        outcome.short_mb_s,
        len(outcome.decides),
        int(outcome.change),
        len(outcome.provided),
    )
