"""`slotfit place`: which slot each part goes in."""

from __future__ import annotations

from collections.abc import Sequence
from dataclasses import replace
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.no_plan.choices import (
    ChoicesView,
    choices_text,
    elsewhere_view,
    equally_good,
    if_false_view,
)
from slotfit.answers.no_plan.choices import elsewhere as plan_elsewhere
from slotfit.answers.no_plan.choices import if_false as plans_if_false
from slotfit.answers.no_plan.explain import explain
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.text import ExplanationView, explanation_text, explanation_view
from slotfit.answers.place.of_plan import place as place_answer
from slotfit.answers.place.plan import best_plan, preferring
from slotfit.answers.place.text import as_text
from slotfit.answers.text_layout import as_json
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, Seconds, catalog_of
from slotfit.cli.output import NO, OUT_OF_TIME
from slotfit.cli.progress import shown_progress
from slotfit.draw.picture import write_topology
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.load.words import close_to
from slotfit.model.plan import Placed, Status
from slotfit.model.problem import Problem
from slotfit.solve.engine import Clock

EXIT = {
    Status.PROVEN: 0,
    Status.UNPROVEN: OUT_OF_TIME,
    Status.IMPOSSIBLE: NO,
    Status.UNKNOWN: OUT_OF_TIME,
}


def known_parts(problem: Problem, names: Sequence[str]) -> None:
    """Raises InputError for names that are no parts of the build."""
    wrong = [name for name in names if name not in problem.part]
    if wrong:
        raise InputError(
            Mistake("--elsewhere", "", f"there is no part {name}{close_to(name, problem.part)}")
            for name in wrong
        )


def explained(problem: Problem, catalog: Catalog, seconds: float, ways: int) -> ExplanationView:
    """Why there is no plan, and ways out."""
    with shown_progress() as progress:
        return explanation_view(explain(problem, Shop(catalog), seconds, ways, progress))


def choices(
    placed: Placed, also: int, elsewhere: Sequence[str], if_false: bool, seconds: float
) -> ChoicesView:
    """All that was asked for, or what is worked out of it when Ctrl-C comes."""
    clock = Clock(seconds)
    view = ChoicesView(if_false=() if if_false else None)
    try:
        if also:
            # The plan itself counts as one.
            view = replace(view, equal_plans=equally_good(placed, also + 1, clock.left))
        for name in elsewhere:
            told = elsewhere_view(placed, name, plan_elsewhere(placed, name, clock.left))
            view = replace(view, elsewhere=(*view.elsewhere, told))
        for fact in plans_if_false(placed, clock.left) if if_false else ():
            told_facts = (*(view.if_false or ()), if_false_view(placed, fact))
            view = replace(view, if_false=told_facts)
    except KeyboardInterrupt:
        view = replace(view, stopped=True)
    return view


Draw = Annotated[
    list[Path] | None,
    typer.Option(help="Write the topology picture (.svg, .png or .dot); may be given again."),
]
Prefer = Annotated[
    str | None,
    typer.Option(help="Preferences in order, with commas; overrides the build file's."),
]

Also = Annotated[
    int, typer.Option(help="Look for so many other plans that are equally good.", min=0, max=1000)
]
Elsewhere = Annotated[
    list[str] | None,
    typer.Option(help="Also show the best plan with this part elsewhere; may be given again."),
]
IfFalse = Annotated[
    bool, typer.Option("--if-false", help="Also show what changes if an unproven fact is false.")
]
Ways = Annotated[
    int, typer.Option(help="If nothing fits, work out so many ways out.", min=0, max=100)
]


def place(
    build: BuildFile,
    draw: Draw = None,
    prefer: Prefer = None,
    also: Also = 0,
    elsewhere: Elsewhere = None,
    if_false: IfFalse = False,
    ways: Ways = 4,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say which slot each part goes in, with settings, links, cables and reasons.

    Example: slotfit place examples/demo/build.yaml --draw plan.svg
    """
    check_targets(draw or [], "topology")
    found = catalog_of(catalog, build)
    problem = load_build(build, found)
    known_parts(problem, elsewhere or ())
    if prefer:
        problem = preferring(problem, prefer)
    with shown_progress() as progress:
        placed = best_plan(problem, seconds, progress)
    answer = place_answer(problem, found=placed)
    left = max(seconds - placed.seconds, 0.0)  # for all that is said beside the plan
    beside: dict[str, ExplanationView | ChoicesView] = {}
    if placed.status is Status.IMPOSSIBLE:
        explanation = explained(problem, found, left, ways)
        beside["explanation"], text = explanation, explanation_text(answer, explanation)
    elif also or elsewhere or if_false:
        more = choices(placed, also, elsewhere or (), if_false, left)
        beside["choices"], text = more, as_text(answer) + choices_text(more)
    else:
        text = as_text(answer)
    print(as_json(answer, **beside) if json else text, end="")
    for file in draw or []:
        write_topology(answer, file)
    raise typer.Exit(EXIT[placed.status])
