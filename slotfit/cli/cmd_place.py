"""`slotfit place`: which slot each part goes in."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, Seconds, catalog_of

Draw = Annotated[
    list[Path] | None,
    typer.Option(help="Write the topology picture (.svg, .png or .dot); may be given again."),
]
Prefer = Annotated[
    str | None,
    typer.Option(help="Preferences in order, with commas; overrides the build file's."),
]


def place(
    build: BuildFile,
    draw: Draw = None,
    prefer: Prefer = None,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say which slot each part goes in, with settings, links, cables and reasons.

    Example: slotfit place examples/demo/build.yaml --draw plan.svg
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.drawing import check_targets, write_pictures  # noqa: PLC0415
    from slotfit.cli.exits import EXIT  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.as_text import as_text  # noqa: PLC0415
    from slotfit.render.view_of import view_of  # noqa: PLC0415

    check_targets(draw or [], "topology")
    problem = load_build(build, catalog_of(catalog))
    if prefer:
        problem = api.preferring(problem, prefer)
    with shown_progress() as progress:
        placed = api.place(problem, seconds, progress)
    view = view_of(problem, placed.seating, placed.answer)
    print(as_json(view) if json else as_text(view), end="")
    write_pictures(view, draw or [])
    raise typer.Exit(EXIT[placed.answer.status])
