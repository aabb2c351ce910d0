"""`slotfit sheet`: one page to take to the open case."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from slotfit.cli.options import BuildFile, CatalogDirs, Seconds, catalog_of

if TYPE_CHECKING:
    from slotfit.load.catalog import Catalog
    from slotfit.model.placed import Placed
    from slotfit.model.plan import Answer
    from slotfit.model.problem import Problem
    from slotfit.model.status import Status
    from slotfit.render.explorer_of import Explorer
    from slotfit.render.sequence.view import SequenceView
    from slotfit.render.view import View

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
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.comparing import Wanted, compared  # noqa: PLC0415
    from slotfit.cli.drawing import check_targets  # noqa: PLC0415
    from slotfit.cli.exit_of_plan import EXIT  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.as_sheet import as_sheet  # noqa: PLC0415
    from slotfit.written import write_file  # noqa: PLC0415

    check_targets([output], "sheet")
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    wanted = Wanted(beside or (), seconds, chassis=chassis, strict="--beside")
    boards = compared(problem, known, wanted) if beside else None
    goal = api.goal_of(problem)
    with shown_progress() as progress:
        placed = api.place(goal, seconds, progress)
    status, windows = placed.answer.status, None
    if goal is not problem and placed.answer.plan:
        windows, status = way_there(problem, known, placed.answer, seconds)
    view, explorer = shown(placed)
    write_file(output, as_sheet(view, explorer, windows, boards))
    if open_:
        show(output)
    if EXIT[status]:
        print(f"{(windows or view).headline}.", file=sys.stderr)
    raise typer.Exit(EXIT[status])


def shown(placed: Placed) -> tuple[View, Explorer]:
    """What the page says of the plan, and of every part everywhere else."""
    from slotfit.check_build import everything  # noqa: PLC0415
    from slotfit.render.explorer_of import explorer_of  # noqa: PLC0415
    from slotfit.render.view_of import view_of  # noqa: PLC0415

    problem, plan = placed.problem, placed.answer.plan
    told = everything(problem, plan)
    explorer = explorer_of(problem, told, placed.seating, plan)
    return view_of(problem, placed.seating, placed.answer), explorer


def way_there(
    problem: Problem, catalog: Catalog, goal: Answer, seconds: float
) -> tuple[SequenceView, Status]:
    """The windows from today's layout to the plan."""
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.explain.shop import Shop  # noqa: PLC0415
    from slotfit.sequence.view_of import view_of  # noqa: PLC0415

    with shown_progress() as progress:
        found = api.sequence(problem, Shop(catalog), seconds, progress, goal)
    return view_of(found), found.status


def show(file: Path) -> None:
    """Hand the page to the browser; a machine without one is told where it lies."""
    import webbrowser  # noqa: PLC0415

    if not webbrowser.open(file.resolve().as_uri()):
        print(f"no browser here; open {file} in one", file=sys.stderr)
