"""Kinds of file: the word in `kind`, and the entity it stands for."""

from __future__ import annotations

from pathlib import Path

from slotfit.catalog_root import catalog_root
from slotfit.errors import InputError, Mistake
from slotfit.load.catalog import Catalog, is_path, kind_of
from slotfit.load.entities import KINDS
from slotfit.load.file_text import shown
from slotfit.load.hints import close_or_search, close_to, listed, quote
from slotfit.model.entity import Entity


def model_named(kind: str) -> type[Entity]:
    """The entity a kind stands for; ValueError for a word that is none. Others stay unloaded."""
    match kind:
        case "part":
            from slotfit.model.part import Part  # noqa: PLC0415

            return Part
        case "board":
            from slotfit.model.board import Board  # noqa: PLC0415

            return Board
        case "chassis" | "power-supply":
            from slotfit.model.machine import Chassis, PowerSupply  # noqa: PLC0415

            return Chassis if kind == "chassis" else PowerSupply
        case "build":
            from slotfit.model.build import Build  # noqa: PLC0415

            return Build
        case "futures":
            from slotfit.model.futures import Futures  # noqa: PLC0415

            return Futures
    raise ValueError(f"expected one of {listed(KINDS)}, not {quote(kind)}{close_to(kind, KINDS)}")


def told(path: Path) -> str:
    """How an answer names a description's file: those that came along by their place in there."""
    root = catalog_root()
    if path.is_relative_to(root):
        return f"{path.relative_to(root)} of slotfit's own catalog"
    return shown(path)


def file_named(catalog: Catalog, reference: str) -> Path:
    """The file that an id or a path stands for; InputError if nothing is called so."""
    if is_path(reference):
        return Path(reference)
    if reference in catalog.found:
        return catalog.path(reference)
    hint = close_or_search(reference, catalog.found)
    text = f"nothing in the catalog is called {quote(reference)}{hint}"
    raise InputError([Mistake(quote(reference), "", text)])


def described_in(catalog: Catalog, reference: str) -> tuple[Path, str, Entity]:
    """
    The file that an id or a path names, its kind, and what it describes.

    Raises InputError with every mistake in it.
    """
    path = file_named(catalog, reference)
    if not path.is_file():
        catalog.load(str(path), Entity)  # says why it cannot be read
    kind = kind_of(path)
    try:
        model = model_named(kind)
    except ValueError as error:
        raise InputError([Mistake(shown(path), "kind", str(error))]) from None
    return path, kind, catalog.load(reference, model)
