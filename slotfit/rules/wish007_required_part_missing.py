"""WISH007: required part without a seat."""

from collections.abc import Iterator, Mapping, Sequence

from slotfit.listing import listed
from slotfit.model.clause import AtMost, Clause, ExactlyOne
from slotfit.model.problem import Part, Problem
from slotfit.model.reason import Cited, No, Told, Wording
from slotfit.model.seat import Seating
from slotfit.rule import PlanRule


def state(problem: Problem, seating: Seating) -> Iterator[Clause]:
    """A required part in exactly one seat, an optional one in at most one."""
    for part in problem.parts:
        keys = tuple(seat.key for seat in seating.by_part.get(part.id, []))
        names, facts = {"part": part.id}, (Cited("wish", part.id, part.wish, ""),)
        if part.wish.required or part.asked_of:
            yield ExactlyOne(RULE.no("required", names, facts, {"of": part.companion_of}), keys)
        else:
            yield AtMost(RULE.no("once", names, facts), tuple((key, 1) for key in keys), 1)


def together(reasons: Sequence[No], _: Mapping[str, Part]) -> list[Told]:
    """`gpu, hba and nic must be placed`."""
    told = [reason.told for reason in reasons]
    plugs = "; ".join(f"{one['part']} is a plug of {one['of']}" for one in told if one["of"])
    names = listed(one["part"] for one in told)
    return [Told(tuple(reasons), f"{names} must be placed{f' ({plugs})' if plugs else ''}")]


RULE = PlanRule(
    id="WISH007",
    title="required part without a seat",
    why="A part is required unless the build file says otherwise.",
    source="build file, `required`",
    says={
        "required": Wording("{part} has to be placed", together=together),
        "once": Wording("{part} is one part"),
    },
    state=state,
    severity="asks",
)
