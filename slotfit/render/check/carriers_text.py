"""The answer of `carriers` for a terminal of 80 columns."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.render.check.carriers_view import CarriersView, CarrierView, SlotView
from slotfit.render.text_layout import bullet, columns, fill, heading
from slotfit.render.words import gb_s


def carriers_text(view: CarriersView) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: CarriersView) -> Iterator[str]:
    """Receptacle by receptacle."""
    invented = " (invented)" if view.invented else ""
    yield from fill(f"{view.board}: {view.board_name}{invented}")
    if not view.slots:
        yield ""
        yield "No receptacle takes any carrier of the catalog."
    for alike in grouped(view.slots):
        yield from block(alike)


def grouped(slots: tuple[SlotView, ...]) -> list[list[SlotView]]:
    """Receptacles with the same choice, in the order of the first."""
    found: dict[object, list[SlotView]] = {}
    for one in slots:
        rows = [
            (row.kind, row.seen, row.word, row.each_mb_s, bool(row.setting)) for row in one.carriers
        ]
        found.setdefault((one.about, tuple(rows)), []).append(one)
    return [*found.values()]


def block(alike: list[SlotView]) -> Iterator[str]:
    """One table, for all receptacles it holds for."""
    first = alike[0]
    yield from heading(", ".join(one.label for one in alike))
    yield from fill(("each: " if len(alike) > 1 else "") + first.about, "  ")
    settings = list(dict.fromkeys(row.setting for row in first.carriers if row.setting))
    head = ("drives seen", "GB/s each", "set", "carrier")
    yield from columns(head, [row_of(row, settings) for row in first.carriers])
    for number, setting in enumerate(settings, 1):
        yield from bullet(f"({number}) {setting}" + (f" ({first.label})" if len(alike) > 1 else ""))


def row_of(row: CarrierView, settings: list[str]) -> tuple[str, ...]:
    """One kind of carrier."""
    seen = f"{row.seen} of {row.total}"
    if row.word == "not known":
        seen = f"perhaps {seen}"
    each = "?" if row.each_mb_s is None else gb_s(row.each_mb_s)
    if row.together_mb_s:
        each += f", all {gb_s(row.together_mb_s)}"
    number = f"({settings.index(row.setting) + 1})" if row.setting else ""
    return (seen, each, number, row.kind)
