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
        owner = problem.receptacle[seat.receptacle].owner
        if problem.part[seat.part].spec.adds_length_mm and owner in problem.part:
            for below in seating.by_part.get(owner, []):
                yield from too_long(problem, seat, below)


def too_long(problem: Problem, mover: Seat, card: Seat) -> Iterator[Clause]:
    """Not both, if the two are longer than the room where the card sits."""
    part, adds = problem.part[card.part].spec, problem.part[mover.part].spec
    receptacle, machine = problem.receptacle[card.receptacle], card.upstream.machine
    room = room_for("length_mm", problem, receptacle, machine, part.thickness or 1)
    if room is None or room.fact is None or part.length_mm is None:
        return
    together = part.length_mm + adds.adds_length_mm
    if together > room.mm:
        reason = RULE.no(
            "long",
            {"part": card.part, "mover": mover.part, "receptacle": card.receptacle},
            (
                Cited("mover", mover.part, adds, "adds_length_mm"),
                Cited("part", card.part, part, "length_mm"),
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
