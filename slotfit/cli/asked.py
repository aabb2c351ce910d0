"""Arguments of the commands that ask about a part and a board."""

from __future__ import annotations

from pathlib import Path
from typing import TYPE_CHECKING, Annotated

import typer

if TYPE_CHECKING:
    from slotfit.load.machine_asked import Around

Part = Annotated[
    str,
    typer.Argument(
        help="A catalog id, a file, a part of the build file, or the part written out: "
        "'plug: cem x16, links: 4x4'.",
        show_default=False,
    ),
]
Board = Annotated[
    str,
    typer.Argument(
        help="A catalog id, a board's file, or a build file: then what sits there today, the "
        "chassis and the supply count too.",
        show_default=False,
    ),
]
With = Annotated[
    list[str] | None,
    typer.Option(
        "--with",
        help="What sits on the part: DRIVE for every socket that takes it, SOCKET=DRIVE for one "
        "(a part of the build file too); may be given again.",
    ),
]
Slot = Annotated[str | None, typer.Option(help="Only this receptacle.")]
OneMachine = Annotated[
    str | None, typer.Option("--machine", help="Only this machine of a build file.")
]
InChassis = Annotated[str | None, typer.Option("--chassis", help="The chassis around the board.")]
Supply = Annotated[str | None, typer.Option("--power-supply", help="The board's power supply.")]
Processors = Annotated[
    str | None, typer.Option(help="Processors that are fitted, with commas; left out: all.")
]


def file_of(board: str) -> Path | None:
    """The file a board argument names; None if it is a catalog id or written out."""
    from slotfit.load.catalog import is_path  # noqa: PLC0415 - not needed for --help

    return Path(board) if is_path(board) and "\n" not in board else None


def around(
    chassis: str | None, power_supply: str | None, processors: str | None, machine: str | None
) -> Around:
    """What the options say of the machine around the board."""
    from slotfit.load.machine_asked import Around  # noqa: PLC0415 - not needed for --help

    names = [name.strip() for name in (processors or "").split(",")]
    fitted = tuple(name for name in names if name) if processors is not None else None
    return Around(chassis, power_supply, fitted, machine)
