"""`slotfit place`: which slot each part goes in."""

from __future__ import annotations

from collections.abc import Sequence
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.no_plan.answer import ChoicesAnswer, NoPlanAnswer
from slotfit.answers.no_plan.choices import choices
from slotfit.answers.no_plan.explain import explain, no_plan_answer
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.no_plan.text import choices_lines, no_plan_in_short, no_plan_text
from slotfit.answers.place.of_plan import place as place_answer
from slotfit.answers.place.plan import best_plan, preferring
from slotfit.answers.place.text import as_text
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import All, AsJson, BuildFile, CatalogDirs, Plain, Seconds, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.draw.picture import write_topology
from slotfit.errors import InputError, Mistake
from slotfit.load.build_file import load_build
from slotfit.load.words import close_to
from slotfit.model.plan import Status
from slotfit.model.problem import Problem


def known_parts(problem: Problem, names: Sequence[str]) -> None:
    """Raises InputError for names that are no parts of the build."""
    wrong = [name for name in names if name not in problem.part]
    if wrong:
        raise InputError(
            Mistake("--elsewhere", "", f"there is no part {name}{close_to(name, problem.part)}")
            for name in wrong
        )


Draw = Annotated[
    list[Path] | None,
    typer.Option(
        metavar="FILE",
        help="Write the topology picture (.svg, .png or .dot); may be given again.",
    ),
]
Prefer = Annotated[
    str | None,
    typer.Option(
        metavar="NAME,NAME",
        help="Prefer these, in this order, with commas; overrides the build file's.",
    ),
]

Also = Annotated[
    int,
    typer.Option(
        metavar="NUMBER",
        help="Look for so many other plans that are equally good.",
        min=0,
        max=1000,
    ),
]
Elsewhere = Annotated[
    list[str] | None,
    typer.Option(
        metavar="PART",
        help="Also show the best plan with this part elsewhere; may be given again.",
    ),
]
IfFalse = Annotated[
    bool, typer.Option("--if-false", help="Also show what changes if an unproven fact is false.")
]
Reasons = Annotated[bool, typer.Option("--reasons", help="Also say why each part is where it is.")]
Ways = Annotated[
    int,
    typer.Option(
        metavar="NUMBER", help="If nothing fits, work out so many ways out.", min=0, max=100
    ),
]


def place(
    build: BuildFile,
    draw: Draw = None,
    prefer: Prefer = None,
    also: Also = 0,
    elsewhere: Elsewhere = None,
    if_false: IfFalse = False,
    reasons: Reasons = False,
    all_: All = False,
    plain: Plain = False,
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
    beside: dict[str, NoPlanAnswer | ChoicesAnswer] = {}
    no_plan: NoPlanAnswer | None = None
    asked: list[str] = []
    if placed.status is Status.IMPOSSIBLE:
        with shown_progress() as progress:
            no_plan = no_plan_answer(explain(problem, Shop(found), left, ways, progress))
        beside["explanation"] = no_plan
    elif also or elsewhere or if_false:
        more = choices(placed, also, elsewhere or (), left, facts=if_false)
        beside["choices"], asked = more, [*choices_lines(more)]
    say(
        answer,
        lambda: (
            no_plan_text(answer, no_plan)
            if no_plan
            else as_text(answer, asked, reasons=reasons, every=all_)
        ),
        json=json,
        plain=plain,
        **beside,
    )
    for file in draw or []:
        write_topology(answer, file, [*no_plan_in_short(answer, no_plan)] if no_plan else ())
    raise typer.Exit(EXIT[answer.verdict.word])
