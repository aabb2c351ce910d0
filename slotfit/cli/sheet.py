"""`slotfit sheet`: one page to take to the open case."""

from __future__ import annotations

import sys
import webbrowser
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.compare.compare import BoardsWanted
from slotfit.answers.no_plan.shop import Shop
from slotfit.cli.compare import boards_compared
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import BuildFile, CatalogDirs, Seconds, catalog_of
from slotfit.cli.progress import shown_progress
from slotfit.files import write_file
from slotfit.load.build_file import load_build
from slotfit.sheet.sheet import as_sheet
from slotfit.sheet.sheet import sheet as sheet_of

Output = Annotated[
    Path,
    typer.Option(
        "--output", "-o", metavar="FILE", help="Write this file (.html).", show_default=False
    ),
]
Open = Annotated[bool, typer.Option("--open", help="Show it in the browser.")]
Beside = Annotated[
    list[str] | None,
    typer.Option(
        metavar="BOARD",
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
    boards = boards_compared(problem, known, wanted) if beside else None
    with shown_progress() as progress:
        answer = sheet_of(problem, Shop(known), seconds, progress, boards)
    write_file(output, as_sheet(answer))
    if open_ and not webbrowser.open(output.resolve().as_uri()):
        print(f"no browser here; open {output} in one", file=sys.stderr)
    code = EXIT[answer.verdict.word]
    if code:
        print(f"{answer.verdict.headline}.", file=sys.stderr)
    raise typer.Exit(code)
