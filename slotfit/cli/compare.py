"""The same parts placed on several boards, as `compare` and `sheet` ask for it."""

from __future__ import annotations

import sys
from collections.abc import Sequence
from dataclasses import dataclass
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.compare import boards as which
from slotfit.answers.compare.answer import UNTRIED, BoardTried, CompareAnswer
from slotfit.answers.compare.compare import BoardQuestion
from slotfit.answers.compare.compare import compare as compare_all
from slotfit.answers.compare.text import as_csv, as_text
from slotfit.answers.compare.verdict import compare_answer
from slotfit.answers.place.additions import load_futures
from slotfit.answers.text_layout import as_json
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, catalog_of
from slotfit.cli.output import BAD_INPUT, NO, OUT_OF_TIME
from slotfit.cli.progress import shown_progress
from slotfit.cli.workers import told_of_ctrl_c, workers
from slotfit.draw.boards import boards_svg
from slotfit.draw.picture import write_svg
from slotfit.errors import InputError, Mistake
from slotfit.files import write_file
from slotfit.load.build_file import load_build
from slotfit.load.catalog import Catalog
from slotfit.model.problem import Problem
from slotfit.sheet.boards import as_page
from slotfit.solve.engine import Stop


@dataclass(frozen=True, slots=True)
class BoardsWanted:
    """What the command line says."""

    boards: Sequence[str]
    seconds: float
    every: bool = False
    own: bool = True
    chassis: bool = True
    machine: str | None = None
    processors: Sequence[int] = ()
    futures: Path | None = None
    jobs: int = 2
    strict: str = ""
    """The option that names the boards, where one that cannot be read ends it all."""


def compared(problem: Problem, known: Catalog, wanted: BoardsWanted) -> CompareAnswer:
    """Every board with its plan, best first. Raises InputError."""
    machine = which.machine_asked(problem, wanted.machine)
    if not wanted.chassis:
        problem = which.without_chassis(problem, machine)
    found, broken = which.gathered(wanted.boards, known, every=wanted.every)
    if wanted.strict and broken:
        raise InputError(Mistake(wanted.strict, "", text) for _, text in broken)
    if not wanted.chassis:
        found = which.in_any_chassis(found)
    if wanted.own:
        found = [which.own(problem, machine), *found]
    candidates = which.unlike(problem, machine, which.with_processors(found, wanted.processors))
    dropped = which.names_dropped(problem, machine, candidates)
    futures = load_futures(wanted.futures, known) if wanted.futures else ()
    question = BoardQuestion(problem, machine, wanted.seconds, dropped, futures)
    stop = Stop()
    boards = tried(question, candidates, wanted.jobs, stop)
    unread = (BoardTried(name, name, mistake=mistake) for name, mistake in dict(broken).items())
    not_asked = [*which.wishes_dropped(problem, dropped)]
    return compare_answer(problem, machine, [*boards, *unread], not_asked, stopped=stop.asked)


def tried(
    question: BoardQuestion, candidates: Sequence[which.Candidate], jobs: int, stop: Stop
) -> tuple[BoardTried, ...]:
    """All boards, a few at once, with progress on a terminal."""
    with shown_progress() as progress, told_of_ctrl_c(stop):

        def done(name: str, number: int, count: int) -> None:
            progress(f"{name} is done", number - 1, count)

        with workers(min(jobs, len(candidates) // 2)) as executor:
            return compare_all(question, candidates, executor, done, stop)


def check_files(draw: Path | None, output: Path | None, csv: Path | None) -> None:
    """Before anything is worked out: wrong endings and missing folders. Raises InputError."""
    check_targets([draw] if draw else [], "row")
    check_targets([output] if output else [], "sheet")
    check_targets([csv] if csv else [], "table")


def show(
    answer: CompareAnswer, *, json: bool, draw: Path | None, output: Path | None, csv: Path | None
) -> None:
    """Print it, and write what was asked for; boards that could not be tried are said aloud."""
    print(as_json(answer) if json else as_text(answer), end="")
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


EXIT = {
    "fits": 0,
    "none-fits": NO,
    "unreadable": BAD_INPUT,
    "out-of-time": OUT_OF_TIME,
    "stopped": OUT_OF_TIME,
}


Boards = Annotated[
    list[str] | None,
    typer.Argument(help="Catalog ids, board files, or build files (their machines as they are)."),
]
Seconds = Annotated[
    float, typer.Option(help="Stop solving a board, or a future, after so many seconds.", min=0)
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
        str | None, typer.Option(help="Whose board to exchange, where there are several machines.")
    ] = None,
    processors: Annotated[
        list[int] | None,
        typer.Option(
            help="How many processors to try it with, such as 1; may be given again.", min=1
        ),
    ] = None,
    futures: Annotated[
        Path | None, typer.Option(help="Likely futures (YAML): which of them each board takes.")
    ] = None,
    jobs: Annotated[int, typer.Option(help="Boards to try at once.", min=1, max=64)] = 2,
    draw: Annotated[
        Path | None, typer.Option(help="Draw all boards on one scale (.svg, .png).")
    ] = None,
    output: Annotated[
        Path | None, typer.Option("--output", "-o", help="Write a page (.html).")
    ] = None,
    csv: Annotated[Path | None, typer.Option(help="Write the table for a spreadsheet.")] = None,
    seconds: Seconds = 60.0,
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
    answer = compared(
        problem,
        known,
        BoardsWanted(
            boards or (), seconds, every, own, chassis, machine, processors or (), futures, jobs
        ),
    )
    show(answer, json=json, draw=draw, output=output, csv=csv)
    raise typer.Exit(EXIT[answer.verdict.status])
