"""What `verify` says on a terminal: each part, each difference with its causes in order."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.render.text_layout import bullet, columns, fill, heading
from slotfit.render.verify_view import FindingView, PartView, VerifyView

MOST_NOTES = 12
BEFORE = (
    "Before you open the case: shut down, pull every power cord, mind static, keep a backup before "
    "a drive moves; the manuals of board and part come first."
)


def verify_text(view: VerifyView) -> str:
    """The whole comparison; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: VerifyView) -> Iterator[str]:
    """Top down: the answer, every part, differences, what cannot be told, notes."""
    yield from fill(f"{view.machine}: does it run as in {view.against}?")
    yield from fill(view.headline)
    if view.parts:
        yield ""
        yield from columns(HEAD, [row(part) for part in view.parts])
    yield from findings("Not as planned", [one for one in view.findings if one.weight == "fault"])
    yield from findings("Cannot be told", [one for one in view.findings if one.weight == "open"])
    yield from findings("No fault", [one for one in view.findings if one.weight == "note"])
    yield from notes(view)
    if not view.good:
        yield ""
        yield from fill(BEFORE)


HEAD = ("goes in", "part", "planned", "seen", "says")


def row(part: PartView) -> tuple[str, ...]:
    """One part, one line; a mark that needs no colour leads it."""
    mark = {True: "=", False: "!", None: " "}[part.good]
    names = f" ({', '.join(part.names)})" if part.names else ""
    return (
        f"{mark} {part.label if len(part.label) <= 20 else part.label[:19] + '…'}",
        part.item,
        part.planned or "-",
        part.seen or "-",
        part.says + names,
    )


def findings(title: str, found: Sequence[FindingView]) -> Iterator[str]:
    """Each difference, its causes numbered, and for each what to try."""
    if not found:
        return
    yield from heading(title)
    for finding in found:
        yield from bullet(finding.text + ".")
        for number, cause in enumerate(finding.causes, 1):
            lead = "Likely" if number == 1 else "or"
            first, *more = fill(f"{lead} ({number}) {cause.text}.", "      ")
            yield first
            yield from more
            yield from fill(f"Try: {cause.next}.", "          ")


def notes(view: VerifyView) -> Iterator[str]:
    """What the comparison could not use."""
    if view.unmatched:
        yield from heading("Receptacles of the plan that the machine does not show by this name")
        yield from fill(", ".join(view.unmatched) + ".", "  ")
        yield from fill(
            "An empty one often hides its port. Else put the name that the firmware gives it as "
            "`label` in the board file.",
            "  ",
        )
    if view.notes:
        yield from heading("To know")
        for text in view.notes[:MOST_NOTES]:
            yield from bullet(text)
