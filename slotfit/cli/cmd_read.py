"""`slotfit read`: from what a machine says of itself to a build file."""

from __future__ import annotations

from pathlib import Path
from typing import Annotated

import typer

from slotfit.cli.options import AsJson
from slotfit.cli.sources import Sources, machine_seen

Folder = Annotated[
    Path, typer.Option("-o", "--output", help="The folder to write to.", show_default=False)
]
Force = Annotated[bool, typer.Option("--force", help="Write over files that are there.")]
Name = Annotated[
    str | None, typer.Option(help="What to call the machine; left out: as the folder.")
]


def read(
    sources: Sources,
    output: Folder,
    name: Name = None,
    force: Force = False,
    json: AsJson = False,
) -> None:
    """
    Write a board, parts and a build file with today's layout from what a machine says of itself.

    Example: slotfit read marsh.tar -o marsh
    """
    from slotfit.describe.description import describe  # noqa: PLC0415
    from slotfit.describe.folder import write_files  # noqa: PLC0415
    from slotfit.describe.report import read_view  # noqa: PLC0415
    from slotfit.describe.told import Places  # noqa: PLC0415
    from slotfit.read import pci_ids  # noqa: PLC0415
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.read_text import read_text  # noqa: PLC0415

    seen = machine_seen(sources)
    places = Places(sources)
    made = describe(seen, name or output.resolve().name, places, pci_ids.load())
    written = write_files(output, made.files, force=force)
    view = read_view(made, written, places)
    print(as_json(view) if json else read_text(view), end="")
