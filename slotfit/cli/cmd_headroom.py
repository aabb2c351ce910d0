"""`slotfit headroom`: what could still be added after the plan."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, catalog_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from slotfit.choose.futures import Outlook
    from slotfit.choose.probes import Probe
    from slotfit.load.catalog import Catalog
    from slotfit.model.problem import Problem
    from slotfit.render.compare.headroom_view import HeadroomView

Expect = Annotated[
    list[str] | None,
    typer.Option(help="A part you expect to add, such as nvme-2280-gen4=4; may be given again."),
]
Seconds = Annotated[
    float, typer.Option(help="Stop solving the plan, or an addition, after so many.", min=0)
]


def headroom(
    build: BuildFile,
    expect: Expect = None,
    futures: Annotated[
        Path | None, typer.Option(help="Likely futures (YAML): which of them fit.")
    ] = None,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say what could still be added after the plan, and what would have to move for it.

    Example: slotfit headroom examples/demo/build.yaml --expect nvme-2280-gen4=2
    """
    from slotfit.choose.futures_file import load_futures  # noqa: PLC0415
    from slotfit.cli.exit_of_plan import EXIT  # noqa: PLC0415
    from slotfit.cli.exits import NO, OUT_OF_TIME  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.model.status import Status  # noqa: PLC0415
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.compare.headroom_text import as_text  # noqa: PLC0415

    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    likely = load_futures(futures, known) if futures else ()
    probes = asked(expect or [], likely, known)
    view = looked_at(problem, probes, likely, seconds)
    print(as_json(view) if json else as_text(view), end="")
    status = Status(view.status)
    if status in (Status.IMPOSSIBLE, Status.UNKNOWN):
        raise typer.Exit(EXIT[status])
    if view.untried or any(not room.counted for room in view.rooms):
        raise typer.Exit(OUT_OF_TIME)
    if (expect or futures) and any(room.fits < room.asked for room in view.rooms):
        raise typer.Exit(NO)


def looked_at(
    problem: Problem, probes: Sequence[Probe], likely: Sequence[Outlook], seconds: float
) -> HeadroomView:
    """The plan and each addition, with progress on a terminal."""
    from slotfit.choose.headroom_of import headroom_of  # noqa: PLC0415
    from slotfit.choose.stop import Stop  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.cli.stopping import told_of_ctrl_c  # noqa: PLC0415

    stop = Stop()
    with shown_progress() as show, told_of_ctrl_c(stop):
        return headroom_of(problem, probes, likely, seconds, show, stop)


def asked(expect: list[str], likely: Sequence[Outlook], catalog: Catalog) -> list[Probe]:
    """What to try: the parts expected, each and all together, or else what people usually add."""
    from slotfit.choose.expectations import expected_parts, usual_carriers  # noqa: PLC0415
    from slotfit.choose.probes import standard_probes, together  # noqa: PLC0415

    if not expect:
        return [] if likely else list(standard_probes(usual_carriers(catalog)))
    probes = expected_parts(expect, catalog)
    return [*probes, together(probes)] if len(probes) > 1 else probes
