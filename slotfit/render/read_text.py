"""What `read` says on a terminal: what was found, what to doubt, what to measure."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence

from slotfit.render.read_view import ReadView, SlotRow
from slotfit.render.text_layout import bullet, columns, fill, heading
from slotfit.render.words import link_text

MOST_LINES = 25
"""Of one kind of remark; the files have the rest."""
MOST_NAMED = 8


def read_text(view: ReadView) -> str:
    """The whole report; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: ReadView) -> Iterator[str]:
    """Top down: what it is, what it has, doubts, gaps, files, what next."""
    yield from fill(f"{view.machine}: {view.title}")
    yield from fill("Read: " + "; ".join(f"{kind} ({file})" for kind, file in view.sources) + ".")
    yield from fill(counts(view))
    if view.slots:
        yield from heading("Receptacles")
        yield from columns(HEAD, [row(slot) for slot in view.slots])
        if any(not slot.sure for slot in view.slots):
            yield "  ? no slot record names it: it may be soldered on, or no slot at all"
    else:
        yield from fill(
            "No receptacle is known: board.yaml has none until you write them in. Was this read as "
            "root, with the slot table (dmidecode) and the bus (lspci -vv)?"
        )
    adrift = [f"{part.item} ({part.name})" for part in view.parts if part.site is None]
    yield from several("Seen, but not known in which receptacle", adrift)
    yield from several("Not described", [f"{label}: {why}" for label, why in view.omitted])
    yield from several("Soldered on, so no parts of the build", view.soldered)
    yield from several("Sources disagree (the first is taken)", view.disagreements)
    yield from several("Odd", view.odd)
    yield from several("Could not be read", view.not_read)
    yield from assumptions(view)
    yield from gaps(view)
    yield from several("Written", view.files, most=len(view.files))
    yield from heading("Next")
    yield from (f"  {command}" for command in view.next)


HEAD = ("receptacle", "printed", "form", "lanes", "from", "holds")


def row(slot: SlotRow) -> tuple[str, ...]:
    """One receptacle, one line."""
    speed = link_text("pcie", slot.generation, slot.lanes or 0)
    lanes = speed if slot.lanes else speed.replace("x0", "x?")
    return (
        slot.id + ("" if slot.sure else " ?"),
        slot.label if len(slot.label) <= 24 else slot.label[:23] + "…",
        slot.form,
        lanes,
        slot.processor or "?",
        slot.holds or "-",
    )


def counts(view: ReadView) -> str:
    """How many of everything."""
    fitted = sum(is_fitted is not False for _, _, is_fitted in view.processors)
    sockets = len(view.processors)
    return (
        f"{counted(len(view.slots), 'receptacle')}, {counted(len(view.parts), 'part')}, "
        f"{fitted} of {counted(sockets, 'processor socket')} filled, as far as it says."
    )


def counted(number: int, noun: str) -> str:
    """`1 part`, `2 parts`."""
    return f"{number} {noun}" + ("" if number == 1 else "s")


def several(title: str, texts: Sequence[str], most: int = MOST_LINES) -> Iterator[str]:
    """A heading with a point for each, cut where there are too many to read."""
    if not texts:
        return
    yield from heading(title)
    for text in texts[:most]:
        yield from bullet(text)
    if len(texts) > most:
        yield from bullet(f"and {len(texts) - most} more")


def assumptions(view: ReadView) -> Iterator[str]:
    """What was filled in by class, with the parts it was filled in for."""
    by_field: dict[str, list[str]] = {}
    for part in view.parts:
        for name in (one for one in part.assumed if one in ORDER):
            by_field.setdefault(name, []).append(part.item)
    if not by_field:
        return
    yield from heading("Assumed, so measure or look up (marked `assumed` in the files)")
    for name in sorted(by_field, key=ORDER.index):
        yield from bullet(f"{name}: {named(by_field[name])}")


ORDER = ("thickness", "power", "links", "receptacles")
"""What matters most comes first; that a plug has the form of its receptacle goes without saying."""


def gaps(view: ReadView) -> Iterator[str]:
    """What is not known, and how to find it out."""
    if view.gaps:
        yield from heading("Not known, and how to find it out")
    for what, where, how in view.gaps:
        of = f" of {named(where)}" if where else ""
        yield from bullet(f"{what}{of}: {how}")


def named(names: Iterable[str]) -> str:
    """All of them, or the first few and how many more."""
    every = list(names)
    shown = ", ".join(every[:MOST_NAMED])
    return shown if len(every) <= MOST_NAMED else f"{shown} and {len(every) - MOST_NAMED} more"
