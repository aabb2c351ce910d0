"""`slotfit sheet`: one page to take to the open case."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.cli.options import BuildFile, CatalogDirs, Seconds, catalog_of

Output = Annotated[
    Path, typer.Option("--output", "-o", help="File to write (.html).", show_default=False)
]
Open = Annotated[bool, typer.Option("--open", help="Show it in the browser.")]


def sheet(
    build: BuildFile,
    output: Output,
    open_: Open = False,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
) -> None:
    """
    Write one self-contained page: picture, steps to tick off, and what fits where.

    Example: slotfit sheet examples/demo/build.yaml -o sheet.html --open
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.check_build import everything  # noqa: PLC0415
    from slotfit.cli.drawing import check_targets  # noqa: PLC0415
    from slotfit.cli.exits import EXIT  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.as_sheet import as_sheet  # noqa: PLC0415
    from slotfit.render.explorer_of import explorer_of  # noqa: PLC0415
    from slotfit.render.view_of import view_of  # noqa: PLC0415
    from slotfit.written import write_file  # noqa: PLC0415

    check_targets([output], "sheet")
    problem = load_build(build, catalog_of(catalog, build))
    with shown_progress() as progress:
        placed = api.place(problem, seconds, progress)
    view = view_of(problem, placed.seating, placed.answer)
    told = everything(problem, placed.answer.plan)
    explorer = explorer_of(problem, told, placed.seating, placed.answer.plan)
    write_file(output, as_sheet(view, explorer))
    if open_:
        show(output)
    if EXIT[placed.answer.status]:
        print(f"{view.headline}.", file=sys.stderr)
    raise typer.Exit(EXIT[placed.answer.status])


def show(file: Path) -> None:
    """Hand the page to the browser; a machine without one is told where it lies."""
    import webbrowser  # noqa: PLC0415

    if not webbrowser.open(file.resolve().as_uri()):
        print(f"no browser here; open {file} in one", file=sys.stderr)
