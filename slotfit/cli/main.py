"""The `slotfit` command with all its verbs."""

from __future__ import annotations

import gc
import sys
from collections.abc import Callable, Iterable
from typing import Annotated

import typer

from slotfit import __version__
from slotfit.cli.cmd_carriers import carriers
from slotfit.cli.cmd_catalog import catalog_app
from slotfit.cli.cmd_check import check
from slotfit.cli.cmd_collect import collect
from slotfit.cli.cmd_compare import compare
from slotfit.cli.cmd_draw import draw
from slotfit.cli.cmd_headroom import headroom
from slotfit.cli.cmd_new import new
from slotfit.cli.cmd_place import place
from slotfit.cli.cmd_read import read
from slotfit.cli.cmd_sequence import sequence
from slotfit.cli.cmd_sheet import sheet
from slotfit.cli.cmd_verify import verify
from slotfit.cli.cmd_why import why
from slotfit.cli.exits import BAD_INPUT, BUG
from slotfit.cli.output import told_output
from slotfit.errors import InputError, SlotfitError

COMMANDS: dict[str, Callable[..., None] | typer.Typer] = {
    "place": place,
    "check": check,
    "carriers": carriers,
    "why": why,
    "compare": compare,
    "headroom": headroom,
    "sequence": sequence,
    "collect": collect,
    "read": read,
    "verify": verify,
    "draw": draw,
    "sheet": sheet,
    "catalog": catalog_app,
    "new": new,
}
"""Verb -> what it runs, in the order of the help."""


MANY_OBJECTS = 500_000
"""Garbage is looked for when so many objects are new: starting up makes many and keeps them all."""


def show_version(asked: bool) -> None:
    """Print the version and stop, if asked."""
    if asked:
        print(f"slotfit {__version__}")
        raise typer.Exit


def main(
    version: Annotated[
        bool,
        typer.Option("--version", callback=show_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Find out which part goes in which receptacle."""
    del version  # show_version has dealt with it


def app_with(verbs: Iterable[str]) -> typer.Typer:
    """The command line with these verbs; each takes a little time to build."""
    made = typer.Typer(
        name="slotfit",
        no_args_is_help=True,
        add_completion=False,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    made.callback()(main)
    for verb in verbs:
        command = COMMANDS[verb]
        if isinstance(command, typer.Typer):
            made.add_typer(command, name=verb)
        else:
            made.command(verb)(command)
    return made


app = app_with(COMMANDS)


def run() -> None:
    """Start the command line; the console script's entry. What goes wrong is told in words."""
    gc.set_threshold(MANY_OBJECTS)
    asked = [verb for verb in COMMANDS if verb in sys.argv[1:2]]
    try:
        with told_output():
            app_with(asked or COMMANDS)(prog_name="slotfit")
    except InputError as error:
        print(error, file=sys.stderr)
        sys.exit(BAD_INPUT)
    except SlotfitError as error:
        print(f"slotfit contradicts itself; please report this: {error}", file=sys.stderr)
        sys.exit(BUG)
    except KeyboardInterrupt:
        print("stopped", file=sys.stderr)
        sys.exit(130)
