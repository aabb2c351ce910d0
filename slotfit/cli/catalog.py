"""`slotfit catalog`: what is described, how one looks, what is wrong with it."""

from __future__ import annotations

import sys
from pathlib import Path
from typing import Annotated

import typer

from slotfit.answers.answer_word import EXIT
from slotfit.answers.catalog.add import add_text, catalog_added
from slotfit.answers.catalog.answer import (
    CatalogQuery,
    catalog_linted,
    catalog_listed,
    catalog_shown,
    description,
)
from slotfit.answers.catalog.audit import catalog_audited
from slotfit.answers.catalog.schema import ANSWERS, KINDS, schema_text
from slotfit.answers.catalog.show import show_text
from slotfit.answers.catalog.text import audit_text, lint_text, list_text, overview_text
from slotfit.answers.check.machine_asked import MachineOptions, alone
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import AsJson, CatalogDirs, Plain, catalog_of
from slotfit.cli.output import say
from slotfit.cli.progress import shown_progress
from slotfit.draw.picture import bare, write_svg
from slotfit.draw.slot_row import slot_row_svg
from slotfit.errors import InputError, Mistake
from slotfit.load.catalog import Catalog, told

catalog = typer.Typer(
    no_args_is_help=True,
    help="List, search, show and check descriptions; print their schema.",
    rich_markup_mode=None,
)

OF_KIND = (
    "List this kind alone: board, part, chassis, power-supply, or a class of part such as "
    "network-card."
)
Kind = Annotated[str | None, typer.Option(metavar="KIND", help=OF_KIND)]
KindListed = Annotated[str | None, typer.Argument(metavar="KIND", help=OF_KIND, show_default=False)]
PlugForm = Annotated[
    str | None,
    typer.Option("--plug", metavar="FORM", help="List what has this plug: cem, m2-m, u2 ..."),
]
Takes = Annotated[
    str | None,
    typer.Option(metavar="FORM", help="List what has this receptacle: cem, m2-m, sata ..."),
]
Lanes = Annotated[
    int | None,
    typer.Option(metavar="NUMBER", help="List what has so many lanes in its links or in a slot."),
]
Generation = Annotated[
    int | None,
    typer.Option(metavar="NUMBER", help="List what has links or lanes of this generation."),
]
Ports = Annotated[
    int | None,
    typer.Option(
        metavar="NUMBER",
        help="List what has so many ports: network, SAS, SATA, USB, serial, video.",
    ),
]
Every = Annotated[
    bool, typer.Option("--all", help="List every description, not the kinds there are.")
]
Words = Annotated[
    list[str],
    typer.Argument(metavar="WORDS", help="Words in id, name, class or text; all must be there."),
]
Name = Annotated[
    str,
    typer.Argument(metavar="ID|FILE", help="What to show: an id, or a file.", show_default=False),
]
Named = Annotated[
    list[str] | None,
    typer.Argument(metavar="FILE|FOLDER|ID", help="What to look at; `all` is the whole catalog."),
]
Draw = Annotated[
    Path | None,
    typer.Option(metavar="FILE", help="Draw a board's slot row with nothing in it (.svg or .png)."),
]
Source = Annotated[
    Path, typer.Argument(metavar="FILE|FOLDER", help="A folder, or a tar.", show_default=False)
]
Replace = Annotated[
    bool, typer.Option("--replace", help="Put it in place of one that was added before.")
]
KindNamed = Annotated[
    str,
    typer.Argument(metavar="KIND", help="One of part, board, chassis, power-supply, build."),
]


@catalog.command("list")
def list_(
    kind: KindListed = None,
    plug: PlugForm = None,
    takes: Takes = None,
    lanes: Lanes = None,
    generation: Generation = None,
    ports: Ports = None,
    all_: Every = False,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    List the kinds of things that are described, or the things of one kind.

    Example: slotfit catalog list network-card --lanes 8 --ports 2
    """
    query = CatalogQuery(kind, plug, takes, lanes, generation, ports)
    tell_list(query, catalog, whole=all_ or not query.is_empty, json=json, plain=plain)


@catalog.command()
def search(
    words: Words,
    kind: Kind = None,
    plug: PlugForm = None,
    takes: Takes = None,
    lanes: Lanes = None,
    generation: Generation = None,
    ports: Ports = None,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    List what has all of the words.

    Example: slotfit catalog search passive four drives
    """
    typed = tuple(" ".join(words).split())
    query = CatalogQuery(kind, plug, takes, lanes, generation, ports, typed)
    tell_list(query, catalog, whole=True, json=json, plain=plain)


def tell_list(
    query: CatalogQuery, catalog: CatalogDirs, *, whole: bool, json: bool, plain: bool
) -> None:
    """What is wanted; what cannot be listed goes to the other stream."""
    answer = catalog_listed(catalog_of(catalog), query)
    text = list_text if whole else overview_text
    say(answer, lambda: text(answer), json=json, plain=plain)
    for fault in answer.not_listed:
        print(fault, file=sys.stderr)
    raise typer.Exit(0 if answer.entries else EXIT["no"])


@catalog.command()
def show(
    name: Name,
    draw: Draw = None,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Show one description: its lanes drawn, its figures, and where each comes from.

    Example: slotfit catalog show hba-8i-sas3
    """
    known = catalog_of(catalog)
    answer = None
    if json:
        answer = catalog_shown(known, name)
        kind = answer.described["kind"]
    else:
        path, entity = description(known, name)
        kind = vars(entity)["kind"]
    if draw:
        drawn(name, str(kind), known, draw)
    say(answer, lambda: show_text(entity, told(path), name), json=json, plain=plain)


def drawn(name: str, kind: str, catalog: Catalog, file: Path) -> None:
    """A board's slot row as a picture. Raises InputError for other kinds and for bad names."""
    if kind != "board":
        raise InputError([Mistake("--draw", "", f"{name} is a {kind}; only boards are drawn")])
    check_targets([file], "row")
    write_svg(slot_row_svg(bare(alone(name, MachineOptions(), catalog))), file)


@catalog.command()
def lint(
    files: Named = None,
    plain: Plain = False,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    Say what is wrong, unlikely or without a source, and which facts are not known yet.

    Example: slotfit catalog lint my-board.yaml
    """
    answer = catalog_linted(catalog_of(catalog), files or [])
    say(answer, lambda: lint_text(answer), json=json, plain=plain)
    raise typer.Exit(0 if answer.is_clean else EXIT["no"])


@catalog.command()
def audit(plain: Plain = False, catalog: CatalogDirs = None, json: AsJson = False) -> None:
    """
    Look at the catalog as a whole: what figures rest on, and what of it is of no use.

    It takes a minute or two. Example: slotfit catalog audit --catalog my-parts
    """
    with shown_progress() as show:
        answer = catalog_audited(catalog_of(catalog), show)
    say(answer, lambda: audit_text(answer), json=json, plain=plain)
    raise typer.Exit(0 if answer.is_clean else EXIT["no"])


@catalog.command()
def add(
    source: Source, replace: Replace = False, plain: Plain = False, json: AsJson = False
) -> None:
    """
    Add a catalog that somebody shares: a folder or a tar with a file MANIFEST.

    Example: slotfit catalog add shared-parts.tar.gz
    """
    answer = catalog_added(source, replace)
    say(answer, lambda: add_text(answer), json=json, plain=plain)


@catalog.command()
def schema(kind: KindNamed) -> None:
    """
    Print the JSON Schema of a kind of file, or of what a command answers (`answer-place`).

    Example: slotfit catalog schema board
    """
    if kind not in KINDS and kind not in ANSWERS:
        known = ", ".join([*KINDS, *ANSWERS])
        raise typer.BadParameter(f"write one of {known}", param_hint="KIND")
    print(schema_text(kind), end="")
