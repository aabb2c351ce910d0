"""`slotfit carriers`: which carriers would show how many drives in each slot."""

from __future__ import annotations

import typer

from slotfit.cli.asked import (
    Board,
    InChassis,
    OneMachine,
    Processors,
    Slot,
    Supply,
    With,
    around,
    file_of,
)
from slotfit.cli.options import AsJson, CatalogDirs, catalog_of


def carriers(
    board: Board,
    slot: Slot = None,
    with_: With = None,
    machine: OneMachine = None,
    chassis: InChassis = None,
    power_supply: Supply = None,
    processors: Processors = None,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say, slot by slot, which kinds of drive carrier would show how many drives.

    Example: slotfit carriers old-menu-lies
    """
    from slotfit import api  # noqa: PLC0415
    from slotfit.cli.exits import NO  # noqa: PLC0415
    from slotfit.load.machine_asked import machine_asked  # noqa: PLC0415
    from slotfit.load.question import every_drive, question_of  # noqa: PLC0415
    from slotfit.load.shelf import Shelf  # noqa: PLC0415
    from slotfit.render.as_json import as_json  # noqa: PLC0415
    from slotfit.render.check.carriers_text import carriers_text  # noqa: PLC0415
    from slotfit.render.check.carriers_view import carriers_view_of  # noqa: PLC0415

    known = catalog_of(catalog, file_of(board))
    there, _ = machine_asked(board, around(chassis, power_supply, processors, machine), known)
    drives = [*every_drive(with_ or [], known)]
    parts = Shelf(known).carriers([drive.plug.form for _, drive in drives])
    found = api.carriers(question_of(there, part, drives, slot) for part in parts)
    view = carriers_view_of(there, found)
    print(as_json(view) if json else carriers_text(view), end="")
    raise typer.Exit(0 if found else NO)
