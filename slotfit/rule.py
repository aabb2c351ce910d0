"""What a rule is."""

from collections.abc import Callable, Iterator
from typing import Literal, NamedTuple, assert_never

from slotfit.model.board import Arrangement
from slotfit.model.clause import Clause
from slotfit.model.entity import Span
from slotfit.model.part import Part
from slotfit.model.problem import Item, Problem, Rig, Site
from slotfit.model.seat import Offer, Seat, Seating, Trained, Verdict
from slotfit.model.words import Scope

Severity = Literal["forbids", "asks"]
"""forbids: a plan that breaks it does not work. asks: it was wished for in the build file."""


class Trial(NamedTuple):
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


def trial_of(problem: Problem, seat: Seat) -> Trial:
    """What the rules were asked when the seat was made."""
    return Trial(
        problem,
        problem.rig[seat.offer.machine],
        problem.item[seat.item],
        problem.site[seat.site],
        seat.offer,
        seat.links,
        seat.arrangements,
    )


def arrangement_of(trial: Trial) -> Arrangement | None:
    """The arrangement the seat needs, if any; what is nested leaves that to its owner."""
    if not trial.arrangements or trial.offer.depth:
        return None
    group = trial.rig.group_of[trial.site.receptacle.id]
    return next(way for way in group.arrangements if way.id == trial.arrangements[0])


def division(way: Arrangement) -> str:
    """How to call an arrangement: by what the menu says, else by who gets what."""
    return repr(way.setting or gets(way))


def gets(way: Arrangement) -> str:
    """
    Who gets what under an arrangement, in words.

    >>> gets(Arrangement(gives={"slot1": (8,), "slot3": (4, 4), "sata1": ("sata",)}))
    'slot1 x8, slot3 x4+x4, sata1 SATA'
    """
    given = [
        f"{name} {'+'.join(f'x{w}' if isinstance(w, int) else w.upper() for w in widths)}"
        for name, widths in way.gives.items()
        if widths
    ]
    return ", ".join(given) or "no lanes for anybody"


def opening_at(trial: Trial) -> str | None:
    """Height class of the bracket opening: the receptacle's word first, else the chassis'."""
    if trial.site.receptacle.bracket:
        return trial.site.receptacle.bracket
    chassis = trial.rig.chassis
    return chassis.bracket if chassis and trial.site.on_board else None


def air_over(problem: Problem, site: Site, machine: str) -> float | None:
    """Air over a receptacle, in LFM: its own figure, else the machine's, else the chassis'."""
    rig = problem.rig[machine]
    said = (
        site.receptacle.airflow_lfm,
        rig.machine.airflow_lfm,
        rig.chassis.airflow_lfm if rig.chassis else None,
    )
    return next((lfm for lfm in said if lfm is not None), None)


def is_function(part: Part) -> bool:
    """Whether a guest can be given the part: it answers on the bus, not only passes lanes on."""
    own = any(link.bus == "pcie" and not link.to for link in part.links)
    return own and part.wiring != "switch"


def hangs_on(offer: Offer, processor: str) -> bool | None:
    """Whether the lanes come from `cpu0`, or from `machine/cpu0`; None if nobody has said."""
    if offer.processor is None:
        return None
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


def is_place_unknown(scope: Scope, offer: Offer) -> bool:
    """Whether nobody has said where in that sense it is; being in no such place is known."""
    return scope in ("processor", "hub") and offer.processor is None


class SeatRule(NamedTuple):
    """Judges one seat on its own: nothing, an objection, or a doubt."""

    id: str
    title: str
    """The fault, as a noun phrase."""
    why: str
    source: str
    judge: Callable[[Trial], Iterator[Verdict]]
    severity: Severity = "forbids"


class PlanRule(NamedTuple):
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
