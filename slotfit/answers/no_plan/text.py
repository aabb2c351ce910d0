"""Why there is no plan, and what there is beside one, for a terminal of 80 columns."""

from __future__ import annotations

from collections import Counter
from collections.abc import Iterator, Sequence

from slotfit.answers.no_plan.answer import (
    ChoicesAnswer,
    Clash,
    EqualPlans,
    NoPlanAnswer,
    OtherPlan,
    PartMoved,
    PlanIfFalse,
    PlanInShort,
    RoomLeft,
    Sentence,
    Way,
    WayOutPlanned,
    WayOutStep,
    WaysOut,
)
from slotfit.answers.place.answer import CountedShortage, PlaceAnswer
from slotfit.answers.text_layout import fill, heading, hung, joined, verdict
from slotfit.hardware.flow import FLOWS
from slotfit.listing import in_short, listed

PLACES = 3
"""So many places in files are shown for one sentence; JSON has them all."""

OTHERS = 3
"""So many alternatives to a bought thing are named."""


NO_WAY = "No way out was found among single changes and small sets of them"


def no_plan_text(answer: PlaceAnswer, told: NoPlanAnswer) -> str:
    """The answer that there is no plan, clashes, ways out, and what was not looked at."""
    said = verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    return joined((*fill(answer.title), *said, *no_plan_lines(answer, told)))


def no_plan_lines(answer: PlaceAnswer, told: NoPlanAnswer) -> Iterator[str]:
    """Top down."""
    yield from shortage_lines(answer.watch.shortages)
    for number, clash in enumerate(told.clashes):
        yield from clash_lines(clash, number, len(told.clashes))
    if told.clashes and told.further is None:
        yield ""
        yield from fill("There may be more that stands in the way beside this.")
    yield from ways(told, counted=bool(answer.watch.shortages))
    yield from more(told.do)
    if told.do.stopped:
        yield ""
        yield from fill(
            "Stopped, or out of time: what is above is proven; there may be smaller clashes and "
            "other ways out. `--seconds` gives it longer."
        )


def shortage_lines(shortages: Sequence[CountedShortage]) -> Iterator[str]:
    """Everything that there is too little of, whatever else is changed."""
    if not shortages:
        return
    yield from heading("What there is too little of, however the parts are arranged")
    for one in shortages:
        rules = f" [{', '.join(one.rules)}]" if one.rules else ""
        yield from hung("  - ", f"{in_short(one.items)}: {one.says}{rules}")


def no_plan_in_short(answer: PlaceAnswer, told: NoPlanAnswer) -> Iterator[str]:
    """For a picture: the reasons, and for each way out what to do; a paragraph each."""
    for one in answer.watch.shortages:
        yield f"Too little: {in_short(one.items)}: {one.says}."
    for clash in told.clashes:
        yield f"Why: {claim(clash)}."
        yield from (f"({said.number}) {said.says.text}" for said in clash.sentences)
        yield from (f"So: {line}." for line in (*clash.sums, *map(left_text, clash.left)) if line)
    for number, way in enumerate(told.do.ways_out, 1):
        yield f"Way out {number}: {', and '.join(step.text for step in way.steps)}."
    yield "`slotfit place` says what each way out costs, and what to watch."


def clash_lines(clash: Clash, number: int, of: int) -> Iterator[str]:
    """One clash: its sentences, and what they come to."""
    title = "Why" if not number else "And besides"
    which = f" ({number + 1} of {of}, with no fact in common but what must be placed)"
    which = which if of > 1 else ""
    yield from heading(f"{title}{which}: {claim(clash)}")
    for sentence in clash.sentences:
        yield from sentence_lines(sentence)
    for line in (*clash.sums, *map(left_text, clash.left)):
        if line:
            yield from hung("  So: ", f"{line}.")


def claim(clash: Clash) -> str:
    """What is claimed of the sentences."""
    if len(clash.sentences) == 1:
        return "this cannot be"
    if clash.minimal:
        return "these cannot all hold, and without any one of them the others could"
    return "these cannot all hold; not proven to be as few as can be, time ran out"


def sentence_lines(sentence: Sentence) -> Iterator[str]:
    """A numbered sentence, its rule, and where it was written."""
    yield from hung(f"  ({sentence.number}) ", f"{sentence.says.text} [{sentence.says.rule}]")
    if sentence.says.where:
        shown = ", ".join(sentence.says.where[:PLACES])
        rest = len(sentence.says.where) - PLACES
        yield from hung("      ", f"{shown} and {rest} more" if rest > 0 else shown)


def left_text(left: RoomLeft) -> str:
    """What is left to the parts, where a sentence takes something away."""
    if not left.because:
        return ""
    by = listed(f"({number})" for number in left.because)
    where = f"only {listed(left.sites, 'or')}" if left.sites else "no receptacle at all"
    return f"{by} {'leave' if len(left.because) > 1 else 'leaves'} {listed(left.items)} {where}"


def ways(told: NoPlanAnswer, *, counted: bool) -> Iterator[str]:
    """The ways out."""
    if not told.do.ways_out:
        yield from none_found(told, counted=counted)
        return
    fewest = f"{told.do.size} changes are the minimum (proven); " if told.do.size > 1 else ""
    yield from heading(
        f"Ways out ({fewest}what people give up most readily first; each one gives a plan)"
    )
    for number, way in enumerate(told.do.ways_out, 1):
        yield from way_lines(number, way)
    yield ""
    yield from fill(
        "Write one of them into the build file and run `slotfit place` again: it shows the whole "
        "plan, with settings, cables and cautions."
    )


def none_found(told: NoPlanAnswer, *, counted: bool) -> Iterator[str]:
    """Nothing was found, or looked for."""
    if told.do.more:
        return
    if told.clashes:
        yield ""
        if told.do.complete:
            yield from fill(f"{NO_WAY}, with what the build file calls untouchable left alone.")
        elif told.do.stopped:
            yield from fill(f"{NO_WAY}; time ran out before all were looked at.")
        else:
            yield from fill("Ways out were not looked for, or not all of them.")
    elif not told.do.stopped:
        yield ""
        yield from fill(
            "The build is too large to say what clashes: state it with fewer parts or receptacles "
            "that still do not fit together."
            if not counted
            else "The build is too large to say more: the rest shows once these are mended."
        )


def way_lines(number: int, way: WayOutPlanned) -> Iterator[str]:
    """One way out: what to do, then what it costs."""
    for place, step in enumerate(way.steps):
        if place:
            yield from hung("     and ", f"{step.text}.")
        else:
            yield from hung(f"  {number}. ", f"{step.text[:1].upper()}{step.text[1:]}.")
        yield from step_lines(step)
    yield from plan_lines(way.plan)


def step_lines(step: WayOutStep) -> Iterator[str]:
    """What belongs to one step."""
    if step.mind:
        yield from hung("        Mind: ", step.mind.rstrip(".") + ".")
    if step.doubts:
        rest = len(step.doubts) - OTHERS
        shown = "; ".join(step.doubts[:OTHERS]) + (f"; and {rest} more" if rest > 0 else "")
        yield from hung("        Only if: ", shown + ".")
    if step.write:
        yield from hung("        Build file: ", step.write + ".")
    if step.others:
        rest = len(step.others) - OTHERS
        shown = ", ".join(step.others[:OTHERS]) + (f" and {rest} more" if rest > 0 else "")
        yield from hung("        Perhaps as well: ", shown + " (not tried).")


def plan_lines(plan: PlanInShort) -> Iterator[str]:
    """What the plan gives up, and where things go."""
    costs: list[str] = []
    short: set[int] = set()
    for price in plan.prices:
        stage, value = price.value.stage, price.value.value
        if value and value not in short and stage not in ("reserve", "spare-lanes"):
            costs.append(price.says)
            short |= {value} if stage in FLOWS else set()  # the same again is said once
    yield from hung("        Price: ", ("; ".join(costs) or "nothing else is given up") + ".")
    if not plan.proven:
        yield from hung("        ", "A better plan may exist: time ran out.")
    yield from hung(
        "        Plan: ", ", ".join(f"{receptacle} {part}" for part, receptacle in plan.seats) + "."
    )


def more(do: WaysOut) -> Iterator[str]:
    """Candidates that were not worked out."""
    if do.more:
        yield from heading("Not worked out, but as few changes; `--ways` works out more")
        for steps in do.more:
            yield from hung("  - ", "; and ".join(step.text for step in steps))
    if (do.ways_out or do.more) and not do.complete and not do.stopped:
        yield from fill("There are more of this size than were listed.", "  ")


# --- beside a plan -------------------------------------------------------------------------------


def choices_lines(told: ChoicesAnswer) -> Iterator[str]:
    """Equal plans, plans with a part elsewhere, and what hangs on each unproven fact."""
    if told.equal_plans is not None:
        yield from equal_lines(told.equal_plans)
    for one in told.elsewhere:
        yield from heading(f"The best plan with {one.item} elsewhere")
        if one.otherwise is None:
            yield "  The plan below leaves it out; `slotfit why` tells of each receptacle."
        else:
            yield from other_lines(one.otherwise, f"There is none: {one.item} can go nowhere else.")
    if told.if_false is not None:
        yield from if_false_lines(told.if_false)
    if told.stopped:
        yield ""
        yield from fill("Stopped before all that was asked for was worked out.")


def equal_lines(plans: EqualPlans) -> Iterator[str]:
    """How many plans are equally good, and what they share."""
    if plans.count == 1 and plans.complete:
        yield from heading("No other plan is as good")
        return
    several = f"{plans.count} plans" if plans.complete else f"At least {plans.count} plans"
    yield from heading(f"{several} are equally good (parts that may swap counted once)")
    if plans.same:
        alike = ", ".join(f"{listed(one.items)} {there(one.ways[0])}" for one in plans.same)
        front = "  In every one: " if plans.complete else "  In every one of these: "
        yield from hung(front, f"{alike}.")
    for one in plans.differs:
        ways = ", or ".join(f"{there(way)} ({way.plans})" for way in one.ways)
        yield from hung("  - ", f"{listed(one.items)} {ways}")


def there(way: Way) -> str:
    """`in slot4`, `in cache (2) and slot3`, or `left out`."""
    counted = Counter(way.places)
    names = [name + (f" ({number})" if number > 1 else "") for name, number in counted.items()]
    return f"in {listed(names)}" if names else "left out"


def other_lines(other: OtherPlan, none: str) -> Iterator[str]:
    """What another plan costs, and what moves for it."""
    if other.status in ("impossible", "unknown"):
        yield from fill(none if other.status == "impossible" else "Time ran out.", "  ")
        return
    if not other.changes:
        yield "  It is as good as the plan below."
    for change in other.changes:
        text = f"{change.stage}: {change.after.says} (below: {change.before.says})"
        yield from hung("  - ", text)
    if other.status == "unproven":
        yield from fill("A better one may exist: time ran out.", "  ")
    yield from hung("  Moves: ", ", ".join(map(moved_text, other.moved)) + ".")


def moved_text(one: PartMoved) -> str:
    """`hba to slot3`."""
    return (
        f"{one.item} to {one.now} (was {one.was or 'left out'})"
        if one.now
        else f"{one.item} left out"
    )


def if_false_lines(facts: tuple[PlanIfFalse, ...]) -> Iterator[str]:
    """What hangs on each fact, in the order of the facts' names."""
    yield from heading("If a fact turns out false (find out first where most depends on it)")
    if not facts:
        yield "  The plan rests on nothing unproven."
    for number, fact in enumerate(facts, 1):
        yield from hung(f"  ({number}) ", f"Unless {fact.fact.statement}:")
        none = "No plan is left: find this out before anything else."
        yield from (f"    {line}" if line else line for line in other_lines(fact.otherwise, none))
        yield from hung("      Find out: ", fact.fact.find_out + ".")
