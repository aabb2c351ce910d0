"""`slotfit collect`: the script that gathers what a machine says of itself."""

from __future__ import annotations

from typing import Annotated

import typer

Keep = Annotated[
    bool,
    typer.Option("--keep", help="A script that keeps serial numbers, MAC addresses and UUIDs."),
]


def collect(keep: Keep = False) -> None:
    """
    Print a small shell script to run as root on a machine that has nothing installed.

    Example: slotfit collect | ssh root@marsh sh -s > marsh.tar
    """
    from slotfit.read.script import collecting_script  # noqa: PLC0415 - not needed for --help

    print(collecting_script(keep=keep), end="")
