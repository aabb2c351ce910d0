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
from slotfit.answers.catalog.text import audit_text, lint_text, list_text
from slotfit.answers.check.machine_asked import MachineOptions, alone
from slotfit.answers.text_layout import as_json
from slotfit.cli.drawing import check_targets
from slotfit.cli.options import AsJson, CatalogDirs, catalog_of
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

Kind = Annotated[
    str | None, typer.Option(help="board, part, chassis or power-supply.", show_default=False)
]
PartClass = Annotated[
    str | None, typer.Option("--class", help="Class of part, such as host-bus-adapter.")
]
PlugForm = Annotated[str | None, typer.Option("--plug", help="Form of its plug: cem, m2-m, u2 ...")]
Takes = Annotated[str | None, typer.Option(help="Form of a receptacle it has: cem, m2-m, sata ...")]
Lanes = Annotated[int | None, typer.Option(help="Lanes of its links together, or of a slot.")]
Generation = Annotated[int | None, typer.Option(help="Generation of its links, or of its lanes.")]
Ports = Annotated[int | None, typer.Option(help="Ports: network, SAS, SATA, USB, serial, video.")]
Words = Annotated[list[str], typer.Argument(help="Words in id, name, class or text; all of them.")]
Name = Annotated[str, typer.Argument(metavar="ID", help="An id, or a file.", show_default=False)]
Named = Annotated[
    list[str] | None, typer.Argument(metavar="[FILES|all]", help="Files, folders or ids.")
]
Draw = Annotated[
    Path | None, typer.Option(help="Draw a board's slot row, nothing in it (.svg or .png).")
]
Source = Annotated[
    Path, typer.Argument(metavar="FILE|FOLDER", help="Folder, or tar.", show_default=False)
]
Replace = Annotated[bool, typer.Option("--replace", help="In the stead of one added before.")]
KindNamed = Annotated[
    str, typer.Argument(metavar="KIND", help="part, board, chassis, power-supply or build.")
]


@catalog.command("list")
def list_(
    kind: Kind = None,
    part_class: PartClass = None,
    plug: PlugForm = None,
    takes: Takes = None,
    lanes: Lanes = None,
    generation: Generation = None,
    ports: Ports = None,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    List what is described, by class.

    Example: slotfit catalog list --class network-card --lanes 8 --ports 2
    """
    print_list(CatalogQuery(kind, part_class, plug, takes, lanes, generation, ports), catalog, json)


@catalog.command()
def search(
    words: Words,
    kind: Kind = None,
    part_class: PartClass = None,
    plug: PlugForm = None,
    takes: Takes = None,
    lanes: Lanes = None,
    generation: Generation = None,
    ports: Ports = None,
    catalog: CatalogDirs = None,
    json: AsJson = False,
) -> None:
    """
    List what has all of the words.

    Example: slotfit catalog search passive four drives
    """
    query = CatalogQuery(
        kind, part_class, plug, takes, lanes, generation, ports, tuple(" ".join(words).split())
    )
    print_list(query, catalog, json)


def print_list(query: CatalogQuery, catalog: CatalogDirs, json: bool) -> None:
    """What is wanted; what cannot be listed goes to the other stream."""
    answer = catalog_listed(catalog_of(catalog), query)
    print(as_json(answer) if json else list_text(answer), end="")
    for fault in answer.not_listed:
        print(fault, file=sys.stderr)
    raise typer.Exit(0 if answer.entries else EXIT["no"])


@catalog.command()
def show(name: Name, draw: Draw = None, catalog: CatalogDirs = None, json: AsJson = False) -> None:
    """
    Show one description: its lanes drawn, its figures, and where each comes from.

    Example: slotfit catalog show hba-8i-sas3
    """
    known = catalog_of(catalog)
    if json:
        answer = catalog_shown(known, name)
        text, kind = as_json(answer), answer.described["kind"]
    else:
        path, entity = description(known, name)
        text, kind = show_text(entity, told(path), name), vars(entity)["kind"]
    if draw:
        drawn(name, str(kind), known, draw)
    print(text, end="")


def drawn(name: str, kind: str, catalog: Catalog, file: Path) -> None:
    """A board's slot row as a picture. Raises InputError for other kinds and for bad names."""
    if kind != "board":
        raise InputError([Mistake("--draw", "", f"{name} is a {kind}; only boards are drawn")])
    check_targets([file], "row")
    write_svg(slot_row_svg(bare(alone(name, MachineOptions(), catalog))), file)


@catalog.command()
def lint(files: Named = None, catalog: CatalogDirs = None, json: AsJson = False) -> None:
    """
    Say what is wrong, unlikely or without a source, and which facts are not known yet.

    Example: slotfit catalog lint my-board.yaml
    """
    answer = catalog_linted(catalog_of(catalog), files or [])
    print(as_json(answer) if json else lint_text(answer), end="")
    raise typer.Exit(0 if answer.is_clean else EXIT["no"])


@catalog.command()
def audit(catalog: CatalogDirs = None, json: AsJson = False) -> None:
    """
    Look at the catalog as a whole: what figures rest on, and what of it is of no use.

    It takes a minute or two. Example: slotfit catalog audit --catalog my-parts
    """
    with shown_progress() as show:
        answer = catalog_audited(catalog_of(catalog), show)
    print(as_json(answer) if json else audit_text(answer), end="")
    raise typer.Exit(0 if answer.is_clean else EXIT["no"])


@catalog.command()
def add(source: Source, replace: Replace = False, json: AsJson = False) -> None:
    """
    Add a catalog that somebody shares: a folder or a tar with a file MANIFEST.

    Example: slotfit catalog add shared-parts.tar.gz
    """
    answer = catalog_added(source, replace)
    print(as_json(answer) if json else add_text(answer), end="")


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
