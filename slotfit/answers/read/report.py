"""What there is to say beside the files: doubts, gaps, and what to do next."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Sequence
from dataclasses import dataclass
from pathlib import Path

from slotfit.answers.answer_word import AnswerWord, answered
from slotfit.answers.catalog.gaps import file_gaps
from slotfit.answers.names import link_text
from slotfit.answers.read.files import (
    BOARD_FILE,
    BUILD_FILE,
    Description,
    describe,
    write_files,
)
from slotfit.answers.read.parts import class_words
from slotfit.answers.read.slots import BoardSlot
from slotfit.answers.read.yaml_text import Places, clean
from slotfit.answers.text_layout import (
    bullet,
    columns,
    fill,
    heading,
    hung,
    joined,
    verdict,
)
from slotfit.listing import counted
from slotfit.load.entities import describe as described
from slotfit.load.yaml_file import parse_yaml
from slotfit.model.board import Board
from slotfit.model.build import Build
from slotfit.model.entity import Entity
from slotfit.read import pci_ids
from slotfit.read.machine import Claim, Disagreement, MachineSeen
from slotfit.read.seen import Note
from slotfit.read.sources import machine_seen

SCHEMA_VERSION = 3
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class ReceptacleRead:
    """One receptacle of the board."""

    id: str
    label: str
    connector: str
    """Its form, with `?` where nothing names it."""
    lanes: int | None
    generation: int | None
    origin: str | None
    """Processor or hub the lanes come from; None: not known."""
    holds: str
    """What sits in it; empty: nothing that is known."""
    sure: bool
    """False: only its port shows it, or nothing is known but that."""


@dataclass(frozen=True, slots=True)
class PartRead:
    """One part of the build."""

    item: str
    name: str
    site: str | None
    """None: where it sits is not known."""
    file: str
    assumed: tuple[str, ...]
    """Fields that nothing which was read says."""


@dataclass(frozen=True, slots=True)
class ReadVerdict:
    """How many of everything, as far as it says."""

    word: AnswerWord
    """yes | no (no receptacle is known, so nothing can be placed)."""
    headline: str


@dataclass(frozen=True, slots=True)
class ReadPlan:
    """What is in the machine today."""

    processors: tuple[tuple[str, str, bool | None], ...]
    """Id, label, fitted (None: nobody says)."""
    receptacles: tuple[ReceptacleRead, ...]
    parts: tuple[PartRead, ...]


@dataclass(frozen=True, slots=True)
class GapRead:
    """A fact that nothing which was read says, in the words of `slotfit catalog lint`."""

    field: str
    of: tuple[str, ...]
    """What it is not said of; empty: of the whole file."""
    then: str
    """What is not known without it."""
    find_out: str
    changes: tuple[str, ...]
    """Commands whose answer may change once it is known."""


@dataclass(frozen=True, slots=True)
class ReadDo:
    """What is written, and what to go on with."""

    files: tuple[str, ...]
    find_out: tuple[GapRead, ...]
    """What is not known, that which matters for most questions first."""
    next: tuple[str, ...]
    """Commands to go on with."""


@dataclass(frozen=True, slots=True)
class ReadWatch:
    """What to doubt."""

    disagreements: tuple[str, ...]
    odd: tuple[str, ...]
    not_read: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadMore:
    """What is no part of the files."""

    sources: tuple[tuple[str, str], ...]
    """What kind of listing each was, and where it stands."""
    omitted: tuple[tuple[str, str], ...]
    """Receptacles that are not described, and why."""
    soldered: tuple[str, ...]


@dataclass(frozen=True, slots=True)
class ReadAnswer:
    """Everything that a machine says of itself, and what there is to doubt and to find out."""

    schema_version: int
    machine: str
    title: str
    verdict: ReadVerdict
    plan: ReadPlan
    do: ReadDo
    watch: ReadWatch
    more: ReadMore


LONGEST = 600
MOST_NAMED = 6
"""Receptacles named in one line."""


def read(
    sources: Sequence[Path], folder: Path, name: str | None = None, *, force: bool = False
) -> ReadAnswer:
    """
    A board, parts and a build file with today's layout, written to a folder, and what to doubt.

    `sources`: what a machine says of itself, see `seen`. `name`: what to call the machine; left
    out, as the folder. `force`: over files that are there. Raises InputError.
    """
    machine, places = machine_seen(sources), Places(sources)
    made = describe(machine, name or folder.resolve().name, places, pci_ids.load())
    return read_answer(made, write_files(folder, made.files, force=force), places)


def read_answer(made: Description, written: Sequence[Path], places: Places) -> ReadAnswer:
    """The report on a description that was written to these files."""
    seen = made.seen
    shown = [slot for slot in made.slots if not slot.aside]
    build = next((path for path in written if path.name == "build.yaml"), None)
    return ReadAnswer(
        schema_version=SCHEMA_VERSION,
        machine=made.name,
        title=made.title,
        verdict=_verdict(made, len(shown)),
        plan=ReadPlan(
            processors=tuple((one.id, one.label or one.id, one.fitted) for one in made.sockets),
            receptacles=tuple(_receptacle(slot, made) for slot in shown),
            parts=tuple(
                PartRead(
                    one.id, one.title, one.receptacle, one.file, made.assumed.get(one.file, ())
                )
                for one in made.parts
            ),
        ),
        do=ReadDo(
            files=tuple(str(path) for path in written),
            find_out=tuple(_gaps(made)),
            next=(f"slotfit place {build}",) if build else (),
        ),
        watch=ReadWatch(
            disagreements=tuple(_disagreements(seen.disagreements, places)),
            odd=(*made.odd, *_notes(seen.notes, ("odd", "damaged", "cut"), places)),
            not_read=_notes(seen.notes, ("not-read",), places),
        ),
        more=ReadMore(
            sources=tuple((kind, clean(places.short(file))) for kind, file in seen.sources),
            omitted=tuple((one.label, one.why) for one in made.omitted),
            soldered=tuple(dict.fromkeys(_soldered(seen))),
        ),
    )


def _verdict(made: Description, receptacles: int) -> ReadVerdict:
    fitted = sum(one.fitted is not False for one in made.sockets)
    sockets = counted(len(made.sockets), "processor socket")
    parts = counted(len(made.parts), "part")
    slots = counted(receptacles, "receptacle") if receptacles else "no receptacle is known"
    text = f"{slots}, {parts}, {fitted} of {sockets} filled, as far as it says"
    word: AnswerWord = "yes" if receptacles else "no"
    return ReadVerdict(word, answered(word, text))


def _receptacle(slot: BoardSlot, made: Description) -> ReceptacleRead:
    held = [one.id for one in made.parts if one.receptacle == slot.id]
    return ReceptacleRead(
        slot.id,
        slot.label,
        slot.form.value + ("?" if slot.form.assumed else ""),
        slot.lanes.value if slot.lanes else None,
        slot.generation.value if slot.generation else None,
        made.origins.get(slot.id),
        ", ".join(held) or ("perhaps something" if slot.perhaps_in_use else ""),
        bool(slot.seen.records),
    )


def _soldered(seen: MachineSeen) -> Iterator[str]:
    """Devices of the board: what the table or the system names, and those below slotless ports."""
    for one in seen.onboard_named:
        if one.enabled is not False:
            yield clean(one.designation or one.device_type or "a device without a name", 60)
    named = {one.address for one in seen.onboard_named}
    for part in seen.onboard:
        if part.port and not any(function.address in named for function in part.functions):
            label = next((function.label for function in part.functions if function.label), None)
            why = f"the firmware calls it {label}" if label else "its port says that it has no slot"
            yield clean(f"{class_words(part.main.class_code)} at {part.main.address}: {why}", 100)


def _disagreements(found: Sequence[Disagreement], places: Places) -> Iterator[str]:
    """One alone with its places; many of one kind in one line."""
    alike: dict[object, list[Disagreement]] = {}
    for one in found:
        said = tuple((claim.value, claim.basis) for claim in (one.chosen, *one.others))
        alike.setdefault((one.fact, said, one.why), []).append(one)
    for group in alike.values():
        first = group[0]
        if len(group) == 1:
            yield clean(places.short(str(first)), LONGEST)
            continue
        names = ", ".join(clean(one.about, 40) for one in group[:MOST_NAMED])
        more = f" and {len(group) - MOST_NAMED} more" if len(group) > MOST_NAMED else ""
        others = " or ".join(f"{_value(claim)} ({claim.basis})" for claim in first.others)
        chosen = f"{_value(first.chosen)} ({first.chosen.basis})"
        yield clean(f"{first.fact}: {chosen}, not {others}: {first.why}: {names}{more}", LONGEST)


def _value(claim: Claim[object]) -> str:
    words = {"True": "yes", "False": "no"}
    return words.get(str(claim.value), str(claim.value))


def _notes(notes: Sequence[Note], kinds: Sequence[str], places: Places) -> tuple[str, ...]:
    """Each once, with where it is; what holds in many places with the first of them."""
    at: dict[str, list[str]] = {}
    for one in notes:
        if one.kind in kinds:
            at.setdefault(one.text, []).append(str(one.where))
    shown = []
    for text, found in at.items():
        wheres = list(dict.fromkeys(found))
        more = f" and {len(wheres) - 1} more places" if len(wheres) > 2 else ""
        where = wheres[0] + more if more else ", ".join(wheres)
        shown.append(clean(places.short(f"{text} ({where})"), LONGEST))
    return tuple(shown)


def _gaps(made: Description) -> list[GapRead]:
    """What is missing, by weight: for how many questions it matters, then how often."""
    found: dict[tuple[str, str, str, tuple[str, ...]], list[str]] = {}
    models: dict[str, type[Entity]] = {BOARD_FILE: Board, BUILD_FILE: Build}
    for file, model in models.items():
        entity = described(model, parse_yaml(made.files[file], file)).entity
        for one in file_gaps(entity, file) if entity else ():
            name, _, key = one.path.rpartition(": ")
            found.setdefault((key, one.text, one.find_out, one.changes), []).append(name)
    gaps = [
        GapRead(key, tuple(filter(None, of)), then, how, changes)
        for (key, then, how, changes), of in found.items()
    ]
    return sorted(gaps, key=lambda gap: (-len(gap.changes), -len(gap.of)))


MOST_LINES = 25
"""Of one kind of remark; the files have the rest."""
MOST_LISTED = 8


MORE = "More: --all what is not known, soldered on or left out, and what was read."


def read_text(answer: ReadAnswer, *, every: bool = False) -> str:
    """The report, or with `every` all of it; every line ends where the words end."""
    return joined(lines(answer, every=every))


def lines(answer: ReadAnswer, *, every: bool) -> Iterator[str]:
    """Top down: what it is, what it has, what to do next, doubts; then what was left out."""
    plan, do, watch, more = answer.plan, answer.do, answer.watch, answer.more
    yield from fill(f"{answer.machine}: {answer.title}")
    yield from verdict(answer.verdict.word, f"{answer.verdict.headline}.")
    yield from receptacle_lines(plan.receptacles)
    adrift = [f"{part.item} ({part.name})" for part in plan.parts if part.site is None]
    yield from several("Seen, but not known in which receptacle", adrift)
    yield from heading("Do next")
    yield from (line for command in do.next for line in hung("  ", command))
    yield from find_out_lines(do, None if every else MOST_FIRST)
    yield from several("Watch: sources disagree (the first is taken)", watch.disagreements)
    yield from several("Watch: odd", watch.odd)
    yield from several("Watch: could not be read", watch.not_read)
    yield from assumptions(plan.parts)
    yield from several("Written", do.files, most=len(do.files))
    if not every:
        yield from fill(MORE)
        return
    yield from several("Not described", [f"{label}: {why}" for label, why in more.omitted])
    yield from several("Soldered on, so no parts of the build", more.soldered)
    yield from several("Read", [f"{kind} ({file})" for kind, file in more.sources])


def receptacle_lines(receptacles: Sequence[ReceptacleRead]) -> Iterator[str]:
    """A table of them."""
    if not receptacles:
        yield from fill(
            "No receptacle is known: board.yaml has none until you write them in. Was this read as "
            "root, with the slot table (dmidecode) and the bus (lspci -vv)?"
        )
        return
    yield from heading("Receptacles")
    yield from columns(HEAD, [row(one) for one in receptacles])
    if any(not one.sure for one in receptacles):
        yield "  ? no slot record names it: it may be soldered on, or no slot at all"


HEAD = ("receptacle", "printed", "form", "lanes", "from", "holds")


def row(slot: ReceptacleRead) -> tuple[str, ...]:
    """One receptacle, one line."""
    speed = link_text("pcie", slot.generation, slot.lanes or 0)
    lanes = speed if slot.lanes else speed.replace("x0", "x?")
    return (
        slot.id + ("" if slot.sure else " ?"),
        slot.label if len(slot.label) <= 24 else slot.label[:23] + "…",
        slot.connector,
        lanes,
        slot.origin or "?",
        slot.holds or "-",
    )


def several(title: str, texts: Sequence[str], most: int = MOST_LINES) -> Iterator[str]:
    """A heading with a point for each, cut where there are too many to read."""
    if not texts:
        return
    yield from heading(title)
    for text in texts[:most]:
        yield from bullet(text)
    if len(texts) > most:
        yield from bullet(f"and {len(texts) - most} more")


def assumptions(parts: Sequence[PartRead]) -> Iterator[str]:
    """What was filled in by class, with the parts it was filled in for."""
    by_field: dict[str, list[str]] = {}
    for part in parts:
        for name in (one for one in part.assumed if one in ORDER):
            by_field.setdefault(name, []).append(part.item)
    if not by_field:
        return
    yield from heading("Watch: assumed, so measure or look up (marked `assumed` in the files)")
    for name in sorted(by_field, key=ORDER.index):
        yield from bullet(f"{name}: {named(by_field[name])}")


ORDER = ("thickness", "power", "links", "receptacles")
"""What matters most comes first; that a plug has the form of its receptacle goes without saying."""


MOST_FIRST = 3
"""So many unknown facts are told; all with `--all`."""


def find_out_lines(do: ReadDo, most: int | None) -> Iterator[str]:
    """What is not known, for which questions it matters, and how to find it out; `most` of it."""
    if do.find_out:
        count = counted(len(do.find_out), "fact")
        yield from heading(f"Not known ({count}), what matters for most questions first")
    for gap in do.find_out[:most]:
        of = f" of {named(gap.of)}" if gap.of else ""
        yield from bullet(f"{gap.field}{of}: {gap.then} [{', '.join(gap.changes)}]")
        yield from fill(f"Find out: {gap.find_out}.", "    ")
    if most and len(do.find_out) > most:
        yield from bullet(f"and {len(do.find_out) - most} more")


def named(names: Iterable[str]) -> str:
    """All of them, or the first few and how many more."""
    every = list(names)
    shown = ", ".join(every[:MOST_LISTED])
    return shown if len(every) <= MOST_LISTED else f"{shown} and {len(every) - MOST_LISTED} more"
