"""`slotfit verify`: does the machine run as planned."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated, Any

import typer

from slotfit.cli.options import AsJson, CatalogDirs, Seconds, catalog_of
from slotfit.cli.sources import Sources, machine_seen

if TYPE_CHECKING:
    from collections.abc import Mapping


Plan = Annotated[
    Path,
    typer.Argument(
        help="The build file, or the JSON that `slotfit place --json` printed.", show_default=False
    ),
]
OneMachine = Annotated[
    str | None, typer.Option("--machine", help="Which machine of the plan was read.")
]
Today = Annotated[
    bool, typer.Option("--today", help="Hold it against the build's `today`, not the plan.")
]


def verify(
    build: Plan,
    sources: Sources,
    machine: OneMachine = None,
    today: Today = False,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Hold a running machine against the plan, part by part, with likely causes and what to try.

    Example: slotfit verify build.yaml after.tar
    """
    from slotfit.cli.exits import NO  # noqa: PLC0415
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.verify_text import verify_text  # noqa: PLC0415
    from slotfit.verify.planned import planned_in  # noqa: PLC0415
    from slotfit.verify.verdict import verify as held_against  # noqa: PLC0415

    seen = machine_seen(sources)
    document = plan_of(build, catalog, seconds, today=today)
    planned = planned_in(document, str(build), machine)
    view = held_against(planned, seen, "today's layout" if today else "the plan")
    print(as_json(view) if json else verify_text(view), end="")
    raise typer.Exit(0 if view.good else NO)


def plan_of(
    build: Path, catalog: list[Path] | None, seconds: float, *, today: bool
) -> Mapping[str, Any]:
    """The plan as data: read from JSON, or made from a build file. Raises InputError."""
    from slotfit.load.file_text import read_text  # noqa: PLC0415
    from slotfit.verify.planned import document_in  # noqa: PLC0415

    text, file = read_text(build)
    if not text.lstrip().startswith("{") or '"schema_version"' not in text:
        return placed(build, catalog, seconds, today=today)
    if today:
        raise typer.BadParameter("a plan has no `today`; name the build file", param_hint="--today")
    return document_in(text, file)


def placed(
    build: Path, catalog: list[Path] | None, seconds: float, *, today: bool
) -> Mapping[str, Any]:
    """What `place` finds for a build file; the exit code says it if there is nothing to compare."""
    import sys  # noqa: PLC0415
    from dataclasses import asdict  # noqa: PLC0415

    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.exit_of_plan import EXIT  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.view_of import view_of  # noqa: PLC0415
    from slotfit.verify.today import as_it_stands  # noqa: PLC0415

    problem = load_build(build, catalog_of(catalog))
    found = api.place(as_it_stands(problem) if today else problem, seconds)
    if found.answer.plan is None:
        view = view_of(problem, found.seating, found.answer)
        print(f"{view.headline}: there is nothing to hold it against", file=sys.stderr)
        raise typer.Exit(EXIT[found.answer.status])
    return asdict(view_of(found.problem, found.seating, found.answer))
