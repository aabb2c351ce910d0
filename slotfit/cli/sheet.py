"""`slotfit sheet`: one page to take to the open case."""

from __future__ import annotations

import sys
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.check.every import everything
from slotfit.answers.no_plan.shop import Shop
from slotfit.answers.place.of_plan import answer_of
from slotfit.answers.place.plan import place
from slotfit.answers.sequence.plan import goal_of, sequence
from slotfit.cli.compare import BoardsWanted, compared
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import BuildFile, CatalogDirs, Seconds, catalog_of
from slotfit.cli.place import EXIT
from slotfit.cli.progress import shown_progress
from slotfit.files import write_file
from slotfit.load.build_file import load_build
from slotfit.model.plan import Status
from slotfit.sheet.sheet import as_sheet, explorer_of

Output = Annotated[
    Path, typer.Option("--output", "-o", help="File to write (.html).", show_default=False)
]
Open = Annotated[bool, typer.Option("--open", help="Show it in the browser.")]
Beside = Annotated[
    list[str] | None,
    typer.Option(
        help="Show the same parts on another board too: a catalog id, a board's file, a build "
        "file; may be given again.",
    ),
]
Chassis = Annotated[
    bool,
    typer.Option("--chassis/--no-chassis", help="Hold the boards beside it to their chassis."),
]


def sheet(
    build: BuildFile,
    output: Output,
    open_: Open = False,
    beside: Beside = None,
    chassis: Chassis = True,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
) -> None:
    """
    Write one self-contained page: picture, steps to tick off, and what fits where.

    Where the build has a sequence, the steps stand window by window.

    Example: slotfit sheet examples/demo/build.yaml -o sheet.html --open
    """
    check_targets([output], "sheet")
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    wanted = BoardsWanted(beside or (), seconds, chassis=chassis, strict="--beside")
    boards = compared(problem, known, wanted) if beside else None
    goal = goal_of(problem)
    with shown_progress() as progress:
        placed = place(goal, seconds, progress)
    status, windows = placed.status, None
    if goal is not problem and placed.plan:
        with shown_progress() as progress:
            windows = sequence(problem, Shop(known), seconds, progress, placed)
        status = Status(windows.verdict.status)
    answer, plan = answer_of(placed), placed.plan
    explorer = explorer_of(goal, everything(goal, plan), placed.seating, plan)
    write_file(output, as_sheet(answer, explorer, windows, boards))
    if open_ and not webbrowser.open(output.resolve().as_uri()):
        print(f"no browser here; open {output} in one", file=sys.stderr)
    if EXIT[status]:
        headline = windows.verdict.headline if windows else answer.verdict.headline
        print(f"{headline}.", file=sys.stderr)
    raise typer.Exit(EXIT[status])
