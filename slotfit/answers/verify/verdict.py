"""The whole comparison: every part, every finding, and whether all is as planned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.names import link_text
from slotfit.answers.read.yaml_text import clean
from slotfit.answers.text_layout import bullet, columns, fill, heading
from slotfit.answers.verify.answer import SCHEMA_VERSION, FindingView, PartView, VerifyView
from slotfit.answers.verify.findings import (
    BUSES,
    FAULT,
    OPEN,
    disks,
    elsewhere,
    extras,
    isolation,
    links,
    missing,
    order,
    processors,
    seen_text,
    state_of,
)
from slotfit.answers.verify.match import Pair
from slotfit.answers.verify.planned import Planned, PlannedSeat
from slotfit.answers.verify.scene import Scene, scene_of
from slotfit.read.machine import MachineSeen

CHECKS = (missing, elsewhere, links, order, processors, isolation, disks, extras)
ORDER = {FAULT: 0, OPEN: 1}


def verify(planned: Planned, seen: MachineSeen, against: str = "the plan") -> VerifyView:
    """Planned against seen."""
    scene = scene_of(planned, seen)
    findings = sorted(
        (finding for check in CHECKS for finding in check(scene)),
        key=lambda finding: ORDER.get(finding.weight, 2),
    )
    parts = tuple(_part(scene, seat, findings) for seat in planned.seats)
    good = not any(finding.weight in (FAULT, OPEN) for finding in findings)
    return VerifyView(
        SCHEMA_VERSION,
        planned.build,
        planned.machine,
        against,
        good,
        _headline(parts, findings, against),
        tuple((kind, clean(file)) for kind, file in seen.sources),
        parts,
        tuple(findings),
        tuple(site.label for site in planned.sites if site.site not in scene.places),
        tuple(_notes(scene)),
    )


def _headline(parts: Sequence[PartView], findings: Sequence[FindingView], against: str) -> str:
    known = [part for part in parts if part.good is not None]
    good = sum(part.good is True for part in known)
    faults = sum(finding.weight == FAULT for finding in findings)
    unclear = sum(finding.weight == OPEN for finding in findings)
    if not faults and not unclear:
        return f"Everything that can be seen runs as in {against}: {good} of {len(known)} parts."
    said = []
    if faults:
        said.append(f"{faults} thing{'' if faults == 1 else 's'} not as in {against}")
    if unclear:
        said.append(f"{unclear} that cannot be told from what was read")
    return f"{good} of {len(known)} parts run as in {against}; {', '.join(said)}."


def _notes(scene: Scene) -> Iterator[str]:
    planned, seen = scene.planned, scene.seen
    if len(scene.units) > 1 and not scene.matched.pairs and seen.functions:
        yield "Nothing of the plan answers: was this read from another machine, or before the move?"
    if not planned.proven:
        yield "The plan is not proven the best: keep it as JSON, for the next may differ."
    if seen.slots_read is False:
        yield "The slot table could not be read: places are known by ports alone. Read as root."
    hidden = [
        note.text
        for note in seen.notes
        if note.kind == "not-read" and not note.text.endswith("not installed")
    ]
    yield from (clean(text, 200) for text in dict.fromkeys(hidden[:5]))


def _part(scene: Scene, seat: PlannedSeat, findings: Sequence[FindingView]) -> PartView:
    pairs = [
        pair for link in seat.own if (pair := scene.pair_of.get((seat.item, link.at))) is not None
    ]
    planned = ", ".join(
        dict.fromkeys(link_text("pcie", link.generation, link.lanes) for link in seat.own)
    )
    says, good = _says(scene, seat, pairs, findings)
    return PartView(
        seat.item,
        seat.site,
        seat.label,
        planned,
        _seen(seat, pairs),
        says,
        good,
        str(pairs[0].end.part.top.address) if pairs else None,
        tuple(_names(pairs)),
    )


def _seen(seat: PlannedSeat, pairs: Sequence[Pair]) -> str:
    if not seat.own:
        return ""
    if not pairs:
        return "not there"
    return ", ".join(dict.fromkeys(seen_text(pair) for pair in pairs))


def _names(pairs: Sequence[Pair]) -> Iterator[str]:
    for pair in pairs:
        yield from (clean(drive.name, 40) for drive in pair.end.part.drives)
        yield from (clean(port.name, 40) for port in pair.end.part.names)


def _says(
    scene: Scene, seat: PlannedSeat, pairs: Sequence[Pair], findings: Sequence[FindingView]
) -> tuple[str, bool | None]:
    """In a word or two; and whether it is as planned (None: nothing tells)."""
    mine = [finding for finding in findings if seat.item in finding.items]
    worst = min(mine, key=lambda finding: ORDER.get(finding.weight, 2), default=None)
    if worst and worst.weight == FAULT:
        return worst.kind.replace("-", " "), False
    if worst and worst.weight == OPEN:
        return "cannot be told", None
    if pairs:
        resting = any(state_of(scene, pair) == "resting" for pair in pairs)
        return ("as planned, resting" if resting else "as planned"), True
    if seat.part_class == "drive" and any(link.bus in BUSES for link in seat.links):
        return "counted with its adapter", True
    if any(scene.planned.children(seat.item)):
        return "as what is on it", None
    return "cannot be seen", None


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
