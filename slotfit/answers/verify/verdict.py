"""The whole comparison: every part, every finding, and whether all is as planned."""

from __future__ import annotations

from collections.abc import Collection, Iterator, Sequence

from slotfit.answers.answer_word import AnswerWord, answered
from slotfit.answers.names import link_text
from slotfit.answers.place.answer import PlannedLink, PlannedSeat
from slotfit.answers.read.yaml_text import clean
from slotfit.answers.text_layout import bullet, columns, fill, heading, joined, verdict
from slotfit.answers.verify.absent import (
    healthy_disks,
    missing,
    missing_devices,
    missing_disks,
    processors_gone,
)
from slotfit.answers.verify.answer import (
    SCHEMA_VERSION,
    Finding,
    LinkFound,
    PartFound,
    VerifyAnswer,
    VerifyDo,
    VerifyMore,
    VerifyPlan,
    VerifyVerdict,
    VerifyWatch,
)
from slotfit.answers.verify.astray import elsewhere, extras, order
from slotfit.answers.verify.belongs import isolation, processors
from slotfit.answers.verify.listing import listing
from slotfit.answers.verify.match import Pair
from slotfit.answers.verify.planned import MachinePlan, own_links
from slotfit.answers.verify.scene import Scene, scene_of
from slotfit.answers.verify.sound import counted_errors, unsound
from slotfit.answers.verify.suspects import known_parts, suspects_lines, suspects_of
from slotfit.answers.verify.told import FAULT, NOTE, OPEN, WHOLE, Explained
from slotfit.answers.verify.trained import links, seen_text, state_of
from slotfit.listing import counted, in_short
from slotfit.read.machine import MachineSeen
from slotfit.standards.storage import DISK_BUSES

CHECKS = (
    listing,
    processors_gone,
    elsewhere,
    missing,
    missing_disks,
    missing_devices,
    order,
    links,
    processors,
    isolation,
    unsound,
    extras,
)
"""What explains more comes first: what an earlier one has told, no later one tells again."""
ORDER = {FAULT: 0, OPEN: 1}


def verify(
    planned: MachinePlan,
    seen: MachineSeen,
    against: str = "the plan",
    failing: Collection[str] = (),
) -> VerifyAnswer:
    """
    Whether a machine runs as planned, part by part, with likely causes and what to try.

    `against` is what the answer calls the plan. `failing`: parts that are known to fail, of which
    it says who is to blame; left out, those that the machine itself counts errors of. Raises
    InputError for one that the plan has not.
    """
    scene = scene_of(planned, seen)
    known_parts(planned, failing)
    findings = sorted(found_in(scene), key=lambda finding: ORDER.get(finding.weight, 2))
    faults = tuple(one for one in findings if one.weight == FAULT)
    unclear = tuple(one for one in findings if one.weight == OPEN)
    parts = tuple(_part(scene, seat, findings) for seat in planned.seats)
    erring = [part for one in faults if one.kind == "errs" for part in one.items]
    bad = failing or (erring if len(erring) > 1 else ())
    healthy = {one.item for one in parts if one.good} | {*healthy_disks(scene, bad)} - {*erring}
    blamed = suspects_of(planned, bad, healthy) if bad else ()
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
        do=VerifyDo(faults, () if good and not failing else (BEFORE,), blamed),
        watch=VerifyWatch(unclear, tuple(unmatched), tuple(_notes(scene))),
        more=VerifyMore(
            no_fault=tuple(one for one in findings if one.weight == NOTE),
            sources=tuple((kind, clean(file)) for kind, file in seen.sources),
        ),
    )


Findings = Sequence[Finding]


def found_in(scene: Scene) -> Iterator[Finding]:
    """Every finding, each cause once, what explains most before the rest."""
    told = Explained()
    for check in CHECKS:
        for finding in check(scene, told):
            if told.is_new(finding):
                told.add(finding)
                yield finding


def _headline(parts: Sequence[PartFound], faults: Findings, unclear: Findings, against: str) -> str:
    known = [part for part in parts if part.good is not None]
    good = sum(part.good is True for part in known)
    if not faults and not unclear:
        return f"everything that can be seen runs as in {against}: {good} of {len(known)} parts."
    said = []
    if whole := next((one for one in (*faults, *unclear) if one.kind in WHOLE), None):
        return f"{whole.text}."
    if faults:
        said.append(f"{counted(len(faults), 'thing')} not as in {against}")
    if unclear:
        said.append(f"{len(unclear)} that cannot be told from what was read")
    return f"{good} of {len(known)} parts run as in {against}; {', '.join(said)}."


def _notes(scene: Scene) -> Iterator[str]:
    planned, seen = scene.planned, scene.seen
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
    held = tuple(_link(scene, link, scene.pair_of.get((seat.item, link.at))) for link in own)
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
        links=held,
    )


def _link(scene: Scene, planned: PlannedLink, pair: Pair | None) -> LinkFound:
    now = pair.end.part.top.link if pair else None
    return LinkFound(
        planned.at,
        planned.trains.lanes,
        planned.trains.generation,
        lanes=(now.lanes_now if now else None) if pair else 0,
        generation=now.generation_now if now else None,
        errors=counted_errors(scene, pair) if pair else None,
    )


def _says(
    scene: Scene, seat: PlannedSeat, pairs: Sequence[Pair], findings: Sequence[Finding]
) -> tuple[str, bool | None]:
    """In a word or two; and whether it is as planned (None: nothing tells)."""
    mine = [finding for finding in findings if seat.item in finding.items]
    worst = min(mine, key=lambda finding: ORDER.get(finding.weight, 2), default=None)
    if worst and worst.weight == FAULT:
        return SAYS.get(worst.kind, worst.kind.replace("-", " ")), False
    if worst and worst.weight == OPEN:
        return "cannot be told", None
    if pairs:
        resting = any(state_of(scene, pair) == "resting" for pair in pairs)
        return ("as planned, resting" if resting else "as planned"), True
    if seat.part_class == "drive" and any(link.bus in DISK_BUSES for link in seat.links):
        return "counted with its adapter", True
    if any(scene.planned.children(seat.item)):
        return "as what is on it", None
    return "cannot be seen", None


SAYS = {"errs": "works and is not sound"}
"""Kind of a fault -> what is said of its part, where the kind's own words do not do."""

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
    whole = any(one.kind in WHOLE for one in (*answer.do.faults, *answer.watch.open))
    yield from verdict(answer.verdict.word, answer.verdict.headline)
    if not whole:
        yield from parts_lines(answer.plan.parts, every=every)
    if answer.do.faults and answer.do.cautions:
        yield ""
        yield from (line for caution in answer.do.cautions for line in fill(caution))
    most = None if every else LIKELIEST
    yield from findings_lines("Do: not as planned", answer.do.faults, most)
    if answer.do.suspects:
        yield from heading("Who is to blame")
        for text, depth in suspects_lines(answer.do.suspects):
            yield from fill(text, "  " + "    " * depth)
    yield from findings_lines("Watch: cannot be told", answer.watch.open, most)
    yield from watch_lines(answer.watch, whole=whole)
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


def watch_lines(watch: VerifyWatch, *, whole: bool) -> Iterator[str]:
    """What the comparison could not use; names do not matter where the whole listing does not."""
    if watch.unmatched and not whole:
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
