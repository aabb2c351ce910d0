"""FIT022: heat sink under a card."""

from collections.abc import Iterator

from slotfit.model.board import BoardReceptacle
from slotfit.model.clause import AtMost, Clause
from slotfit.model.problem import Problem
from slotfit.model.reason import Cited, Wording
from slotfit.model.seat import Seat, Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """No card over a module that is higher than the room below the card."""
    for seat in seating.seats:
        high, place = problem.part[seat.part].spec.component_mm, problem.receptacle[seat.receptacle]
        below, is_own = place.spec, place.on_board and isinstance(place.spec, BoardReceptacle)
        if not is_own or not isinstance(below, BoardReceptacle) or high is None:
            continue
        if below.above_mm is not None and high > below.above_mm:
            yield from not_both(problem, seating, seat, below)


def not_both(
    problem: Problem, seating: Seating, module: Seat, below: BoardReceptacle
) -> Iterator[Clause]:
    """Not the module here and a card in a slot over it."""
    part, receptacle = problem.part[module.part], problem.receptacle[module.receptacle]
    for name in below.under:
        slot = problem.board_receptacle[receptacle.owner, name].id
        cards = [
            seat.key
            for seat in seating.by_receptacle.get(slot, ())
            if problem.part[seat.part].spec.plug.form == "cem"
        ]
        if cards:
            names = {"part": part.id, "receptacle": receptacle.id, "slot": slot}
            facts = (
                Cited("part", part.id, part.spec, "component_mm"),
                Cited("receptacle", receptacle.id, below, "above_mm"),
            )
            high, room = part.spec.component_mm, below.above_mm
            reason = RULE.no("under", names, facts, high=high, room=room)
            terms = ((module.key, len(cards)), *((key, 1) for key in cards))
            yield AtMost(reason, terms, len(cards), "cards")


RULE = PlanRule(
    id="FIT022",
    title="heat sink under a card",
    why="A module with a high heat sink lifts the card above it out of its slot, or stops it.",
    source="heat sinks of M.2 drives under cards: common practice, no source",
    says={
        "under": Wording(
            "{part} in {receptacle} is {high:g} mm high, and a card in {slot} leaves {room:g} mm"
        )
    },
    state=state,
)
