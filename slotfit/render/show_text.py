"""One description of the catalog for a terminal: drawn, with its figures and their sources."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.entity import Entity
from slotfit.render.field_words import facts
from slotfit.render.text_layout import columns, fill, heading


def show_text(entity: Entity, where: str) -> str:
    """One description, `where` being its file."""
    return "\n".join(line.rstrip() for line in show_lines(entity, where)) + "\n"


def show_lines(entity: Entity, where: str) -> Iterator[str]:
    named = vars(entity)
    yield f"{named['id']}: {named['name'] or named['id']}"
    yield f"{named.get('part_class') or named['kind']}, {where}"
    if named["about"]:
        yield ""
        yield from fill(named["about"])
    drawn: set[str] = set()
    if named["kind"] in ("part", "board"):
        lines, drawn = drawing_of(entity)
        yield from lines
    yield from figures(entity, drawn)
    yield from other_sources(entity, drawn)
    yield from heading(f"What is not known of it: slotfit catalog lint {named['id']}")


def drawing_of(entity: Entity) -> tuple[Iterator[str], set[str]]:
    """The drawing, and the fields it shows; only the module that is needed is loaded."""
    if vars(entity)["kind"] == "part":
        from slotfit.render import part_text  # noqa: PLC0415

        return part_text.part_lines(entity), part_text.DRAWN  # type: ignore[arg-type]
    from slotfit.render import board_text  # noqa: PLC0415

    return board_text.board_lines(entity), board_text.DRAWN  # type: ignore[arg-type]


def figures(entity: Entity, drawn: set[str]) -> Iterator[str]:
    rows = list(facts(entity, drawn))
    if rows:
        yield from heading("Figures")
        yield from columns(("field", "value", "source"), rows)


def other_sources(entity: Entity, drawn: set[str]) -> Iterator[str]:
    """Sources of what the drawing shows, and of single receptacles."""
    shown = {key for key, _, _ in facts(entity, drawn)}
    rows = [(key, text) for key, text in vars(entity)["sources"].items() if key not in shown]
    if rows:
        yield from heading("Sources")
        yield from columns(("of", "document and place"), rows)
