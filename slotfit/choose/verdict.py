"""What a comparison comes to, in words."""

from __future__ import annotations

from collections.abc import Sequence

from slotfit.choose.compare import Result
from slotfit.choose.rank import Difference, difference, dominated_by, ranked, tried
from slotfit.model.plan import Status
from slotfit.model.problem import Problem
from slotfit.render.compare_text import BoardView, Comparison
from slotfit.render.view import View
from slotfit.render.words import gb_s

LOSES_ON = {
    "answered": "time ran out there",
    "required-parts": "not everything required fits",
    "optional-parts": "{worse} in optional parts left out, against {better}",
    "dark-endpoints": "{worse} endpoints stay dark, against {better}",
    "bandwidth": "{worse} GB/s short of demand, against {better}",
    "unproven-facts": "rests on {worse} unproven facts, against {better}",
    "locality": "{worse} parts on the wrong processor, against {better}",
    "cooling": "{worse} gaps without air, against {better}",
}


def comparison_of(problem: Problem, results: Sequence[Result]) -> Comparison:
    """All boards ranked, each with its verdict."""
    order = ranked(results)
    best = order[0] if tried(results) else None
    boards = tuple(board_view(result, order, best) for result in order)
    return Comparison(problem.id, problem.name or problem.id, boards)


def board_view(result: Result, order: Sequence[Result], best: Result | None) -> BoardView:
    """One board."""
    answered = result in tried(order)
    return BoardView(
        name=result.name,
        board=result.board,
        invented=result.invented,
        processors=result.processors,
        place=place_of(result, order) if answered else 0,
        complete=result.complete,
        verdict=verdict(result, order, best),
        dominated_by=dominated_by(result, order) if answered else None,
        stages=result.values,
        missing=tuple(part.item for part in result.view.left_out) if result.view else (),
        left=left_over(result.view) if result.view else (),
        power_left_w=power_left(result.view) if result.view else None,
        price=result.price,
        notes=result.notes,
        robustness=result.share,
        view=result.view,
    )


def place_of(result: Result, order: Sequence[Result]) -> int:
    """Its place; boards that tie share one."""
    answered = tried(order)
    return 1 + sum(
        1
        for other in answered
        if (apart := difference(result, other)) is not None and apart.worse == result.name
    )


def verdict(result: Result, order: Sequence[Result], best: Result | None) -> str:
    """One sentence, without its full stop."""
    if result.mistake:
        return f"could not be tried: {result.mistake.splitlines()[0]}"
    if best is None or result.status is Status.UNKNOWN:
        return "time ran out before a plan was found"
    apart = difference(result, best)
    if apart is None:
        return best_words(result, order)
    text = f"loses to {best.name}: {loses_on(apart)}"
    if not result.complete and result.view:
        missing = ", ".join(part.item for part in result.view.left_out)
        text = f"does not take everything: no room for {missing}"
    over = dominated_by(result, order)
    return text + (f"; better than {over} on nothing" if over else "")


def best_words(result: Result, order: Sequence[Result]) -> str:
    """The best board's sentence: what decides it against the next."""
    others = [other for other in tried(order) if other is not result]
    beaten = [apart for other in others if (apart := difference(result, other))]
    if not others:
        return "everything fits" if result.complete else "not everything fits"
    if not beaten:
        return "a tie: as good in every preference"
    next_best = beaten[0]
    return f"the best of them; {next_best.worse} comes next, where {loses_on(next_best)}"


def loses_on(apart: Difference) -> str:
    """The deciding difference."""
    form = LOSES_ON.get(apart.stage, apart.stage)
    show = gb_s if apart.stage == "bandwidth" else str
    return form.format(worse=show(apart.worse_value), better=show(apart.better_value))


def left_over(view: View) -> tuple[str, ...]:
    """Board receptacles still free, by what they could still take."""
    return tuple(
        f"{free.label} ({free.form}, {free.gets})"
        for free in view.free
        if free.state == "free" and free.gets and free.form not in ("sata", "sas", "usb-header")
    )


def power_left(view: View) -> float | None:
    """What the supplies have left, all machines together; None if one has none described."""
    left = [
        budget.limit_w - (budget.base_w or 0) - budget.parts_w
        for budget in view.power
        if budget.limit_w is not None
    ]
    return sum(left) if left and len(left) == len(view.power) else None
