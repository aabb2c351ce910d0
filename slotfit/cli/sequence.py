"""`slotfit sequence`: windows from today's layout to the plan; what to pull first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.sequence.plan import sequence as windows_to_plan
from slotfit.answers.sequence.pull_first import pull_first as what_to_pull_first
from slotfit.answers.sequence.pull_first_text import as_text as ranking_text
from slotfit.answers.sequence.text import as_text
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import All, AsJson, BuildFile, CatalogDirs, Plain, Seconds, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.draw.picture import write_svg
from slotfit.draw.windows import windows_svg
from slotfit.errors import InputError, Mistake
from slotfit.files import write_file
from slotfit.load.build_file import load_build
from slotfit.sheet.windows import as_page

PullFirst = Annotated[
    str | None,
    typer.Option(metavar="PART", help="Instead, rank what to pull so that this part can go in."),
]
Draw = Annotated[
    Path | None,
    typer.Option(metavar="FILE", help="Write the picture of the windows (.svg or .png)."),
]
Page = Annotated[
    Path | None,
    typer.Option(metavar="FILE", help="Write one page with picture and lists to tick off (.html)."),
]


def sequence(
    build: BuildFile,
    pull_first: PullFirst = None,
    draw: Draw = None,
    page: Page = None,
    seconds: Seconds = 60.0,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say what comes out and goes in, power-down by power-down, services running between them.

    Example: slotfit sequence examples/sequence-lighthouse/build.yaml --draw windows.svg
    """
    check_targets([draw] if draw else [], "row")
    check_targets([page] if page else [], "sheet")
    if pull_first and (draw or page):
        text = "draws nothing; leave out --draw and --page"
        raise InputError([Mistake("--pull-first", "", text)])
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    if pull_first:
        with shown_progress() as progress:
            ranking = what_to_pull_first(problem, pull_first, seconds, progress)
        say(ranking, lambda: ranking_text(ranking, every=all_), json=json, plain=plain)
        raise typer.Exit(EXIT[ranking.verdict.word])
    with shown_progress() as progress:
        answer = windows_to_plan(problem, Shop(known), seconds, progress)
    say(answer, lambda: as_text(answer, every=all_), json=json, plain=plain)
    if answer.plan.stretches and draw:
        write_svg(windows_svg(answer), draw)
    if answer.plan.stretches and page:
        write_file(page, as_page(answer))
    raise typer.Exit(EXIT[answer.verdict.word])
