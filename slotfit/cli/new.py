"""`slotfit new`: a commented file to begin with."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.catalog.manual_table import board_from_table
from slotfit.answers.catalog.starting_file import KINDS, headed, id_for, starting_text
from slotfit.cli.options import CatalogDirs, catalog_of
from slotfit.errors import InputError, Mistake
from slotfit.files import write_file
from slotfit.load.yaml_text import read_text

Kind = Annotated[
    str,
    typer.Argument(
        metavar="KIND",
        help="One of board, build, part, chassis, power-supply.",
        show_default=False,
    ),
]
From = Annotated[
    str | None,
    typer.Option(
        "--from",
        metavar="ID|FILE",
        help="Copy this description; for a build also the board to use.",
    ),
]
Output = Annotated[
    Path | None,
    typer.Option(
        "--output", "-o", metavar="FILE", help="Write this file; left out: the text is printed."
    ),
]
OfTable = Annotated[
    str | None,
    typer.Option(
        "--table",
        metavar="FILE",
        help="Read a board's slot table out of its manual: text, CSV or Markdown; - is input.",
        show_default=False,
    ),
]
Force = Annotated[bool, typer.Option("--force", help="Write over a file that is there.")]


def new(
    kind: Kind,
    from_: From = None,
    table: OfTable = None,
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
    if table is not None:
        check_table(kind, from_)
        made = headed(board_from_table(text_of(table)), kind, name)
    else:
        made = starting_text(kind, catalog_of(catalog), from_, name, folder)
    if output is None:
        print(made, end="")
        return
    write_file(output, made)
    print(f"{output} is written. Replace what is in it, then: {NEXT[kind]} {output}")


def check_table(kind: str, from_: str | None) -> None:
    """A table is a board's, and one beginning is enough. Raises InputError."""
    if kind != "board" or from_ is not None:
        text = "a slot table makes a board" if kind != "board" else "leave out --from or --table"
        raise InputError([Mistake("--table", "", text)])


def text_of(table: str) -> str:
    """A file's text, or what comes in."""
    return sys.stdin.read() if table == "-" else read_text(Path(table))[0]


NEXT = {
    "board": "slotfit catalog lint",
    "part": "slotfit catalog lint",
    "chassis": "slotfit catalog lint",
    "power-supply": "slotfit catalog lint",
    "build": "slotfit place",
}
"""Kind -> what to do once it is filled in."""
