"""Arguments of the commands that ask about a part and a board."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.check.machine_asked import MachineOptions
from slotfit.load.catalog import Catalog, is_path, standard_catalog
from slotfit.load.yaml_text import folder_of

BuildFile = Annotated[
    Path, typer.Argument(metavar="BUILD", help="The build file (YAML).", show_default=False)
]
CatalogDirs = Annotated[
    list[Path] | None,
    typer.Option(
        "--catalog", metavar="FOLDER", help="A folder with more descriptions; may be given again."
    ),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for programs instead of text.")]
Plain = Annotated[
    bool, typer.Option("--plain", help="Print no bold and no colours; NO_COLOR does the same.")
]
All = Annotated[bool, typer.Option("--all", help="Say everything that is known of the answer.")]
Seconds = Annotated[
    float,
    typer.Option(
        metavar="SECONDS",
        help="Stop solving after so many seconds and show the best so far.",
        min=0,
    ),
]


def catalog_of(dirs: list[Path] | None, build: Path | None = None) -> Catalog:
    """
    The catalog that came along, the user's, the project's, and those named.

    The project's lies in `catalog` beside the build file, or in the working folder if there is
    none. What overrides what is told on the other stream.
    """
    catalog = standard_catalog(dirs or (), folder_of(build) if build else None)
    if len(catalog.roots) > 1:  # one root overrides nothing; others are listed once
        for notice in catalog.notices:
            print(notice, file=sys.stderr)
    return catalog


Part = Annotated[
    str,
    typer.Argument(
        metavar="PART",
        help="A catalog id, a file, a part of the build file, or the part written out: "
        "'plug: cem x16, links: 4x4'.",
        show_default=False,
    ),
]
Board = Annotated[
    str,
    typer.Argument(
        metavar="BOARD",
        help="A catalog id, a board's file, or a build file: then what sits there today, the "
        "chassis and the supply count too.",
        show_default=False,
    ),
]
With = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        metavar="[SOCKET=]DRIVE",
        help="What sits on the part: DRIVE for every socket that takes it, SOCKET=DRIVE for one "
        "(a part of the build file too); may be given again.",
    ),
]
Slot = Annotated[
    str | None, typer.Option(metavar="RECEPTACLE", help="Ask about this receptacle alone.")
]
OneMachine = Annotated[
    str | None,
    typer.Option("--machine", metavar="ID", help="Ask about this machine of a build file alone."),
]
InChassis = Annotated[
    str | None,
    typer.Option(
        "--chassis", metavar="ID|FILE", help="Say which chassis is around a board that has none."
    ),
]
Supply = Annotated[
    str | None,
    typer.Option(
        "--power-supply", metavar="ID|FILE", help="Say which power supply feeds the board."
    ),
]
Processors = Annotated[
    str | None,
    typer.Option(
        metavar="ID,ID", help="Say which processors are fitted, with commas; left out: all."
    ),
]


def file_of(board: str) -> Path | None:
    """The file a board argument names; None if it is a catalog id or written out."""
    return Path(board) if is_path(board) and "\n" not in board else None


def around(
    chassis: str | None, power_supply: str | None, processors: str | None, machine: str | None
) -> MachineOptions:
    """What the options say of the machine around the board."""
    names = [name.strip() for name in (processors or "").split(",")]
    fitted = tuple(name for name in names if name) if processors is not None else None
    return MachineOptions(chassis, power_supply, fitted, machine)


Sources = Annotated[
    list[Path],
    typer.Argument(
        metavar="FILE|FOLDER",
        help="The tar of `slotfit collect`, a /sys folder or a copy of one, the text of lspci -vv, "
        "lspci -xxxx or dmidecode, a binary SMBIOS table; several of one machine together; - "
        "for standard input.",
        show_default=False,
    ),
]
