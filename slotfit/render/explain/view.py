"""Why there is no plan and what would make one, as plain values for text and for programs."""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.explain.told import Clash, Explanation, Sentence, Step, WayOut
from slotfit.hardware.flow import short_by_link
from slotfit.model.placed import Placed
from slotfit.model.plan import Plan, StageValue
from slotfit.natural_order import natural
from slotfit.render.stage_words import stage_view


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
    plan = placed.answer.plan or Plan((), {}, (), (), ())
    seats = sorted((natural(s.site), s.item, s.site) for s in plan.seats)
    return PlacedView(
        prices=tuple(price_view(placed, plan, stage) for stage in plan.stages),
        seats=tuple((item, site) for _, item, site in seats),
        proven=all(stage.proven for stage in plan.stages),
    )


def price_view(placed: Placed, plan: Plan, stage: StageValue) -> PriceView:
    """One preference; bandwidth with the links that are too slow."""
    says = stage_view(placed.problem, stage).says
    if stage.stage == "bandwidth" and stage.value:
        links = short_by_link(placed.problem, plan.seats)
        says += f" at {', '.join(sorted(links, key=natural))}"
    return PriceView(stage.stage, stage.value, stage.bound, stage.unit, says)
