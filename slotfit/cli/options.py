"""Arguments that several commands share, and what they stand for."""

from __future__ import annotations

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


def catalog_of(dirs: list[Path] | None) -> Catalog:
    """The catalog that came along, the project's, the user's, and those named."""
    from slotfit.load.catalog import standard_catalog  # noqa: PLC0415 - not needed for --help

    return standard_catalog(dirs or ())
