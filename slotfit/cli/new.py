"""`slotfit new`: a commented file to begin with."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.catalog.starting_file import KINDS, id_for, starting_text
from slotfit.cli.options import CatalogDirs, catalog_of
from slotfit.errors import InputError, Mistake
from slotfit.files import write_file

Kind = Annotated[
    str, typer.Argument(help="board, build, part, chassis or power-supply.", show_default=False)
]
From = Annotated[
    str | None,
    typer.Option("--from", help="An id or a file to copy; for a build also the board to use."),
]
Output = Annotated[
    Path | None, typer.Option("--output", "-o", help="File to write; none: the text is printed.")
]
Force = Annotated[bool, typer.Option("--force", help="Write over a file that is there.")]


def new(
    kind: Kind,
    from_: From = None,
    output: Output = None,
    force: Force = False,
    catalog: CatalogDirs = None,
) -> None:
    """
    Write a file to begin with: commented, valid, with everything to replace in it.

    Example: slotfit new board -o my-board.yaml
    """
    if kind not in KINDS:
        raise typer.BadParameter(f"write one of {', '.join(KINDS)}", param_hint="KIND")
    if output and output.is_file() and not force:
        text = "is there already; --force writes over it"
        raise InputError([Mistake(str(output), "", text)])
    folder = output.parent if output else Path()
    name = id_for(output) if output else None
    made = starting_text(kind, catalog_of(catalog), from_, name, folder)
    if output is None:
        print(made, end="")
        return
    write_file(output, made)
    print(f"{output} is written. Replace what is in it, then: {NEXT[kind]} {output}")


NEXT = {
    "board": "slotfit catalog lint",
    "part": "slotfit catalog lint",
    "chassis": "slotfit catalog lint",
    "power-supply": "slotfit catalog lint",
    "build": "slotfit place",
}
"""Kind -> what to do once it is filled in."""
