"""The whole comparison: every part, every finding, and whether all is as planned."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit.answers.answer_word import AnswerWord, answered
from slotfit.answers.names import link_text
from slotfit.answers.place.answer import PlannedSeat
from slotfit.answers.read.yaml_text import clean
from slotfit.answers.text_layout import bullet, columns, fill, heading, joined, verdict
from slotfit.answers.verify.answer import (
    SCHEMA_VERSION,
    Finding,
    PartFound,
    VerifyAnswer,
    VerifyDo,
    VerifyMore,
    VerifyPlan,
    VerifyVerdict,
    VerifyWatch,
)
from slotfit.answers.verify.findings import (
    BUSES,
    FAULT,
    NOTE,
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
from slotfit.answers.verify.planned import MachinePlan, own_links
from slotfit.answers.verify.scene import Scene, scene_of
from slotfit.listing import counted, in_short
from slotfit.read.machine import MachineSeen

CHECKS = (missing, elsewhere, links, order, processors, isolation, disks, extras)
ORDER = {FAULT: 0, OPEN: 1}


def verify(planned: MachinePlan, seen: MachineSeen, against: str = "the plan") -> VerifyAnswer:
    """
    Whether a machine runs as planned, part by part, with likely causes and what to try.

    `against` is what the answer calls the plan.
    """
    scene = scene_of(planned, seen)
    findings = sorted(
        (finding for check in CHECKS for finding in check(scene)),
        key=lambda finding: ORDER.get(finding.weight, 2),
    )
    faults = tuple(one for one in findings if one.weight == FAULT)
    unclear = tuple(one for one in findings if one.weight == OPEN)
    parts = tuple(_part(scene, seat, findings) for seat in planned.seats)
    said = _headline(parts, faults, unclear, against)
    unmatched = [one.label for one in planned.on_board if one.site not in scene.places]
    good = not faults and not unclear
    word: AnswerWord = "no" if faults else "yes, if" if unclear else "yes"
    return VerifyAnswer(
        schema_version=SCHEMA_VERSION,
        build=planned.answer.build,
        machine=planned.id,
        verdict=VerifyVerdict(word, good, answered(word, said)),
        plan=VerifyPlan(against, parts),
        do=VerifyDo(faults, () if good else (BEFORE,)),
        watch=VerifyWatch(unclear, tuple(unmatched), tuple(_notes(scene))),
        more=VerifyMore(
            no_fault=tuple(one for one in findings if one.weight == NOTE),
            sources=tuple((kind, clean(file)) for kind, file in seen.sources),
        ),
    )


Findings = Sequence[Finding]


def _headline(parts: Sequence[PartFound], faults: Findings, unclear: Findings, against: str) -> str:
    known = [part for part in parts if part.good is not None]
    good = sum(part.good is True for part in known)
    if not faults and not unclear:
        return f"everything that can be seen runs as in {against}: {good} of {len(known)} parts."
    said = []
    if faults:
        said.append(f"{counted(len(faults), 'thing')} not as in {against}")
    if unclear:
        said.append(f"{len(unclear)} that cannot be told from what was read")
    return f"{good} of {len(known)} parts run as in {against}; {', '.join(said)}."


def _notes(scene: Scene) -> Iterator[str]:
    planned, seen = scene.planned, scene.seen
    if len(scene.units) > 1 and not scene.matched.pairs and seen.functions:
        yield "Nothing of the plan answers: was this read from another machine, or before the move?"
    if planned.answer.verdict.status != "proven":
        yield "The plan is not proven the best: keep it as JSON, for the next may differ."
    if seen.slots_read is False:
        yield "The slot table could not be read: places are known by ports alone. Read as root."
    hidden = [
        note.text
        for note in seen.notes
        if note.kind == "not-read" and not note.text.endswith("not installed")
    ]
    yield from (clean(text, 200) for text in dict.fromkeys(hidden[:5]))


def _part(scene: Scene, seat: PlannedSeat, findings: Sequence[Finding]) -> PartFound:
    own = own_links(seat)
    pairs = [pair for link in own if (pair := scene.pair_of.get((seat.item, link.at)))]
    planned = (link_text("pcie", link.trains.generation, link.trains.lanes) for link in own)
    seen = ", ".join(dict.fromkeys(map(seen_text, pairs))) or "not there"
    says, good = _says(scene, seat, pairs, findings)
    return PartFound(
        seat.item,
        seat.site,
        seat.label,
        planned=", ".join(dict.fromkeys(planned)),
        seen=seen if own else "",
        says=says,
        good=good,
        address=str(pairs[0].end.part.top.address) if pairs else None,
        names=tuple(
            clean(name, 40)
            for pair in pairs
            for name in (
                *(drive.name for drive in pair.end.part.drives),
                *(port.name for port in pair.end.part.names),
            )
        ),
    )


def _says(
    scene: Scene, seat: PlannedSeat, pairs: Sequence[Pair], findings: Sequence[Finding]
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


MORE = "More: --all every part, what is no fault, every likely cause."


def verify_text(answer: VerifyAnswer, *, every: bool = False) -> str:
    """The comparison, or with `every` all of it; every line ends where the words end."""
    return joined(lines(answer, every=every))


def lines(answer: VerifyAnswer, *, every: bool) -> Iterator[str]:
    """Top down: the answer, the parts, what to do about differences, what to watch."""
    yield from fill(f"{answer.machine}: does it run as in {answer.plan.against}?")
    yield from verdict(answer.verdict.word, answer.verdict.headline)
    yield from parts_lines(answer.plan.parts, every=every)
    if answer.do.faults and answer.do.cautions:
        yield ""
        yield from (line for caution in answer.do.cautions for line in fill(caution))
    most = None if every else LIKELIEST
    yield from findings_lines("Do: not as planned", answer.do.faults, most)
    yield from findings_lines("Watch: cannot be told", answer.watch.open, most)
    yield from watch_lines(answer.watch)
    if every:
        yield from findings_lines("No fault", answer.more.no_fault, most)
    elif has_more(answer):
        yield from fill(MORE)


def has_more(answer: VerifyAnswer) -> bool:
    """Whether anything was left out of the short answer."""
    findings = (*answer.do.faults, *answer.watch.open)
    folded = len(answer.plan.parts) > MANY and any(part.good for part in answer.plan.parts)
    many = any(len(one.causes) > LIKELIEST for one in findings)
    return bool(answer.more.no_fault) or folded or many


LIKELIEST = 2
"""So many causes are told of a finding; all with `--all`."""

MANY = 12
"""Of more parts those that are as planned are told in one line."""


def parts_lines(parts: Sequence[PartFound], *, every: bool) -> Iterator[str]:
    """Every part in a table; of many only those that are not as planned, the others in a line."""
    good = [part for part in parts if part.good]
    fold = not every and len(parts) > MANY
    shown = [part for part in parts if not (fold and part.good)]
    if shown:
        yield ""
        yield from columns(HEAD, [row(part) for part in shown])
    if fold and good:
        yield from fill(f"= as planned: {in_short(part.item for part in good)}", "  ")


HEAD = ("goes in", "part", "planned", "seen", "says")


def row(part: PartFound) -> tuple[str, ...]:
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


def findings_lines(title: str, found: Sequence[Finding], most: int | None) -> Iterator[str]:
    """Each difference, its causes numbered, and for each what to try; `most`: so many causes."""
    if not found:
        return
    yield from heading(title)
    for finding in found:
        yield from bullet(finding.text + ".")
        for number, cause in enumerate(finding.causes[:most], 1):
            lead = "Likely" if number == 1 else "or"
            first, *more = fill(f"{lead} ({number}) {cause.text}.", "      ")
            yield first
            yield from more
            yield from fill(f"Try: {cause.next}.", "          ")


def watch_lines(watch: VerifyWatch) -> Iterator[str]:
    """What the comparison could not use."""
    if watch.unmatched:
        yield from heading("Receptacles of the plan that the machine does not show by this name")
        yield from fill(", ".join(watch.unmatched) + ".", "  ")
        yield from fill(
            "An empty one often hides its port. Else put the name that the firmware gives it as "
            "`label` in the board file.",
            "  ",
        )
    if watch.notes:
        yield from heading("To know")
        for text in watch.notes[:MOST_NOTES]:
            yield from bullet(text)
