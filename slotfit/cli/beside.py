"""What `place` says beside the best plan: why there is none, or what else there is."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from typing import TYPE_CHECKING

from slotfit.errors import InputError, Mistake

if TYPE_CHECKING:
    from slotfit.load.catalog import Catalog
    from slotfit.model.placed import Placed
    from slotfit.model.problem import Problem
    from slotfit.render.explain.choices_view import ChoicesView
    from slotfit.render.explain.view import ExplanationView


def known_parts(problem: Problem, names: Sequence[str]) -> None:
    """Raises InputError for names that are no parts of the build."""
    from slotfit.load.hints import close_to  # noqa: PLC0415 - only where one is named

    wrong = [name for name in names if name not in problem.item]
    if wrong:
        raise InputError(
            Mistake("--elsewhere", "", f"there is no part {name}{close_to(name, problem.item)}")
            for name in wrong
        )


def explained(problem: Problem, catalog: Catalog, seconds: float, ways: int) -> ExplanationView:
    """Why there is no plan, and ways out."""
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.explain.shop import Shop  # noqa: PLC0415 - only where nothing fits
    from slotfit.render.explain.view import explanation_view  # noqa: PLC0415

    with shown_progress() as progress:
        return explanation_view(api.explain(problem, Shop(catalog), seconds, ways, progress))


def choices(
    placed: Placed, also: int, elsewhere: Sequence[str], if_false: bool, seconds: float
) -> ChoicesView:
    """All that was asked for, or what is worked out of it when Ctrl-C comes."""
    from slotfit import api  # noqa: PLC0415
    from slotfit.render.explain.choices_view import (  # noqa: PLC0415 - only where it is asked for
        ChoicesView,
        elsewhere_view,
        if_false_view,
    )
    from slotfit.solve.clock import Clock  # noqa: PLC0415

    clock = Clock(seconds)
    view = ChoicesView(if_false=() if if_false else None)
    try:
        if also:
            # The plan itself counts as one.
            view = replace(view, equal_plans=api.equally_good(placed, also + 1, clock.left))
        for name in elsewhere:
            told = elsewhere_view(placed, name, api.elsewhere(placed, name, clock.left))
            view = replace(view, elsewhere=(*view.elsewhere, told))
        for fact in api.if_false(placed, clock.left) if if_false else ():
            told_facts = (*(view.if_false or ()), if_false_view(placed, fact))
            view = replace(view, if_false=told_facts)
    except KeyboardInterrupt:
        view = replace(view, stopped=True)
    return view
