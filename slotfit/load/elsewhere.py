"""Where else in a file a key is known: for one that stands at the wrong level."""

from __future__ import annotations

from collections.abc import Iterator, Mapping
from functools import cache
from typing import Any, get_args, get_origin

from slotfit.model.entity import Entity

Path = tuple[str, ...]
"""Keys from the top of the file to a mapping; `parts[]` is any item of a list."""

MOST_HOMES = 2
"""Of a key that is known in more places nobody can tell which was meant."""


def home_words(model: type[Entity], key: str) -> str | None:
    """
    `it belongs below `sequence``; None where no place, or more than two, could be meant.

    `model` describes the whole file.
    """
    found = homes(model).get(key, ())
    if not 0 < len(found) <= MOST_HOMES:
        return None
    return f"it belongs {' or '.join(path_words(path, key) for path in found)}"


def path_words(path: Path, key: str) -> str:
    """A place in words, and as it is written."""
    if not path:
        return "at the top of the file, not indented"
    *above, last = path
    name = last.removesuffix("[]")
    where = f"in an item of `{name}`" if last.endswith("[]") else f"below `{name}`"
    if above:
        where += f" of `{above[-1].removesuffix('[]')}`"
    return f"{where}, as in {as_written(path, key)}"


def as_written(path: Path, key: str) -> str:
    """`sequence: {services: [{may_be_down: ...}]}`."""
    text = f"{key}: ..."
    for step in reversed(path):
        inner = f"[{{{text}}}]" if step.endswith("[]") else f"{{{text}}}"
        text = f"{step.removesuffix('[]')}: {inner}"
    return text


@cache
def homes(model: type[Entity]) -> Mapping[str, tuple[Path, ...]]:
    """Key -> the mappings in which it may stand, the nearest to the top first."""
    found: dict[str, list[Path]] = {}
    seen = {model}
    waiting: list[tuple[Path, type[Entity]]] = [((), model)]
    for path, kind in waiting:  # grows while it is walked
        for name, info in kind.model_fields.items():
            key = info.alias or name
            found.setdefault(key, []).append(path)
            for suffix, inner in entities_in(info.annotation):
                if inner not in seen:
                    seen.add(inner)
                    waiting.append(((*path, key + suffix), inner))
    return {key: tuple(paths) for key, paths in found.items()}


def entities_in(annotation: Any) -> Iterator[tuple[str, type[Entity]]]:
    """Mappings that a field holds, `[]` where they are items of a list."""
    if isinstance(annotation, type) and issubclass(annotation, Entity):
        yield "", annotation
    elif get_origin(annotation) is tuple:
        for inner in get_args(annotation):
            yield from (("[]", kind) for _, kind in entities_in(inner))
    elif get_origin(annotation) is not dict:  # a mapping's keys are names: no place to show
        for inner in get_args(annotation):
            yield from entities_in(inner)
