"""FIT004: two bodies in one place."""

from collections.abc import Iterator, Mapping, Sequence

from slotfit.hardware.room import Position, bodies_by_position
from slotfit.listing import listed
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Item, Problem
from slotfit.model.reason import Cited, No, Told, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One body a position of a slot row."""
    sites = {(*site.row, site.receptacle.position): site.id for site in problem.sites if site.row}
    for position, seats in bodies_by_position(problem, seating.seats).items():
        if len({seat.site for seat in seats}) > 1:
            reason = meeting(problem, position, seats, sites.get(position))
            yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "bodies")


def meeting(problem: Problem, position: Position, seats: list[Seat], site: str | None) -> No:
    """Which bodies would meet there."""
    owner, row, number = position
    reaching = sorted({seat.item for seat in seats if seat.site != site})
    parts = [(item, problem.item[item].part) for item in reaching]
    facts = tuple(Cited("part", item, part, "thickness") for item, part in parts)
    bodies = tuple((item, part.thickness) for item, part in parts)
    detail = {"position": position}
    if site:
        return RULE.no("slot", {"receptacle": site}, facts, detail, bodies=bodies)
    return RULE.no("gap", {"owner": owner}, facts, detail, row=row, number=number, bodies=bodies)


def reach(bodies: Sequence[tuple[str, int | None]]) -> str:
    """Which bodies do."""
    names = " or ".join(f"{item} ({thickness} slots thick)" for item, thickness in bodies)
    return f"{names} {'reaches' if len(bodies) == 1 else 'reach'}"


def together(reasons: Sequence[No], required: Mapping[str, Item]) -> list[Told]:
    """The places with room for one body each, and which required parts are thick."""
    text = f"{listed(map(place, reasons))} "
    text += "has room for one body" if len(reasons) == 1 else "have room for one body each"
    thick: dict[int, list[Item]] = {}
    for item in required.values():
        if (item.part.thickness or 1) > 1:
            thick.setdefault(item.part.thickness or 1, []).append(item)
    for thickness, items in sorted(thick.items()):
        verb = "is" if len(items) == 1 else "are"
        text += f", and {listed(item.id for item in items)} {verb} {thickness} slots thick"
    found = [item.part.span("thickness") for _, items in sorted(thick.items()) for item in items]
    return [Told(tuple(reasons), text, tuple(dict.fromkeys(span for span in found if span)))]


def place(reason: No) -> str:
    """The receptacle where they meet, or the place's number in its row."""
    told = reason.told
    return told.get("receptacle") or "position {number} of row {row} of {owner}".format_map(told)


MEETING = "has room for one body, and {bodies} into it from beside"

RULE = PlanRule(
    id="FIT004",
    title="two bodies in one place",
    why="A thick card covers the positions beside its own; nothing else fits there.",
    source="CEM slot pitch of 20.32 mm, from memory",
    says={
        "slot": Wording(f"{{receptacle}} {MEETING}", words={"bodies": reach}, together=together),
        "gap": Wording(
            f"position {{number}} of row {{row}} of {{owner}} {MEETING}",
            words={"bodies": reach},
            together=together,
        ),
    },
    state=state,
)
