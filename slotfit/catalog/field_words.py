"""What the fields of the model mean: the texts that stand below them in the source."""

from __future__ import annotations

import ast
import inspect
import sys
from collections.abc import Iterable, Iterator
from functools import cache
from itertools import zip_longest
from types import ModuleType

from slotfit.model import board, build, machine, part, sequence, words

VOCABULARIES: tuple[ModuleType, ...] = (words, board, part, machine, build, sequence)
"""Modules whose named types have texts of their own."""

Declared = tuple[str, ast.expr | None, str]
"""A name, its type, and the text on the line below it."""


@cache
def field_texts(model: type) -> dict[str, str]:
    """
    Field of an entity or dataclass -> its text, those of the classes above included.

    A field without a text of its own has that of its type; one without either is left out.
    """
    found: dict[str, str] = {}
    for above in reversed(model.__mro__):
        for name, kind, text in declared(class_body(above)):
            if full := text or type_text(kind):
                found[name] = full
    return found


def class_body(model: type) -> list[ast.stmt]:
    """The statements of a class of ours; none for one of another package."""
    if not model.__module__.startswith("slotfit."):
        return []
    for statement in tree_of(sys.modules[model.__module__]).body:
        if isinstance(statement, ast.ClassDef) and statement.name == model.__name__:
            return statement.body
    return []


@cache
def tree_of(module: ModuleType) -> ast.Module:
    return ast.parse(inspect.getsource(module))


def declared(body: Iterable[ast.stmt]) -> Iterator[Declared]:
    """Every name that is declared or set."""
    statements = list(body)
    for statement, below in zip_longest(statements, statements[1:]):
        match statement:
            case ast.AnnAssign(target=ast.Name(id=name), annotation=annotation):
                yield name, annotation, text_of(below)
            case ast.Assign(targets=[ast.Name(id=name)]):
                yield name, None, text_of(below)


def text_of(statement: ast.stmt | None) -> str:
    match statement:
        case ast.Expr(value=ast.Constant(value=str(text))):
            return " ".join(text.split())
    return ""


def type_text(annotation: ast.expr | None) -> str:
    """The text of the first named type in an annotation that has one."""
    if annotation is None:
        return ""
    names = (node.id for node in ast.walk(annotation) if isinstance(node, ast.Name))
    return next((text for name in names if (text := type_texts().get(name))), "")


@cache
def type_texts() -> dict[str, str]:
    """Named type -> its text."""
    return {
        name: text
        for module in VOCABULARIES
        for name, _, text in declared(tree_of(module).body)
        if text
    }


def class_text(model: type) -> str:
    """What a class describes: the first paragraph of its docstring."""
    return " ".join((inspect.getdoc(model) or "").split("\n\n")[0].split())
