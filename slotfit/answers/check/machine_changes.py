"""What would make a part work: a change to the machine, of those that ways out of a build know."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import replace

from slotfit.answers.check.advice import advised, outcome_at, shows
from slotfit.answers.check.answer import Advice
from slotfit.answers.check.question import LayoutModel
from slotfit.answers.check.verdict import Verdict, Word, verdicts
from slotfit.answers.no_plan.give_up import Amend, Change, Option
from slotfit.answers.no_plan.machines import brackets, cases, processors, supplies
from slotfit.answers.no_plan.shop import Shop


def own_bracket(model: LayoutModel, found: Sequence[Verdict]) -> Iterator[Advice]:
    """The other bracket on the part asked about."""
    changes = brackets(model.problem)
    part = model.question.part_id
    yield from made(model, found, (one for one in changes if one.subject == part))


def other_machine(model: LayoutModel, found: Sequence[Verdict], shop: Shop) -> Iterator[Advice]:
    """Another supply, a processor more, another chassis: of each kind the one nearest to it."""
    problem = model.problem
    changes = (*supplies(problem, shop), *processors(problem), *cases(problem, shop))
    yield from made(model, found, changes)


def made(
    model: LayoutModel, found: Sequence[Verdict], changes: Iterable[Change]
) -> Iterator[Advice]:
    """Of each change the first option with which the part works; what is not known is found out."""
    if not found or found[0].word is Word.NOT_KNOWN:
        return
    for change in changes:
        # Of many things to buy none helps where knowing nothing of the old one does not.
        if change.asks and shows(once(model, change.asks)[1]) <= shows(found[0]):
            continue
        tried = ((option, *once(model, option.made)) for option in change.options)
        helps = (told for told in tried if told[2].good and keeps_today(model, told[1]))
        if best := next(helps, None):
            yield advice_of(change, best[0], best[2])


def once(model: LayoutModel, made: Amend) -> tuple[LayoutModel, Verdict]:
    """The same question once the change is made, and its best verdict."""
    question = replace(model.question, problem=made(model.problem))
    changed = LayoutModel(question, model.seat_rules, model.plan_rules)
    return changed, verdicts(changed)[0]


def keeps_today(model: LayoutModel, changed: LayoutModel) -> bool:
    """Whether what works today still does."""
    today = model.question.today
    before, after = (one.lay(today, {}, also=tuple(today)) for one in (model, changed))
    return before.working.keys() <= after.working.keys() and (
        not after.broken or bool(before.broken)
    )


def advice_of(change: Change, option: Option, then: Verdict) -> Advice:
    """What to do, what comes of it, what to mind."""
    do = option.words(None)
    mind = f" {sentence(option.mind)}" if option.mind else ""
    text = f"{sentence(do)} Then {outcome_at(then)}.{mind}"
    return advised(change.kind, text, then, option.called or None)


def sentence(text: str) -> str:
    return f"{text[0].upper()}{text[1:]}."
