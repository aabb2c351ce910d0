"""The text of a starting file."""

from __future__ import annotations

import re
from pathlib import Path

from slotfit.answers.catalog.fitting import fitted
from slotfit.errors import InputError, Mistake
from slotfit.files import catalog_root
from slotfit.load.catalog import Catalog, described_in
from slotfit.load.edit import Put, edited
from slotfit.load.yaml_file import parse_yaml
from slotfit.load.yaml_text import read_text

HERE = Path(__file__).parent / "templates"

KINDS = ("board", "build", "part", "chassis", "power-supply")

INVENTED_LINE = re.compile(r"^invented:[ \t]*true[ \t]*$", re.MULTILINE)
NAME = re.compile(r"[A-Za-z0-9][A-Za-z0-9_.+-]{0,79}")

COPIED = """\
# Copied from {origin}. Every figure is still that one's, not yours: go through them
# with the manual, take out what you do not know, and say under `sources` where you read the rest.
"""
ARCHETYPE = "invented: true                   # take this out once every figure is your own"


def starting_text(
    kind: str,
    catalog: Catalog,
    origin: str | None = None,
    name: str | None = None,
    folder: Path = Path(),
) -> str:
    """
    A file of a kind to begin with, called `name`; paths in it are relative to `folder`.

    `origin` is an id or a file: a description of that kind to copy, or for a build also the board
    to use. Raises InputError if it is neither, and for a kind that has no file to begin with.
    """
    if kind not in KINDS:
        raise InputError([Mistake("KIND", "", f"{kind} is none of {', '.join(KINDS)}")])
    if origin is None:
        return headed(template(kind), kind, name)
    path, found, _ = described_in(catalog, origin)
    if found == kind:
        return copied(path, kind, name)
    if (kind, found) == ("build", "board"):
        used = origin if path.stem == origin else relative(path, folder)
        text = edited(template(kind), [Put(("machines", 0, "board"), used)], f"{kind}.yaml")
        build = parse_yaml(text, f"{kind}.yaml").root
        changes = fitted(build, catalog, folder)
        return headed(edited(text, changes, f"{kind}.yaml"), kind, name)
    text = f"describes a {found}; a {kind} begins from a {kind}"
    raise InputError([Mistake(origin, "", text + (" or a board" if kind == "build" else ""))])


def template(kind: str) -> str:
    return (HERE / f"{kind}.yaml").read_text("utf-8")


def relative(path: Path, folder: Path) -> str:
    """A path as the new file would write it; from the top where the two share no folder."""
    try:
        return f"./{path.resolve().relative_to(folder.resolve())}"
    except ValueError:
        return str(path.resolve())


def copied(path: Path, kind: str, name: str | None) -> str:
    """The file's own text, comments and all, with a word on what to do."""
    text, file = read_text(path)
    lines = text.splitlines(keepends=True)
    if lines and lines[0].startswith("# yaml-language-server:"):
        lines = lines[1:]
    body = INVENTED_LINE.sub(ARCHETYPE, "".join(lines).lstrip("\n"))
    here = path.stem if path.is_relative_to(catalog_root()) else file
    return headed("#\n" + COPIED.format(origin=here) + "\n" + body, kind, name)


def headed(text: str, kind: str, name: str | None) -> str:
    """The text with the line that leads editors to the schema, and with its id."""
    lines = text.splitlines(keepends=True)
    if lines[0].startswith("# yaml-language-server:"):
        lines = lines[1:]
    schema = catalog_root() / "schema" / f"{kind}.json"
    made = f"# yaml-language-server: $schema={schema}\n" + "".join(lines)
    return edited(made, [Put(("id",), name)] if name else [], f"{kind}.yaml")


def id_for(file: Path) -> str | None:
    """The id that a file's name stands for; None if no id can be called so."""
    return file.stem if NAME.fullmatch(file.stem) else None
