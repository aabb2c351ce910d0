"""`slotfit draw`: the plan as a picture."""

from __future__ import annotations

import sys
from enum import Enum
from pathlib import Path
from typing import Annotated

import typer

from slotfit.cli.options import BuildFile, CatalogDirs, Seconds, catalog_of


class Shown(Enum):
    """Which picture."""

    ROW = "row"
    TOPOLOGY = "topology"


class StandOption(Enum):
    """How the board lies before the reader."""

    FLAT = "flat"
    TOWER = "tower"


ViewOption = Annotated[
    Shown, typer.Option("--view", help="The slot row from above, or processors, lanes and links.")
]
Stands = Annotated[
    StandOption,
    typer.Option("--stand", help="The row lying flat, rear edge nearest to you, or in a tower."),
]
Output = Annotated[
    Path | None,
    typer.Option(
        "--output",
        "-o",
        help="File to write (.svg, .png; topology also .dot); none: SVG is printed.",
    ),
]


def draw(
    build: BuildFile,
    view: ViewOption = Shown.ROW,
    output: Output = None,
    stand: Stands = StandOption.FLAT,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
) -> None:
    """
    Draw the plan: the slot row with every card in its place, or the topology.

    Example: slotfit draw examples/demo/build.yaml --view row -o row.svg
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.drawing import check_targets, picture_text, write_picture  # noqa: PLC0415
    from slotfit.cli.exits import EXIT  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.view_of import view_of  # noqa: PLC0415

    check_targets([output] if output else [], view.value)
    problem = load_build(build, catalog_of(catalog, build))
    with shown_progress() as progress:
        placed = api.place(problem, seconds, progress)
    seen = view_of(problem, placed.seating, placed.answer)
    if output:
        write_picture(seen, output, view.value, stand.value)
    else:
        print(picture_text(seen, view.value, stand.value))
    if EXIT[placed.answer.status]:
        print(f"{seen.headline}.", file=sys.stderr)
    raise typer.Exit(EXIT[placed.answer.status])
