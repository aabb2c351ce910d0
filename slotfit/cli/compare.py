"""`slotfit compare`: the same parts placed on several boards."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.compare.answer import UNTRIED, CompareAnswer
from slotfit.answers.compare.compare import BoardsWanted
from slotfit.answers.compare.compare import compare as compare_boards
from slotfit.answers.compare.text import as_csv, as_text
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import All, AsJson, BuildFile, CatalogDirs, Plain, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.cli.workers import told_of_ctrl_c, workers
from slotfit.draw.boards import boards_svg
from slotfit.draw.picture import write_svg
from slotfit.files import write_file
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from slotfit.sheet.boards import as_page
from slotfit.solve.engine import Stop


def boards_compared(problem: Problem, known: Catalog, wanted: BoardsWanted) -> CompareAnswer:
    """A few boards at once, with progress on a terminal; at Ctrl-C what is done by then."""
    stop = Stop()
    with shown_progress() as progress, told_of_ctrl_c(stop):
        return compare_boards(problem, known, wanted, progress, workers, stop)


def check_files(draw: Path | None, output: Path | None, csv: Path | None) -> None:
    """Before anything is worked out: wrong endings and missing folders. Raises InputError."""
    check_targets([draw] if draw else [], "row")
    check_targets([output] if output else [], "sheet")
    check_targets([csv] if csv else [], "table")


def write(
    answer: CompareAnswer,
    *,
    draw: Path | None,
    output: Path | None,
    csv: Path | None,
) -> None:
    """Write what was asked for; boards that could not be tried are said aloud."""
    for board in answer.plan.boards:
        if board.tried.mistake not in ("", UNTRIED):
            said = f"{board.tried.name} could not be tried:\n{board.tried.mistake}"
            print(said, file=sys.stderr)
    if csv:
        write_file(csv, as_csv(answer))
    if draw:
        write_svg(boards_svg(answer, answer.plan.boards), draw)
    if output:
        write_file(output, as_page(answer))


Boards = Annotated[
    list[str] | None,
    typer.Argument(
        metavar="BOARD",
        help="Catalog ids, board files, or build files (their machines as they are).",
    ),
]
Seconds = Annotated[
    float,
    typer.Option(
        metavar="SECONDS",
        help="Stop solving a board, or a future, after so many seconds.",
        min=0,
    ),
]


def compare(
    build: BuildFile,
    boards: Boards = None,
    every: Annotated[bool, typer.Option("--every", help="Try the catalog's boards too.")] = False,
    own: Annotated[
        bool, typer.Option("--own/--no-own", help="The build's own board takes part.")
    ] = True,
    chassis: Annotated[
        bool,
        typer.Option("--chassis/--no-chassis", help="Hold boards and cards to their chassis."),
    ] = True,
    machine: Annotated[
        str | None,
        typer.Option(
            metavar="ID", help="Exchange this machine's board, where there are several machines."
        ),
    ] = None,
    processors: Annotated[
        list[int] | None,
        typer.Option(
            metavar="NUMBER",
            help="Try it with so many processors, such as 1; may be given again.",
            min=1,
        ),
    ] = None,
    futures: Annotated[
        Path | None,
        typer.Option(
            metavar="FILE", help="Say which of these likely futures (YAML) each board takes."
        ),
    ] = None,
    jobs: Annotated[
        int, typer.Option(metavar="NUMBER", help="Try so many boards at once.", min=1, max=64)
    ] = 2,
    draw: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Draw all boards on one scale (.svg, .png)."),
    ] = None,
    output: Annotated[
        Path | None,
        typer.Option("--output", "-o", metavar="FILE", help="Write a page (.html)."),
    ] = None,
    csv: Annotated[
        Path | None, typer.Option(metavar="FILE", help="Write the table for a spreadsheet (.csv).")
    ] = None,
    seconds: Seconds = 60.0,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Place the same parts on each board, side by side, and say what decides.

    Example: slotfit compare examples/demo/build.yaml workstation server-2p --no-chassis
    """
    check_files(draw, output, csv)
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    wanted = BoardsWanted(
        boards or (), seconds, every, own, chassis, machine, processors or (), futures, jobs
    )
    answer = boards_compared(problem, known, wanted)
    say(answer, lambda: as_text(answer, every=all_), json=json, plain=plain)
    write(answer, draw=draw, output=output, csv=csv)
    raise typer.Exit(EXIT[answer.verdict.word])
