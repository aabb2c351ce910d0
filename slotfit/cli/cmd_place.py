"""`slotfit place`: which slot each part goes in."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, Seconds, catalog_of

if TYPE_CHECKING:
    from slotfit.render.explain.choices_view import ChoicesView
    from slotfit.render.explain.view import ExplanationView
    from slotfit.render.view import View

Draw = Annotated[
    list[Path] | None,
    typer.Option(help="Write the topology picture (.svg, .png or .dot); may be given again."),
]
Prefer = Annotated[
    str | None,
    typer.Option(help="Preferences in order, with commas; overrides the build file's."),
]

Also = Annotated[
    int, typer.Option(help="Look for so many other plans that are equally good.", min=0, max=1000)
]
Elsewhere = Annotated[
    list[str] | None,
    typer.Option(help="Also show the best plan with this part elsewhere; may be given again."),
]
IfFalse = Annotated[
    bool, typer.Option("--if-false", help="Also show what changes if an unproven fact is false.")
]
Ways = Annotated[
    int, typer.Option(help="If nothing fits, work out so many ways out.", min=0, max=100)
]


def place(
    build: BuildFile,
    draw: Draw = None,
    prefer: Prefer = None,
    also: Also = 0,
    elsewhere: Elsewhere = None,
    if_false: IfFalse = False,
    ways: Ways = 4,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say which slot each part goes in, with settings, links, cables and reasons.

    Example: slotfit place examples/demo/build.yaml --draw plan.svg
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.beside import choices, explained, known_parts  # noqa: PLC0415
    from slotfit.cli.drawing import check_targets, write_pictures  # noqa: PLC0415
    from slotfit.cli.exit_of_plan import EXIT  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.model.status import Status  # noqa: PLC0415
    from slotfit.render.view_of import view_of  # noqa: PLC0415

    check_targets(draw or [], "topology")
    found = catalog_of(catalog, build)
    problem = load_build(build, found)
    known_parts(problem, elsewhere or ())
    if prefer:
        problem = api.preferring(problem, prefer)
    with shown_progress() as progress:
        placed = api.place(problem, seconds, progress)
    view = view_of(problem, placed.seating, placed.answer)
    seconds = max(seconds - placed.answer.seconds, 0.0)  # for all that is said beside the plan
    if placed.answer.status is Status.IMPOSSIBLE:
        show(view, json, explanation=explained(problem, found, seconds, ways))
    elif also or elsewhere or if_false:
        show(view, json, choices=choices(placed, also, elsewhere or (), if_false, seconds))
    else:
        show(view, json)
    write_pictures(view, draw or [])
    raise typer.Exit(EXIT[placed.answer.status])


def show(
    view: View,
    json: bool,
    explanation: ExplanationView | None = None,
    choices: ChoicesView | None = None,
) -> None:
    """Print the answer with what is said beside it."""
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.as_text import as_text  # noqa: PLC0415

    beside = {"explanation": explanation, "choices": choices}
    if json:
        text = as_json(view, **{key: more for key, more in beside.items() if more})
    elif explanation:
        from slotfit.render.explain.text import explanation_text  # noqa: PLC0415

        text = explanation_text(view, explanation)
    elif choices:
        from slotfit.render.explain.choices_text import choices_text  # noqa: PLC0415

        text = as_text(view) + choices_text(choices)
    else:
        text = as_text(view)
    print(text, end="")
