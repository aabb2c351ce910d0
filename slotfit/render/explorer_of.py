"""
For every part and every receptacle: would it work there, and why (not).

All of it comes from the seats and refusals that the rules left; the page only shows it.
"""

from __future__ import annotations

from dataclasses import dataclass

from slotfit.model.plan import Plan
from slotfit.model.problem import Item, Problem, Site
from slotfit.model.seat import Seat, Seating, Trained
from slotfit.render.words import link_text
from slotfit.standards.forms import fit_of

HERE, WORKS, ONCE_SET, IN_PART, NOT_KNOWN, NO = VERDICTS = (
    "in the plan",
    "works",
    "works once set",
    "works in part",
    "not known",
    "does not work",
)
"""Best first. Each says what becomes of the part there on its own; others may want the place."""


@dataclass(frozen=True, slots=True)
class Verdict:
    """One part in one receptacle."""

    part: str
    site: str
    verdict: str
    says: tuple[str, ...]
    """How it trains, under which setting."""
    reasons: tuple[str, ...]
    """Why not, or what it rests on."""


@dataclass(frozen=True, slots=True)
class Explorer:
    """Everything the page lets a reader ask."""

    parts: tuple[tuple[str, str], ...]
    """Item, name."""
    sites: tuple[tuple[str, str, str], ...]
    """Site, label, form and owner in words."""
    verdicts: tuple[Verdict, ...]


@dataclass(frozen=True, slots=True)
class Asked:
    """What the verdicts are drawn from."""

    problem: Problem
    plan: Plan | None
    seats: dict[tuple[str, str], list[Seat]]
    refusals: dict[tuple[str, str], dict[str, None]]


def explorer_of(problem: Problem, seating: Seating, plan: Plan | None) -> Explorer:
    """Every pair of a part and a receptacle of another thing."""
    asked = Asked(problem, plan, {}, {})
    for seat in seating.seats:
        asked.seats.setdefault((seat.item, seat.site), []).append(seat)
    for refusal in seating.refusals:
        pair = asked.refusals.setdefault((refusal.seat.item, refusal.seat.site), {})
        pair.update((objection.reason, None) for objection in refusal.objections)
    brackets = any(item.part.plug.form == "opening" for item in problem.items)
    sites = [site for site in problem.sites if brackets or site.receptacle.form != "opening"]
    return Explorer(
        tuple((item.id, item.part.name or item.part.id) for item in problem.items),
        tuple((site.id, label_of(site), about(problem, site)) for site in sites),
        tuple(
            verdict_on(asked, item, site)
            for item in problem.items
            for site in sites
            if item.id not in (site.owner, bearer(problem, site))
        ),
    )


def bearer(problem: Problem, site: Site) -> str:
    """The machine or part that one can touch."""
    return site.owner if site.on_board else problem.item[site.owner].companion_of or site.owner


def label_of(site: Site) -> str:
    """What is printed beside it."""
    return site.receptacle.label or site.receptacle.id


def about(problem: Problem, site: Site) -> str:
    """`cem, on texts`."""
    many = len(problem.rigs) > 1
    where = f", on {bearer(problem, site)}" if many or not site.on_board else ""
    return f"{site.receptacle.form}{where}"


def verdict_on(asked: Asked, item: Item, site: Site) -> Verdict:
    """One pair."""
    seats = asked.seats.get((item.id, site.id), [])
    chosen = next((s for s in asked.plan.seats if s.item == item.id), None) if asked.plan else None
    if chosen is not None and chosen.site == site.id:
        return Verdict(item.id, site.id, HERE, ways(asked, [chosen]), facts_of(chosen))
    if not seats:
        return Verdict(item.id, site.id, NO, (), why_not(asked, item, site))
    best = min(seats, key=lambda seat: (seat.dark, len(seat.facts), needs_setting(asked, seat)))
    return Verdict(item.id, site.id, word(asked, best), ways(asked, seats), facts_of(best))


def word(asked: Asked, seat: Seat) -> str:
    """The verdict on the best seat there is."""
    if seat.facts:
        return NOT_KNOWN
    if seat.dark:
        return IN_PART
    return ONCE_SET if needs_setting(asked, seat) else WORKS


def facts_of(seat: Seat) -> tuple[str, ...]:
    """What nobody has proven."""
    return tuple(f"rests on: {fact.statement}" for fact in seat.facts)


def needs_setting(asked: Asked, seat: Seat) -> bool:
    """Whether the board has to be told: what it does by itself is not among the arrangements."""
    if not seat.arrangements or seat.offer.group is None:
        return False
    machine, _, name = seat.offer.group.partition("/")
    groups = asked.problem.rig[machine].board.lane_groups
    group = next(group for group in groups if group.id == name)
    return group.arrangements[0].id not in seat.arrangements


def why_not(asked: Asked, item: Item, site: Site) -> tuple[str, ...]:
    """Every reason the rules gave; else that its own carrier has no place."""
    given = asked.refusals.get((item.id, site.id))
    if given:
        return tuple(given)
    fit = fit_of(item.part.plug.form, site.receptacle.form)
    if not fit.fits:
        return (fit.reason,)
    return (f"{bearer(asked.problem, site)} cannot carry it from any place of its own",)


def ways(asked: Asked, seats: list[Seat]) -> tuple[str, ...]:
    """How it would train, each way once, with the settings that make it so."""
    found: dict[str, list[str]] = {}
    for seat in seats:
        found.setdefault(trained(seat.links), []).extend(settings_of(asked, seat))
    return tuple(
        text
        + (f" with {' or '.join(f'“{name}”' for name in dict.fromkeys(names))}" if names else "")
        for text, names in found.items()
    )


def settings_of(asked: Asked, seat: Seat) -> list[str]:
    """What has to be chosen for this seat; nothing where there is no choice."""
    if not seat.arrangements or seat.offer.group is None:
        return []
    machine, _, name = seat.offer.group.partition("/")
    for group in asked.problem.rig[machine].board.lane_groups:
        if group.id == name and len(group.arrangements) > len(seat.arrangements):
            return [
                way.setting or str(way.id)
                for way in group.arrangements
                if way.id in seat.arrangements and way.chosen_by != "presence"
            ]
    return []


def trained(links: tuple[Trained, ...]) -> str:
    """`8 GT/s x8`; `1 of 4 links: 16 GT/s x4`; `power and room only`."""
    if not links:
        return "power and room only"
    alive = [link for link in links if link.lanes]
    texts = dict.fromkeys(link_text(link.bus, link.generation, link.lanes) for link in alive)
    each = " and ".join(texts) or "no link"
    return each if len(links) == 1 else f"{len(alive)} of {len(links)} links: {each}"
