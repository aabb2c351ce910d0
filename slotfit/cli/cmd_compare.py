"""`slotfit compare`: the same parts on other boards."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

from slotfit.cli.options import AsJson, BuildFile, CatalogDirs, Seconds, catalog_of

if TYPE_CHECKING:
    from collections.abc import Sequence

    from slotfit.choose.candidates import Broken
    from slotfit.choose.compare import Asked, Candidate, Result

Boards = Annotated[
    list[str] | None,
    typer.Argument(help="Boards: catalog ids, board files, or build files (their board)."),
]


def compare(
    build: BuildFile,
    boards: Boards = None,
    every: Annotated[bool, typer.Option("--every", help="Try the catalog's boards too.")] = False,
    own: Annotated[
        bool, typer.Option("--own/--no-own", help="The build's own board takes part.")
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
    csv: Annotated[Path | None, typer.Option(help="Write the table for a spreadsheet.")] = None,
    seconds: Seconds = 60.0,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Place the same parts on each board, side by side, and say what decides.

    Example: slotfit compare examples/demo/build.yaml server-2p workstation
    """
    from slotfit.choose import candidates as asked  # noqa: PLC0415
    from slotfit.choose.compare import Asked, Candidate  # noqa: PLC0415
    from slotfit.choose.futures_file import load_futures  # noqa: PLC0415
    from slotfit.choose.verdict import comparison_of  # noqa: PLC0415
    from slotfit.cli.exits import NO  # noqa: PLC0415
    from slotfit.load.build_file import load_build  # noqa: PLC0415
    from slotfit.render.compare_text import as_csv, as_json, as_text  # noqa: PLC0415
    from slotfit.written import write_file  # noqa: PLC0415

    known = catalog_of(catalog)
    problem = load_build(build, known)
    whose = asked.machine_asked(problem, machine)
    found, broken = asked.gathered(boards or [], known)
    if every:
        more, worse = asked.whole_catalog(known)
        found, broken = [*found, *more], [*broken, *worse]
    if own:
        rig = problem.rig[whose]
        found = [Candidate(rig.board.id, rig.board, len(rig.fitted)), *found]
    likely = load_futures(futures, known) if futures else ()
    trying = asked.unique(asked.with_processors(found, processors or []))
    results = tried(Asked(problem, whose, seconds, likely), trying, jobs)
    comparison = comparison_of(problem, [*results, *set_aside(broken)])
    print(as_json(comparison) if json else as_text(comparison), end="")
    if csv:
        write_file(csv, as_csv(comparison))
    if not any(board.complete for board in comparison.boards):
        raise typer.Exit(NO)


def tried(asked: Asked, candidates: Sequence[Candidate], jobs: int) -> tuple[Result, ...]:
    """All boards, a few at once, with progress on a terminal."""
    from concurrent.futures import ProcessPoolExecutor  # noqa: PLC0415
    from multiprocessing import get_context  # noqa: PLC0415

    from slotfit.choose.compare import compare as compare_all  # noqa: PLC0415
    from slotfit.cli.progress import shown_progress  # noqa: PLC0415

    with shown_progress() as show:

        def done(result: Result, number: int, count: int) -> None:
            show(result.name, number - 1, count)

        if jobs == 1 or len(candidates) < 4:
            return compare_all(asked, candidates, None, done)
        # Spawned, not forked: a forked child would inherit the solver's threads half alive.
        with ProcessPoolExecutor(jobs, mp_context=get_context("spawn")) as pool:
            return compare_all(asked, candidates, pool, done)


def set_aside(broken: Sequence[Broken]) -> list[Result]:
    """Boards that could not even be read, as results."""
    from slotfit.choose.compare import unreadable  # noqa: PLC0415

    return [unreadable(name, mistake) for name, mistake in broken]
