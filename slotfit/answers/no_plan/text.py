"""Why there is no plan and what would make one, for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass

from slotfit.answers.no_plan.answer import Clash, Explanation, Sentence, Step, WayOut
from slotfit.answers.place.answer import PlaceAnswer
from slotfit.answers.place.of_plan import stage_says
from slotfit.answers.text_layout import fill, heading, hung
from slotfit.hardware.flow import short_by_link
from slotfit.listing import listed, natural
from slotfit.model.plan import Placed, Plan, StageValue


@dataclass(frozen=True, slots=True)
class SentenceView:
    """One numbered sentence of a clash."""

    number: int
    rule: str
    text: str
    where: tuple[str, ...]
    """`file:line:column` of the facts behind it."""
    reasons: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class LeftView:
    """Parts, and the receptacles that the sentences leave each of them."""

    items: tuple[str, ...]
    sites: tuple[str, ...]
    because: tuple[int, ...]
    """Numbers of the sentences that rule the others out."""


@dataclass(frozen=True, slots=True)
class ClashView:
    """One clash."""

    sentences: tuple[SentenceView, ...]
    left: tuple[LeftView, ...]
    sums: tuple[str, ...]
    minimal: bool


@dataclass(frozen=True, slots=True)
class PriceView:
    """What a plan gives up in one preference."""

    stage: str
    value: int
    bound: int
    unit: str
    says: str


@dataclass(frozen=True, slots=True)
class PlacedView:
    """A plan in short: what it gives up, and where the parts go."""

    prices: tuple[PriceView, ...]
    seats: tuple[tuple[str, str], ...]
    """Part, receptacle."""
    proven: bool
    """No better plan exists."""


@dataclass(frozen=True, slots=True)
class WayOutView:
    """One way out."""

    steps: tuple[Step, ...]
    plan: PlacedView


@dataclass(frozen=True, slots=True)
class ExplanationView:
    """The whole explanation."""

    clashes: tuple[ClashView, ...]
    further: bool | None
    ways_out: tuple[WayOutView, ...]
    size: int
    more: tuple[tuple[Step, ...], ...]
    complete: bool
    stopped: bool


def explanation_view(told: Explanation) -> ExplanationView:
    """Sentences are numbered through all clashes."""
    clashes: list[ClashView] = []
    number = 1
    for clash in told.clashes:
        clashes.append(clash_view(clash, number))
        number += len(clash.sentences)
    return ExplanationView(
        clashes=tuple(clashes),
        further=told.further,
        ways_out=tuple(way_view(way) for way in told.ways),
        size=told.size,
        more=told.more,
        complete=told.complete,
        stopped=told.stopped,
    )


def clash_view(clash: Clash, first: int) -> ClashView:
    """One clash, its sentences numbered from `first`."""
    numbered = list(enumerate(clash.sentences, first))
    return ClashView(
        tuple(sentence_view(number, sentence) for number, sentence in numbered),
        tuple(
            LeftView(
                left.items,
                left.sites,
                tuple(n for n, sentence in numbered if sentence.refuses.intersection(left.items)),
            )
            for left in clash.left
        ),
        clash.sums,
        clash.minimal,
    )


def sentence_view(number: int, sentence: Sentence) -> SentenceView:
    """One sentence."""
    where = tuple(str(span) for span in sentence.spans)
    return SentenceView(number, sentence.rule, sentence.text, where, sentence.reasons)


def way_view(way: WayOut) -> WayOutView:
    """One way out."""
    return WayOutView(way.steps, placed_view(way.placed))


def placed_view(placed: Placed) -> PlacedView:
    """A plan in short."""
    plan = placed.plan or Plan()
    seats = sorted((natural(s.receptacle), s.part, s.receptacle) for s in plan.seats)
    return PlacedView(
        prices=tuple(price_view(placed, plan, stage) for stage in plan.stages),
        seats=tuple((part, receptacle) for _, part, receptacle in seats),
        proven=all(stage.proven for stage in plan.stages),
    )


def price_view(placed: Placed, plan: Plan, stage: StageValue) -> PriceView:
    """One preference; bandwidth with the links that are too slow."""
    says = stage_says(placed.problem, stage)
    if stage.stage == "bandwidth" and stage.value:
        links = short_by_link(placed.problem, plan.seats)
        says += f" at {', '.join(sorted(map(str, links), key=natural))}"
    return PriceView(stage.stage, stage.value, stage.bound, stage.unit, says)


PLACES = 3
"""So many places in files are shown for one sentence; JSON has them all."""

OTHERS = 3
"""So many alternatives to a bought thing are named."""


NO_WAY = "No way out was found among single changes and small sets of them"


def explanation_text(answer: PlaceAnswer, view: ExplanationView) -> str:
    """The answer that there is no plan, clashes, ways out, and what was not looked at."""
    first = [answer.title, *fill(answer.verdict.headline + ".")]
    return "\n".join(line.rstrip() for line in (*first, *lines(view))) + "\n"


def lines(view: ExplanationView) -> Iterator[str]:
    """Top down."""
    for number, clash in enumerate(view.clashes):
        yield from clash_lines(clash, number, len(view.clashes))
    yield from further(view)
    yield from ways(view)
    yield from more(view)
    if view.stopped:
        yield ""
        yield from fill(
            "Stopped, or out of time: what is above is proven; there may be smaller clashes and "
            "other ways out. `--seconds` gives it longer."
        )


def clash_lines(clash: ClashView, number: int, of: int) -> Iterator[str]:
    """One clash: its sentences, and what they come to."""
    title = "Why" if not number else "And besides"
    which = f" ({number + 1} of {of}, no two of which share a fact)" if of > 1 else ""
    yield from heading(f"{title}{which}: {claim(clash)}")
    for sentence in clash.sentences:
        yield from sentence_lines(sentence)
    for line in (*clash.sums, *map(left_text, clash.left)):
        if line:
            yield from hung("  So: ", f"{line}.")


def claim(clash: ClashView) -> str:
    """What is claimed of the sentences."""
    if len(clash.sentences) == 1:
        return "this cannot be"
    if clash.minimal:
        return "these cannot all hold, and without any one of them the others could"
    return "these cannot all hold; not proven to be as few as can be, time ran out"


def sentence_lines(sentence: SentenceView) -> Iterator[str]:
    """A numbered sentence, its rule, and where it was written."""
    yield from hung(f"  ({sentence.number}) ", f"{sentence.text} [{sentence.rule}]")
    if sentence.where:
        shown = ", ".join(sentence.where[:PLACES])
        rest = len(sentence.where) - PLACES
        yield from hung("      ", f"{shown} and {rest} more" if rest > 0 else shown)


def left_text(left: LeftView) -> str:
    """What is left to the parts, where a sentence takes something away."""
    if not left.because:
        return ""
    by = listed(f"({number})" for number in left.because)
    where = f"only {listed(left.sites, 'or')}" if left.sites else "no receptacle at all"
    return f"{by} {'leave' if len(left.because) > 1 else 'leaves'} {listed(left.items)} {where}"


def further(view: ExplanationView) -> Iterator[str]:
    """Whether that is all that stands in the way."""
    if view.clashes and view.further is None:
        yield ""
        yield from fill("There may be more that stands in the way beside this.")


def ways(view: ExplanationView) -> Iterator[str]:
    """The ways out."""
    if not view.ways_out:
        yield from none_found(view)
        return
    fewest = f"fewer than {view.size} changes do not do; " if view.size > 1 else ""
    yield from heading(
        f"Ways out ({fewest}what people give up most readily first; each one gives a plan)"
    )
    for number, way in enumerate(view.ways_out, 1):
        yield from way_lines(number, way)
    yield ""
    yield from fill(
        "Write one of them into the build file and run `slotfit place` again: it shows the whole "
        "plan, with settings, cables and cautions."
    )


def none_found(view: ExplanationView) -> Iterator[str]:
    """Nothing was found, or looked for."""
    if view.more:
        return
    if view.clashes:
        yield ""
        if view.complete:
            yield from fill(f"{NO_WAY}, with what the build file calls untouchable left alone.")
        elif view.stopped:
            yield from fill(f"{NO_WAY}; time ran out before all were looked at.")
        else:
            yield from fill("Ways out were not looked for, or not all of them.")
    elif not view.stopped:
        yield ""
        yield from fill(
            "The build is too large to say what clashes: state it with fewer parts or receptacles "
            "that still do not fit together."
        )


def way_lines(number: int, way: WayOutView) -> Iterator[str]:
    """One way out: what to do, then what it costs."""
    for place, step in enumerate(way.steps):
        front = f"  {number}. " if not place else "     and "
        yield from hung(front, capital(step.text) + "." if not place else step.text + ".")
        yield from step_lines(step)
    yield from plan_lines(way.plan)


def step_lines(step: Step) -> Iterator[str]:
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


def plan_lines(plan: PlacedView) -> Iterator[str]:
    """What the plan gives up, and where things go."""
    costs = [price.says for price in plan.prices if price.value and price.stage != "reserve"]
    yield from hung("        Price: ", ("; ".join(costs) or "nothing else is given up") + ".")
    if not plan.proven:
        yield from hung("        ", "A better plan may exist: time ran out.")
    yield from hung(
        "        Plan: ", ", ".join(f"{receptacle} {part}" for part, receptacle in plan.seats) + "."
    )


def more(view: ExplanationView) -> Iterator[str]:
    """Candidates that were not worked out."""
    if view.more:
        yield from heading("Not worked out, but as few changes; `--ways` works out more")
        for line in single_lines(view.more):
            yield from hung("  - ", line)
    if not view.complete and not view.stopped:
        yield from fill("There are more of this size than were listed.", "  ")


def single_lines(candidates: Iterable[Sequence[Step]]) -> Iterator[str]:
    """One line a candidate."""
    for steps in candidates:
        yield "; and ".join(step.text for step in steps)


def capital(text: str) -> str:
    """The first letter as at the start of a sentence."""
    return text[:1].upper() + text[1:]
