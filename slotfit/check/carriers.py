"""Asked backwards: which kinds of carrier would show how many drives in each receptacle."""

from __future__ import annotations

from collections.abc import Iterable, Sequence
from dataclasses import dataclass

from slotfit.check.all_sites import verdicts
from slotfit.check.answer import Verdict, Word
from slotfit.check.bench import Bench
from slotfit.check.other_parts import rate
from slotfit.check.question import Question
from slotfit.check.verdict import order
from slotfit.model.part import Part
from slotfit.model.problem import Problem, Site
from slotfit.natural_order import natural
from slotfit.rule import PlanRule, SeatRule

Kind = tuple[object, ...]


@dataclass(frozen=True)
class Choice:
    """The best carrier of its kind in one receptacle."""

    part: Part
    verdict: Verdict
    forms: tuple[str, ...]
    """Forms of socket that carriers of the kind come with."""


@dataclass(frozen=True)
class Slot:
    """One receptacle and what would show drives in it, the most first."""

    site: Site
    problem: Problem
    choices: tuple[Choice, ...]


def kind_of(part: Part) -> Kind:
    """What tells one kind of carrier from another: how many drives on which lanes, and how."""
    links = tuple((link.at, link.lanes) for link in part.links)
    return (part.wiring, part.plug.form, part.plug.width, links, len(part.receptacles))


def by_slot(
    questions: Iterable[Question],
    seat_rules: Sequence[SeatRule],
    plan_rules: Sequence[PlanRule],
) -> tuple[Slot, ...]:
    """One question a carrier; receptacles that take none are left out."""
    tried: dict[str, dict[Kind, list[Choice]]] = {}
    found: dict[str, tuple[Site, Problem]] = {}
    for question in questions:
        part = question.item.part
        forms = tuple(dict.fromkeys(socket.form for socket in part.receptacles))
        for verdict in verdicts(Bench(question, seat_rules, plan_rules)):
            if verdict.word is not Word.NO:
                found[verdict.site.id] = (verdict.site, question.problem)
                kinds = tried.setdefault(verdict.site.id, {})
                kinds.setdefault(kind_of(part), []).append(Choice(part, verdict, forms))
    slots = [
        Slot(*found[name], tuple(sorted(map(best_of, kinds.values()), key=worth)))
        for name, kinds in tried.items()
    ]
    return tuple(sorted(slots, key=in_sight))


def best_of(alike: list[Choice]) -> Choice:
    """The best of one kind, with every form of socket that the kind comes with."""
    best = min(alike, key=worth)
    forms = dict.fromkeys(form for choice in alike for form in choice.forms)
    return Choice(best.part, best.verdict, tuple(sorted(forms)))


def worth(choice: Choice) -> tuple[object, ...]:
    """Most drives first, for certain before perhaps; then the fastest, then the plainest."""
    verdict = choice.verdict
    outcome = verdict.outcome
    if outcome is None:
        return (1,)
    perhaps = not outcome.certain
    size = (choice.part.wiring != "passive", choice.part.plug.width or 0)
    return (0, -outcome.alive, perhaps, -rate(outcome), size, order(outcome), choice.part.id)


def in_sight(slot: Slot) -> tuple[object, ...]:
    """Slots of the row from left to right, then the rest."""
    receptacle = slot.site.receptacle
    return (not receptacle.row, receptacle.position if receptacle.row else 0, natural(slot.site.id))
