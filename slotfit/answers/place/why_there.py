"""How receptacles, boards and what sits on them are called in a sentence."""

from __future__ import annotations

from slotfit.answers.text_layout import link_text
from slotfit.hardware.flow import capacity
from slotfit.listing import natural
from slotfit.model.board import LaneGroup
from slotfit.model.part import Receptacle
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem, Rig, Site
from slotfit.model.seat import Refusal, Seat, Seating
from slotfit.standards.forms import FORMS


def label(site: Site) -> str:
    """The name printed beside it, with its id where the two are spelt otherwise."""
    printed, name = site.receptacle.label, short_name(site)
    return name if printed in (None, name) else f"{name} ({printed})"


def short_name(site: Site) -> str:
    """The name to use in a sentence: what is printed if that is spelt like the id."""
    printed = site.receptacle.label or ""
    return printed if letters(printed) == letters(site.id) else site.id


def letters(name: str) -> str:
    """A name without case and spaces."""
    return "".join(one for one in name.lower() if one.isalnum())


def receptacle_named(problem: Problem, machine: str, name: str) -> str:
    """A receptacle of a board by its id, called as in a sentence."""
    for site in problem.sites:
        if site.on_board and site.owner == machine and site.receptacle.id == name:
            return short_name(site)
    return name


def about(problem: Problem, site: Site) -> str:
    """`x16 slot, wired x8, 16 GT/s, CPU1`: what is known of it."""
    receptacle = site.receptacle
    said = [shape(receptacle)]
    if not site.on_board:
        return ", ".join([*said, f"on {site.owner}"])
    rig = problem.rig[site.owner]
    group = rig.group_of.get(receptacle.id)
    if group is None:
        return ", ".join([*said, *(["no lanes"] if FORMS[receptacle.form].buses else [])])
    return ", ".join([*said, wired(receptacle, group), *speed(group), origin(rig, group.from_)])


def shape(receptacle: Receptacle) -> str:
    """What the receptacle is."""
    if receptacle.form != "cem":
        return FORMS[receptacle.form].title
    size = f"x{receptacle.width} slot" if receptacle.width else "slot of unknown length"
    return size + (", open end" if receptacle.open_end else "")


def wired(receptacle: Receptacle, group: LaneGroup) -> str:
    """Lanes that reach it at most."""
    ways = [way for way in group.arrangements if way.gives.get(receptacle.id)]
    if not ways:
        return "no lanes"
    if all(way.proof is None for way in ways):
        return "wiring not known"
    lanes = max(pcie_lanes(way.gives[receptacle.id]) for way in ways)
    buses = dict.fromkeys(
        str(width).upper()
        for way in ways
        for width in way.gives[receptacle.id]
        if isinstance(width, str)
    )
    return "wired " + " or ".join([*([f"x{lanes}"] if lanes else []), *buses])


def pcie_lanes(widths: tuple[int | str, ...]) -> int:
    """PCIe lanes in all."""
    return sum(width for width in widths if isinstance(width, int))


def speed(group: LaneGroup) -> tuple[str, ...]:
    """`16 GT/s`."""
    if group.bus != "pcie":
        return (link_text(group.bus, group.generation, 1),) if group.generation else ()
    if group.generation is None:
        return ("speed not known",)
    return (link_text("pcie", group.generation, 1).removesuffix(" x1"),)


def origin(rig: Rig, from_: str | None) -> str:
    """The processor, or the hub behind it, as printed."""
    if from_ is None:
        return "processor not known"
    labels = {one.id: one.label for one in rig.board.processors}
    labels |= {one.id: one.label for one in rig.board.hubs}
    return labels.get(from_) or from_


def board_of(problem: Problem) -> tuple[str, str]:
    """Id and name of the board, or of the build if it has several."""
    if len(problem.rigs) > 1:
        return problem.id, problem.name or problem.id
    board = problem.rigs[0].board
    return board.id, board.name or board.id


SOCKET_NAMES = {
    "m2-m": "M.2",
    "m2-b": "M.2 key B",
    "m2-e": "M.2 key E",
    "u2": "U.2",
    "u3": "U.3",
    "e1s": "E1.S",
    "e1l": "E1.L",
    "e3s": "E3.S",
    "e3l": "E3.L",
    "cem": "slot",
}


def socket_name(form: str) -> str:
    """How the trade calls a socket of a form, in short."""
    return SOCKET_NAMES.get(form, form)


MOST_NAMED = 3
"""More receptacles than these are only counted."""


def reason_of(problem: Problem, seating: Seating, plan: Plan, seat: Seat) -> str:
    """One or two sentences without the last full stop; empty for parts on other parts."""
    if seat.offer.depth or not problem.item[seat.item].part.links:
        return ""
    best = best_by_site(seating, seat.item)
    holders = {other.site: other.item for other in plan.seats}
    here = outcome(seat)
    others = {site: value for site, value in best.items() if site != seat.site}
    if not others:
        return nowhere_else(seating, seat)
    better = [site for site, value in others.items() if value > here]
    if better:
        return f"on its own it would do better in {named(better, holders)}"
    equal = [site for site, value in others.items() if value == here]
    if equal:
        return f"on its own it would do as well in {named(equal, holders)}"
    return f"does best here; less in {named(list(others), holders)}"


def outcome(seat: Seat) -> tuple[int, int, int]:
    """What a seat is worth to its part: links alive, MB/s, and nothing unproven."""
    return (seat.alive, capacity(seat), -len(seat.facts))


def best_by_site(seating: Seating, item: str) -> dict[str, tuple[int, int, int]]:
    """Board receptacle -> the part's best outcome there, whatever else sits on the board."""
    best: dict[str, tuple[int, int, int]] = {}
    for seat in seating.every(item):
        if not seat.offer.depth:
            best[seat.site] = max(best.get(seat.site, (0, 0, 0)), outcome(seat))
    return best


def named(sites: list[str], holders: dict[str, str]) -> str:
    """`slot3 (holds cache), slot5 (empty) and 2 more`."""
    ordered = sorted(sites, key=natural)
    texts = [
        f"{site} (holds {holders[site]})" if site in holders else f"{site} (stays empty)"
        for site in ordered[:MOST_NAMED]
    ]
    more = len(ordered) - MOST_NAMED
    return ", ".join(texts) + (f" and {more} more" if more > 0 else "")


def nowhere_else(seating: Seating, seat: Seat) -> str:
    """The only receptacle that takes it, with the others' reasons, nearest miss first."""
    misses: dict[str, str] = {}
    for refusal in sorted(refusals_of(seating, seat.item), key=nearness):
        if refusal.seat.site != seat.site:
            misses.setdefault(refusal.seat.site, refusal.objections[0].text)
    if not misses:
        return "no other receptacle has its form"
    reasons = list(dict.fromkeys(misses[site] for site in sorted(misses, key=natural)))
    more = len(reasons) - MOST_NAMED
    text = "; ".join(reasons[:MOST_NAMED]) + (f"; and {more} more" if more > 0 else "")
    return f"nothing else takes it: {text}"


def nearness(refusal: Refusal) -> tuple[int, int]:
    """The nearest miss first: most links alive, fewest objections."""
    return (-refusal.seat.alive, len(refusal.objections))


def refusals_of(seating: Seating, item: str) -> list[Refusal]:
    """The part's refused seats on boards, but for receptacles of another form."""
    return [
        refusal
        for refusal in seating.refusals
        if refusal.seat.item == item
        and not refusal.seat.offer.depth
        and not any(objection.is_about_forms for objection in refusal.objections)
    ]
