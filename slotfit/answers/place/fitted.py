"""What to say before a processor is known that lanes hang on."""

from collections.abc import Iterator

from slotfit.model.fitted import holds_for_any
from slotfit.model.plan import Plan
from slotfit.model.problem import Problem
from slotfit.rule import gets


def which_processor(problem: Problem, plan: Plan) -> Iterator[str]:
    """Lanes that nobody can count before somebody says which processor is fitted."""
    used = {seat.upstream.group for seat in plan.seats if seat.links}
    for key, name in plan.arrangements.items():
        machine = problem.machine[key.machine]
        group = next(one for one in machine.board.lane_groups if one.id == key.group)
        if key not in used or not holds_for_any(name):
            continue
        socket = machine.processor_of(group.from_)
        ways = [
            (way.needs.processor, gets(way))
            for way in group.arrangements
            if way.needs and way.needs.processor and not way.needs.firmware
        ]
        told = "; ".join(f"{gives} with {' or '.join(needs)}" for needs, gives in ways)
        yield (
            f"say which processor is in {socket} of {machine.id}: the plan counts on what all of "
            f"them give ({told})"
        )
