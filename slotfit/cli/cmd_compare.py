"""`slotfit compare`: the same parts on other boards."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, catalog_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from slotfit.choose.compare import Asked, Result
    from slotfit.choose.stop import Stop
    from slotfit.choose.swap import Candidate

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
        list[int] | None, typer.Option(help="Processors fitted to try; may be given again.", min=1)
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
    from slotfit.choose import candidates as asked  # noqa: PLC0415
    from slotfit.choose.compare import Asked  # noqa: PLC0415
    from slotfit.choose.futures_file import load_futures  # noqa: PLC0415
    from slotfit.choose.stop import Stop  # noqa: PLC0415
    from slotfit.choose.swap import names_aside, notes_aside  # noqa: PLC0415
    from slotfit.choose.verdict import comparison_of  # noqa: PLC0415
    from slotfit.cli.compared import check_files, exit_code, show  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415

    check_files(draw, output, csv)
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    whose = asked.machine_asked(problem, machine)
    if not chassis:
        problem = asked.without_chassis(problem, whose)
    found, broken = asked.gathered(boards or [], known, every=every)
    if not chassis:
        found = asked.in_any_chassis(found)
    if own:
        found = [asked.own(problem, whose), *found]
    trying = asked.unlike(problem, whose, asked.with_processors(found, processors or []))
    aside = names_aside(problem, whose, trying)
    likely = load_futures(futures, known) if futures else ()
    stop = Stop()
    results = tried(Asked(problem, whose, seconds, aside, likely), trying, jobs, stop)
    comparison = comparison_of(
        problem,
        whose,
        [*results, *asked.set_aside(broken)],
        [*notes_aside(problem, aside)],
        stopped=stop.asked,
    )
    show(comparison, json=json, draw=draw, output=output, csv=csv)
    raise typer.Exit(exit_code(comparison))


def tried(
    asked: Asked, candidates: Sequence[Candidate], jobs: int, stop: Stop
) -> tuple[Result, ...]:
    """All boards, a few at once, with progress on a terminal."""
    from slotfit.choose.compare import compare as compare_all  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.cli.stopping import told_of_ctrl_c  # noqa: PLC0415
    from slotfit.cli.workers import workers  # noqa: PLC0415

    with shown_progress() as progress, told_of_ctrl_c(stop):

        def done(name: str, number: int, count: int) -> None:
            progress(f"{name} is done", number - 1, count)

        with workers(min(jobs, len(candidates) // 2)) as executor:
            return compare_all(asked, candidates, executor, done, stop)
