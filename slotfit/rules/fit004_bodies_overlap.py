"""FIT004: two bodies in one place."""

from collections.abc import Iterator, Mapping, Sequence

from slotfit.hardware.room import Position, bodies_by_position
from slotfit.listing import listed
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Cited, No, Told, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """One body a position of a slot row."""
    receptacles = {(*one.row, one.spec.position): one.id for one in problem.receptacles if one.row}
    for position, seats in bodies_by_position(problem, seating.seats).items():
        if len({seat.receptacle for seat in seats}) > 1:
            reason = meeting(problem, position, seats, receptacles.get(position))
            yield AtMost(reason, tuple((seat.key, 1) for seat in seats), 1, "bodies")


def meeting(problem: Problem, position: Position, seats: list[Seat], receptacle: str | None) -> No:
    """Which bodies would meet there."""
    owner, row, number = position
    reaching = sorted({seat.part for seat in seats if seat.receptacle != receptacle})
    parts = [(part, problem.part[part].spec) for part in reaching]
    facts = tuple(Cited("part", part, spec, "thickness") for part, spec in parts)
    bodies = tuple((part, spec.thickness) for part, spec in parts)
    detail = {"position": position}
    if receptacle:
        return RULE.no("slot", {"receptacle": receptacle}, facts, detail, bodies=bodies)
    return RULE.no("gap", {"owner": owner}, facts, detail, row=row, number=number, bodies=bodies)


def reach(bodies: Sequence[tuple[str, int | None]]) -> str:
    """Which bodies do."""
    names = " or ".join(f"{part} ({thickness} slots thick)" for part, thickness in bodies)
    return f"{names} {'reaches' if len(bodies) == 1 else 'reach'}"


def together(reasons: Sequence[No], required: Mapping[str, Part]) -> list[Told]:
    """The places with room for one body each, and which required parts reach there."""
    text = f"{listed(map(place, reasons))} "
    text += "has room for one body" if len(reasons) == 1 else "have room for one body each"
    reaching = {part for reason in reasons for part, _ in reason.told["bodies"]}
    thick: dict[int, list[Part]] = {}
    for part in required.values():
        if part.id in reaching and (part.spec.thickness or 1) > 1:
            thick.setdefault(part.spec.thickness or 1, []).append(part)
    for thickness, parts in sorted(thick.items()):
        verb = "is" if len(parts) == 1 else "are"
        text += f", and {listed(part.id for part in parts)} {verb} {thickness} slots thick"
    found = [part.spec.span("thickness") for _, parts in sorted(thick.items()) for part in parts]
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
