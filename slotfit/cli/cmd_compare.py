"""`slotfit compare`: the same parts on other boards."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, catalog_of

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
    from slotfit.cli.compared import check_files, exit_code, show  # noqa: PLC0415
    from slotfit.cli.comparing import Wanted, compared  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415

    check_files(draw, output, csv)
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    comparison = compared(
        problem,
        known,
        Wanted(
            boards or (), seconds, every, own, chassis, machine, processors or (), futures, jobs
        ),
    )
    show(comparison, json=json, draw=draw, output=output, csv=csv)
    raise typer.Exit(exit_code(comparison))
