"""COOL003: no room for the air mover."""

from collections.abc import Iterator

from slotfit.hardware.room import room_for
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A card and the air mover on it within the room for length."""
    for seat in seating.seats:
        owner = problem.site[seat.site].owner
        if problem.item[seat.item].part.adds_length_mm and owner in problem.item:
            for below in seating.by_item.get(owner, []):
                yield from too_long(problem, seat, below)


def too_long(problem: Problem, mover: Seat, card: Seat) -> Iterator[Clause]:
    """Not both, if the two are longer than the room where the card sits."""
    part, adds = problem.item[card.item].part, problem.item[mover.item].part
    room = room_for("length_mm", problem, problem.site[card.site], card.offer.machine)
    if room is None or room.fact is None or part.length_mm is None:
        return
    together = part.length_mm + adds.adds_length_mm
    if together > room.mm:
        reason = RULE.no(
            "long",
            {"part": card.item, "mover": mover.item, "receptacle": card.site},
            (
                Cited("mover", mover.item, adds, "adds_length_mm"),
                Cited("part", card.item, part, "length_mm"),
                room.fact,
            ),
            together=together,
            room=room.mm,
        )
        yield AtMost(reason, ((card.key, 1), (mover.key, 1)), 1, "parts")


RULE = PlanRule(
    id="COOL003",
    title="no room for the air mover",
    why="A blower or duct makes the card it is mounted on longer.",
    source="part description, `adds_length_mm`; the room from chassis and board",
    says={
        "long": Wording(
            "{part} with {mover} is {together:g} mm long and {receptacle} has room for {room:g} mm"
        )
    },
    state=state,
)
