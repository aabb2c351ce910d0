"""The `slotfit` command: every verb hangs on `app`."""

from typing import Annotated

import typer

from slotfit import __version__

app = typer.Typer(name="slotfit", no_args_is_help=True, add_completion=False)


def show_version(asked: bool) -> None:
    """Print the version and stop, if asked."""
    if asked:
        print(f"slotfit {__version__}")
        raise typer.Exit


@app.callback()
def main(
    version: Annotated[
        bool,
        typer.Option("--version", callback=show_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Find out which part goes in which receptacle."""
    del version  # show_version has dealt with it


def run() -> None:
    """Start the command line; the console script's entry."""
    app()
