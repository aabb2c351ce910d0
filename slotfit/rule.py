"""What a rule is."""

from __future__ import annotations

from collections.abc import Callable, Iterator
from dataclasses import dataclass
from typing import Literal, assert_never

from slotfit.model.board import Arrangement
from slotfit.model.clause import Clause
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.seat import Offer, Seat, Seating, Trained, Verdict
from slotfit.model.span import Span
from slotfit.model.words import Scope

Severity = Literal["forbids", "asks"]
"""forbids: a plan that breaks it does not work. asks: it was wished for in the build file."""


@dataclass(frozen=True, slots=True)
class Trial:
    """One part held to one receptacle, before anything else is decided."""

    problem: Problem
    rig: Rig
    item: Item
    site: Site
    offer: Offer
    links: tuple[Trained, ...]
    arrangements: tuple[str, ...] = ()

    @property
    def air_lfm(self) -> float | None:
        """Air that moves here, in LFM; None if nobody has said."""
        return air_over(self.problem, self.site, self.offer.machine)


def arrangement_of(trial: Trial) -> Arrangement | None:
    """The arrangement the seat needs, if it hangs on one; nested seats leave that to their owner."""
    if not trial.arrangements or trial.offer.depth:
        return None
    group = trial.rig.group_of[trial.site.receptacle.id]
    return next(way for way in group.arrangements if way.id == trial.arrangements[0])


def air_over(problem: Problem, site: Site, machine: str) -> float | None:
    """Air over a receptacle, in LFM: its own figure, else the machine's, else the chassis'."""
    rig = problem.rig[machine]
    said = (
        site.receptacle.airflow_lfm,
        rig.machine.airflow_lfm,
        rig.chassis.airflow_lfm if rig.chassis else None,
    )
    return next((lfm for lfm in said if lfm is not None), None)


def length_room_mm(problem: Problem, site: Site, machine: str) -> float | None:
    """Room for a card's length: the smaller of receptacle and chassis, in mm."""
    chassis = problem.rig[machine].chassis
    said = (site.receptacle.length_mm, chassis.card_length_mm if chassis else None)
    return min((room for room in said if room is not None), default=None)


def hangs_on(offer: Offer, processor: str) -> bool:
    """Whether the lanes come from `cpu0`, or from `machine/cpu0`."""
    return processor in (offer.processor, f"{offer.machine}/{offer.processor}")


def place_in(scope: Scope, seat: Seat) -> str | None:
    """Where a seat is, as far as `together` and `apart` care; None if it is in no such place."""
    offer = seat.offer
    match scope:
        case "machine":
            return offer.machine
        case "processor":
            return f"{offer.machine}/{offer.processor}" if offer.processor else None
        case "lane-group":
            return offer.group
        case "hub":
            return next((hop for hop in offer.hops if "/" in hop), None)
        case "carrier":
            return offer.carriers[0] if offer.carriers else None
        case _:
            assert_never(scope)


@dataclass(frozen=True, slots=True)
class SeatRule:
    """Judges one seat on its own: nothing, an objection, or a doubt."""

    id: str
    title: str
    """The fault, as a noun phrase."""
    why: str
    source: str
    judge: Callable[[Trial], Iterator[Verdict]]
    severity: Severity = "forbids"


@dataclass(frozen=True, slots=True)
class PlanRule:
    """States what couples the seats of a plan, as clauses."""

    id: str
    title: str
    why: str
    source: str
    state: Callable[[Problem, Seating], Iterator[Clause]]
    severity: Severity = "forbids"


Rule = SeatRule | PlanRule


def written(*spans: Span | None) -> tuple[Span, ...]:
    """The places that are known, each once, in order."""
    return tuple(dict.fromkeys(span for span in spans if span))
