"""`slotfit headroom`: what could still be added after the plan."""

from __future__ import annotations

from typing import TYPE_CHECKING, Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, Seconds, catalog_of

if TYPE_CHECKING:
    from slotfit.choose.probes import Probe
    from slotfit.load.catalog import Catalog

Expect = Annotated[
    list[str] | None,
    typer.Option(help="A part you expect to add, such as nvme-2280-gen4=4; may be given again."),
]


def headroom(
    build: BuildFile,
    expect: Expect = None,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say what could still be added after the plan, and what would have to move for it.

    Example: slotfit headroom examples/demo/build.yaml --expect nvme-2280-gen4=2
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.choose.headroom import rooms  # noqa: PLC0415
    from slotfit.cli.exits import EXIT, NO  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.headroom_text import as_json, as_text, no_plan  # noqa: PLC0415

    known = catalog_of(catalog)
    problem = load_build(build, known)
    probes = asked(expect or [], known)
    with shown_progress() as show:
        placed = api.place(problem, seconds, show)
        plan = placed.answer.plan
        if plan is None:
            print(no_plan(placed.answer.status))
            raise typer.Exit(EXIT[placed.answer.status])
        found = tuple(rooms(problem, plan, probes, seconds, show))
    print(as_json(problem, found) if json else as_text(problem, found), end="")
    if expect and any(room.fits < probe.most for room, probe in zip(found, probes, strict=True)):
        raise typer.Exit(NO)


def asked(expect: list[str], catalog: Catalog) -> list[Probe]:
    """What to try: the parts expected, each and all together, or else what people usually add."""
    from slotfit.choose.expectations import expected_parts, usual_carriers  # noqa: PLC0415
    from slotfit.choose.probes import standard_probes, together  # noqa: PLC0415

    if not expect:
        return list(standard_probes(usual_carriers(catalog)))
    probes = expected_parts(expect, catalog)
    return [*probes, together(probes)] if len(probes) > 1 else probes
