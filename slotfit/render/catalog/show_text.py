"""One description of the catalog for a terminal: drawn, with its figures and their sources."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.model.entity import Entity
from slotfit.render.catalog.field_words import facts
from slotfit.render.text_layout import fill, heading, hung


def show_text(entity: Entity, where: str, asked: str) -> str:
    """One description, `where` being its file, and `asked` the word by which it was asked for."""
    return "\n".join(line.rstrip() for line in show_lines(entity, where, asked)) + "\n"


def show_lines(entity: Entity, where: str, asked: str) -> Iterator[str]:
    named = vars(entity)
    yield from hung("", f"{named['id']}: {named['name'] or named['id']}")
    yield from hung("", f"{named.get('part_class') or named['kind']}, {where}")
    if named["about"]:
        yield ""
        yield from fill(named["about"])
    drawn: set[str] = set()
    if named["kind"] in ("part", "board"):
        lines, drawn = drawing_of(entity)
        yield from lines
    yield from figures(entity, drawn)
    yield from other_sources(entity, drawn)
    yield ""
    yield f"What is not known of it: slotfit catalog lint {asked}"


def drawing_of(entity: Entity) -> tuple[Iterator[str], set[str]]:
    """The drawing, and the fields it shows; only the module that is needed is loaded."""
    if vars(entity)["kind"] == "part":
        from slotfit.render.catalog import part_text  # noqa: PLC0415

        return part_text.part_lines(entity), part_text.DRAWN  # type: ignore[arg-type]
    from slotfit.render.catalog import board_text  # noqa: PLC0415

    return board_text.board_lines(entity), board_text.DRAWN  # type: ignore[arg-type]


def figures(entity: Entity, drawn: set[str]) -> Iterator[str]:
    """Field, value and where it comes from."""
    rows = [
        (key, f"{value}: {source}" if source else value)
        for key, value, source in facts(entity, drawn)
    ]
    yield from beside("Figures", rows)


def other_sources(entity: Entity, drawn: set[str]) -> Iterator[str]:
    """Sources of what the drawing shows, and of single receptacles."""
    shown = {key for key, _, _ in facts(entity, drawn)}
    yield from beside(
        "Sources", [row for row in vars(entity)["sources"].items() if row[0] not in shown]
    )


def beside(title: str, rows: Sequence[tuple[str, str]]) -> Iterator[str]:
    """A list with its names in a column; nothing if it is empty."""
    if rows:
        yield from heading(title)
    wide = max((len(name) for name, _ in rows), default=0)
    for name, text in rows:
        yield from hung(f"  {name:<{wide}}  ", text)
