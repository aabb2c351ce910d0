"""`slotfit headroom`: what could still be added after the plan."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.headroom.headroom import AdditionsWanted
from slotfit.answers.headroom.headroom import headroom as what_room_is_left
from slotfit.answers.headroom.text import as_text
from slotfit.cli.options import All, AsJson, BuildFile, CatalogDirs, Plain, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.cli.workers import told_of_ctrl_c
from slotfit.load.build_file import load_build
from slotfit.solve.engine import Stop

Expect = Annotated[
    list[str] | None,
    typer.Option(
        metavar="PART[=NUMBER]",
        help="A part you expect to add, such as nvme-2280-gen4=4; may be given again.",
    ),
]
Seconds = Annotated[
    float,
    typer.Option(
        metavar="SECONDS",
        help="Stop solving the plan, or an addition, after so many seconds.",
        min=0,
    ),
]


def headroom(
    build: BuildFile,
    expect: Expect = None,
    futures: Annotated[
        Path | None,
        typer.Option(metavar="FILE", help="Say which of these likely futures (YAML) fit."),
    ] = None,
    seconds: Seconds = 60.0,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say what could still be added after the plan, and what would have to move for it.

    Example: slotfit headroom examples/demo/build.yaml --expect nvme-2280-gen4=2
    """
    known = catalog_of(catalog, build)
    problem = load_build(build, known)
    wanted, stop = AdditionsWanted(expect or (), futures), Stop()
    with shown_progress() as show, told_of_ctrl_c(stop):
        answer = what_room_is_left(problem, known, wanted, seconds, show, stop)
    say(answer, lambda: as_text(answer, every=all_), json=json, plain=plain)
    raise typer.Exit(EXIT[answer.verdict.word])
