"""A part of the catalog for a terminal: its plug and links drawn, its sockets, its figures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.model.part import ExtraPlug, Link, Part, PartReceptacle
from slotfit.render.catalog.field_words import value_words
from slotfit.render.catalog.lane_boxes import Box, boxes_drawn
from slotfit.render.text_layout import columns, heading
from slotfit.render.words import link_text

DRAWN = {"plug", "links", "wiring", "receptacles", "extra_plugs"}
"""Fields that the drawing and the table below it show."""


def part_lines(part: Part) -> Iterator[str]:
    """Its plugs with their lanes, then what it takes."""
    yield from heading("Plug and lanes")
    yield from plug_lines(part, part)
    for plug in part.extra_plugs:
        yield from heading(f"Further plug {plug.id}")
        yield from plug_lines(part, plug)
    if part.receptacles:
        yield from heading("Receptacles")
        rows = [receptacle_row(part, one) for one in part.receptacles]
        yield from columns(*without_empty(("name", "form", "gets", "lengths", "supplies"), rows))


def without_empty(
    head: tuple[str, ...], rows: Sequence[tuple[str, ...]]
) -> tuple[tuple[str, ...], list[tuple[str, ...]]]:
    """A table without the columns in which nothing stands."""
    kept = [number for number in range(len(head)) if any(row[number] for row in rows)]
    return tuple(head[n] for n in kept), [tuple(row[n] for n in kept) for row in rows]


def plug_lines(part: Part, owner: Part | ExtraPlug) -> Iterator[str]:
    yield f"  {value_words('plug', owner.plug)}"
    lanes = max((link.at + link.lanes for link in owner.links), default=0)
    if not lanes:
        yield "  no lanes: takes only power and room"
        return
    boxes = [Box(link.at, link.lanes, end_of(part, link)) for link in owner.links]
    wide = owner.plug.width if owner.plug.form == "cem" and owner.plug.width else lanes
    yield from boxes_drawn(boxes, max(wide, lanes))
    rated = {rate_of(link, owner.generation or part.generation) for link in owner.links}
    yield f"  each link trains at {' or '.join(sorted(rated))} at most"


def end_of(part: Part, link: Link) -> str:
    """Where a link leads."""
    if link.to:
        return f"to {' and '.join(link.to)}"
    return part.wiring if part.wiring != "passive" else "endpoint"


def rate_of(link: Link, generation: int | None) -> str:
    return link_text(link.bus, link.generation or generation, link.lanes)


def receptacle_row(part: Part, one: PartReceptacle) -> tuple[str, ...]:
    lengths = ", ".join(f"{mm}" for mm in one.drive_lengths or ())
    return (
        one.label or one.id,
        form_words(one),
        gets(part, one),
        f"{lengths} mm" if lengths else "",
        f"{one.power_w:g} W" if one.power_w is not None else "",
    )


def form_words(one: PartReceptacle) -> str:
    return one.form + (f" x{one.width}" if one.width else "")


def gets(part: Part, one: PartReceptacle) -> str:
    """The lanes behind it: its own, or those of the link that leads to it."""
    if one.form in ("cooling-mount", "opening"):
        return ""
    if one.lanes:
        return link_text(one.bus, one.generation or part.generation, one.lanes)
    owners: tuple[Part | ExtraPlug, ...] = (part, *part.extra_plugs)
    feeding = [link for owner in owners for link in owner.links if one.id in link.to]
    return ", ".join(f"x{link.lanes} from lane {link.at}" for link in feeding) or "no lanes"
