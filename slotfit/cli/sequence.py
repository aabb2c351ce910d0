"""`slotfit sequence`: windows from today's layout to the plan; what to pull first."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.sequence.answer import SequenceView
from slotfit.answers.sequence.plan import sequence as windows_to_plan
from slotfit.answers.sequence.pull_first import pull_first as what_to_pull_first
from slotfit.answers.sequence.pull_first_text import as_text as pull_first_text
from slotfit.answers.sequence.pull_first_text import no_answer, pull_view_of
from slotfit.answers.sequence.shown import view_of
from slotfit.answers.sequence.text import as_text
from slotfit.answers.text_layout import as_json
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, Seconds, catalog_of
from slotfit.cli.output import NO, OUT_OF_TIME
from slotfit.cli.place import EXIT
from slotfit.cli.progress import shown_progress
from slotfit.draw.picture import write_svg
from slotfit.draw.windows import windows_svg
from slotfit.errors import InputError, Mistake
from slotfit.files import write_file
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from slotfit.sheet.windows import as_page

PullFirst = Annotated[
    str | None,
    typer.Option(help="Instead: rank what to pull so that this part can go in."),
]
Draw = Annotated[Path | None, typer.Option(help="Write the picture of the windows (.svg or .png).")]
Page = Annotated[
    Path | None, typer.Option(help="Write one page with picture and lists to tick off (.html).")
]


def sequence(
    build: BuildFile,
    pull_first: PullFirst = None,
    draw: Draw = None,
    page: Page = None,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say what comes out and goes in, power-down by power-down, while services stay up.

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
        what_to_pull(problem, pull_first, seconds, json=json)
    else:
        windows(problem, known, seconds, (draw, page), json=json)


def windows(
    problem: Problem,
    catalog: Catalog,
    seconds: float,
    files: tuple[Path | None, Path | None],
    *,
    json: bool,
) -> None:
    """The sequence, printed and drawn; ends the command."""
    with shown_progress() as progress:
        answer = windows_to_plan(problem, Shop(catalog), seconds, progress)
    view = view_of(answer)
    print(as_json(view) if json else as_text(view), end="")
    if view.today:
        write(view, *files)
    raise typer.Exit(EXIT[answer.status])


def write(view: SequenceView, draw: Path | None, page: Path | None) -> None:
    """The files that were asked for."""
    if draw:
        write_svg(windows_svg(view), draw)
    if page:
        write_file(page, as_page(view))


def what_to_pull(problem: Problem, part: str, seconds: float, *, json: bool) -> None:
    """The ranking, printed; ends the command."""
    with shown_progress() as progress:
        answer = what_to_pull_first(problem, part, seconds, progress)
    view = pull_view_of(answer) if answer else no_answer(problem, part)
    print(as_json(view) if json else pull_first_text(view), end="")
    if not view.complete:
        raise typer.Exit(OUT_OF_TIME)
    helps = view.fits_now or view.moves or any(one.makes_room for one in view.pulls)
    raise typer.Exit(0 if helps else NO)
