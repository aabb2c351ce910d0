"""Arguments that several commands share, and what they stand for."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from slotfit.load.catalog import Catalog

BuildFile = Annotated[Path, typer.Argument(help="The build file (YAML).", show_default=False)]
CatalogDirs = Annotated[
    list[Path] | None,
    typer.Option("--catalog", help="A folder with more descriptions; may be given again."),
]
AsJson = Annotated[bool, typer.Option("--json", help="Print JSON for programs instead of text.")]
Seconds = Annotated[
    float, typer.Option(help="Stop solving after so many seconds and show the best so far.", min=0)
]


def catalog_of(dirs: list[Path] | None, build: Path | None = None) -> Catalog:
    """
    The catalog that came along, the user's, the project's, and those named.

    The project's lies in `catalog` beside the build file, or in the working folder if there is
    none. What overrides what is told on the other stream.
    """
    from slotfit.load.catalog import standard_catalog  # noqa: PLC0415 - not needed for --help
    from slotfit.load.file_text import folder_of  # noqa: PLC0415

    catalog = standard_catalog(dirs or (), folder_of(build) if build else None)
    if len(catalog.roots) > 1:  # one root overrides nothing; others are listed once
        for notice in catalog.notices:
            print(notice, file=sys.stderr)
    return catalog
