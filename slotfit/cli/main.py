"""The `slotfit` command with all its verbs."""

from __future__ import annotations

import sys
from collections.abc import Callable, Iterable, Sequence
from importlib import import_module
from inspect import getdoc
from shutil import get_terminal_size
from typing import Annotated, Any

import typer
from typer.core import TyperCommand

from slotfit import __version__
from slotfit.answers.answer_word import EXIT
from slotfit.answers.text_layout import laid_out
from slotfit.cli.output import told_output
from slotfit.errors import InputError, Mistake
from slotfit.load.words import close_to

VERBS = {
    "place": "place",
    "check": "check",
    "carriers": "check",
    "why": "why",
    "compare": "compare",
    "headroom": "headroom",
    "sequence": "sequence",
    "collect": "read",
    "read": "read",
    "verify": "read",
    "draw": "draw",
    "sheet": "sheet",
    "catalog": "catalog",
    "new": "new",
}
"""Verb -> the module in `slotfit/cli/` that has it, read when it is asked; the help's order."""


NARROWEST, WIDEST = 40, 120
"""Columns that texts are laid out for: a longer line is hard to follow."""


def show_version(asked: bool) -> None:
    """Print the version and stop, if asked."""
    if asked:
        print(f"slotfit {__version__}")
        raise typer.Exit


def bare() -> None:
    """What stands before a verb that is asked at once: nothing to read."""


def main(
    version: Annotated[
        bool,
        typer.Option("--version", callback=show_version, is_eager=True, help="Print the version."),
    ] = False,
) -> None:
    """Find out which part goes in which receptacle."""
    del version  # show_version has dealt with it


class VerbCommand(TyperCommand):
    """A command whose help calls an argument what it is, without its type in Python."""

    def format_options(self, ctx: Any, formatter: Any) -> None:
        """Arguments, then options; called by the library."""
        arguments, options = [], []
        for one in self.get_params(ctx):
            name, text = one.get_help_record(ctx) or ("", "")
            if one.param_type_name == "argument":
                arguments.append((str(one.metavar or one.name).upper(), text))
            elif name:
                options.append((name, text))
        for title, rows in (("Arguments", arguments), ("Options", options)):
            if rows:
                with formatter.section(title):
                    formatter.write_dl(rows)


def command_of(verb: str) -> Callable[..., None] | typer.Typer:
    """What a verb runs."""
    command: Callable[..., None] | typer.Typer
    command = getattr(import_module(f"slotfit.cli.{VERBS[verb]}"), verb)
    return command


def app_with(verbs: Iterable[str], *, first: bool = True) -> typer.Typer:
    """
    The command line with these verbs; each takes a little time to build.

    `first`: with what may stand before them.
    """
    made = typer.Typer(
        name="slotfit",
        no_args_is_help=True,
        rich_markup_mode=None,
        pretty_exceptions_enable=False,
    )
    made.callback()(main if first else bare)
    for verb in verbs:
        command = command_of(verb)
        if isinstance(command, typer.Typer):
            for one in command.registered_commands:
                one.cls, one.short_help = VerbCommand, in_short(one.callback)
            made.add_typer(command, name=verb)
        else:
            made.command(verb, cls=VerbCommand, short_help=in_short(command))(command)
    return made


def in_short(command: Callable[..., None] | None) -> str:
    """The first sentence of a command's help, whole."""
    return (getdoc(command) or "").partition("\n\n")[0].replace("\n", " ")


def run() -> None:
    """Run what was typed; what is wrong with it is told in words."""
    asked = [verb for verb in VERBS if verb in sys.argv[1:2]]
    try:
        known_command(sys.argv[1:2])
        with told_output(), laid_out(columns_there()):
            begin(app_with(asked or VERBS, first=not asked))
    except InputError as error:
        print(error, file=sys.stderr)
        sys.exit(EXIT["bad input"])


def known_command(typed: Sequence[str]) -> None:
    """Raises InputError for a first word that is neither a command nor an option."""
    for word in typed:
        if word not in VERBS and not word.startswith("-"):
            text = f"there is no such command{close_to(word, VERBS)} (slotfit --help lists them)"
            raise InputError([Mistake(word, "", text)])


def columns_there() -> int:
    """The terminal's columns, or what COLUMNS says; 80 where the output is read by no terminal."""
    return min(max(get_terminal_size((80, 24)).columns, NARROWEST), WIDEST)


def begin(app: typer.Typer) -> None:
    """
    Run the command that was typed; ends with SystemExit, or BrokenPipeError if nobody reads.

    A closed pipe has the library exit with 1, which is the code for "no", and exchange the output.
    """
    output = sys.stdout
    try:
        app(prog_name="slotfit")
    except SystemExit:
        if sys.stdout is output:
            raise
        sys.stdout = output
        raise BrokenPipeError from None
