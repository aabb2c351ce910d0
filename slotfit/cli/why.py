"""`slotfit why`: why a part is not in a receptacle."""

from __future__ import annotations

from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.why.text import why_text
from slotfit.answers.why.why import why as ask
from slotfit.cli.options import All, AsJson, BuildFile, CatalogDirs, Plain, Seconds, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.load.build_file import load_build

Part = Annotated[
    str, typer.Argument(metavar="PART", help="A part of the build.", show_default=False)
]
Receptacle = Annotated[
    str,
    typer.Argument(
        metavar="RECEPTACLE", help="Where it could be: a slot, or part/socket.", show_default=False
    ),
]


def why(
    build: BuildFile,
    part: Part,
    receptacle: Receptacle,
    seconds: Seconds = 60.0,
    all_: All = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say why the plan does not put a part into a receptacle: what forbids it, or what it costs.

    Example: slotfit why examples/demo/build.yaml nic-10 slot1
    """
    problem = load_build(build, catalog_of(catalog, build))
    with shown_progress() as progress:
        answer = ask(problem, part, receptacle, seconds, progress)
    say(answer, lambda: why_text(answer, every=all_), json=json, plain=plain)
    raise typer.Exit(EXIT[answer.verdict.word])
