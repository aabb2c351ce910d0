"""Lists and what lint has to say, for a terminal."""

from __future__ import annotations

from collections.abc import Iterator, Sequence
from typing import get_args

from slotfit.answers.catalog.answer import CatalogEntry, LintAnswer, ListAnswer
from slotfit.answers.catalog.audit import AuditAnswer, AuditFinding
from slotfit.answers.catalog.gaps import QUESTIONS, Remark, Report, Sort
from slotfit.answers.text_layout import columns, fill, heading, hung, joined
from slotfit.listing import counted
from slotfit.model.entity import Span
from slotfit.model.words import PartClass
from slotfit.standards.source import TRUSTS, Trust

GROUPS = ("board", *get_args(PartClass), "chassis", "power-supply")
"""Headings of a list, in order."""


def list_text(answer: ListAnswer) -> str:
    """Ids and names below the kind or class they belong to."""
    return joined(list_lines(answer.entries)).lstrip("\n")


def overview_text(answer: ListAnswer) -> str:
    """How many there are of each kind and class, with a few ids."""
    return joined(overview_lines(answer.entries))


def grouped(entries: Sequence[CatalogEntry]) -> dict[str, list[CatalogEntry]]:
    """By a part's class, else by the kind of file; in the order of a list."""
    found: dict[str, list[CatalogEntry]] = {}
    for group in GROUPS:
        if here := [one for one in entries if (one.part_class or one.kind) == group]:
            found[group] = here
    return found


def list_lines(entries: Sequence[CatalogEntry]) -> Iterator[str]:
    if not entries:
        yield from fill(
            "Nothing in the catalog is like that. A word has to begin a word of an id, a name, a "
            "class or a description; `slotfit catalog list` shows what there is."
        )
        return
    wide = max(len(entry.id) for entry in entries)
    for group, here in grouped(entries).items():
        yield from heading(f"{group} ({len(here)})")
        for entry in here:
            yield from hung(f"  {entry.id:<{wide}}  ", entry.name)
    yield from heading("Show one: slotfit catalog show ID")


SUCH_AS = 2
"""So many ids of a kind are named in the overview."""


def overview_lines(entries: Sequence[CatalogEntry]) -> Iterator[str]:
    yield from fill(f"{counted(len(entries), 'description')} in the catalog.")
    yield ""
    rows = [
        (group, str(len(here)), ", ".join(one.id for one in here[:SUCH_AS]))
        for group, here in grouped(entries).items()
    ]
    yield from columns(("KIND", "there are", "such as"), rows)
    yield from heading("List those of one kind: slotfit catalog list KIND")
    yield from fill("Find by words: slotfit catalog search WORDS. All of them: --all.")


TITLES: dict[Sort, str] = {
    "mistake": "To mend",
    "implausible": "Unlikely",
    "unsourced": "Without a source",
    "unknown": "Not known yet (no fault; answers that depend on it say so)",
}


def lint_text(answer: LintAnswer) -> str:
    """Each file with what is to be said of it; several files: what is not known only as a count."""
    return joined(lint_lines(answer.files))


def lint_lines(reports: Sequence[Report]) -> Iterator[str]:
    alone = len(reports) == 1
    told = [one for one in reports if alone or not one.is_clean]
    for number, report in enumerate(told):
        if number:
            yield ""
        yield from report_lines(report, alone=alone)
    if not alone:
        if told:
            yield ""
        yield from summary(reports)


def report_lines(report: Report, *, alone: bool) -> Iterator[str]:
    yield from hung("", f"{report.file}: {report.kind} {report.id}")
    for sort in ("mistake", "implausible", "unsourced"):
        if found := report.of(sort):
            yield from heading(TITLES[sort])
            for remark in found:
                yield from placed(remark)
    if alone and report.is_clean:
        yield "  Nothing to mend."
    if alone:
        yield from what_it_rests_on(report)
    unknown = report.of("unknown")
    if unknown and alone:
        yield from heading(TITLES["unknown"])
        for alike in gathered(unknown):
            yield from gap(alike)
        yield from questions(unknown)


RESTS_ON: dict[Trust, str] = {
    "source": "a document or a measure",
    "typical": "typical of the class, ask the data sheet",
    "from memory": "somebody's memory, look before you rely on it",
    "common practice": "common practice, no source",
    "none": "nothing that is named",
}
"""What figures rest on, in words; our own words are no figures."""


def what_it_rests_on(report: Report) -> Iterator[str]:
    """Which figures have a source, and which are typical or remembered."""
    told = [(words, report.rests_on.get(trust, ())) for trust, words in RESTS_ON.items()]
    if any(names for _, names in told):
        yield from heading("What its figures rest on")
    for words, names in told:
        if names:
            yield from hung("  - ", f"{words}: {', '.join(names)}")


AUDITED: dict[str, str] = {
    "uncited": "Figures that rest on nothing that is named",
    "out_of_spread": "Figures out of their class's spread",
    "unused": "Parts that sit nowhere",
    "unplaced": "Boards that cannot be begun with",
    "roomless": "Chassis without room on a board of their sizes",
    "alone": "Classes without a neighbour",
}
"""Field of the audit -> its heading."""


def audit_text(answer: AuditAnswer) -> str:
    """What figures rest on, class by class, and what is to be looked at."""
    return joined(audit_lines(answer)).lstrip("\n")


def audit_lines(answer: AuditAnswer) -> Iterator[str]:
    yield from heading("What figures rest on")
    trusts = [trust for trust in TRUSTS if trust != "our own word"]
    rows = [
        (one.of, str(one.things), *(str(one.figures.get(trust) or "-") for trust in trusts))
        for one in answer.classes
    ]
    yield from columns(("class", "things", *trusts), rows)
    for name, title in AUDITED.items():
        found: Sequence[AuditFinding] = getattr(answer, name)
        if found:
            yield from heading(f"{title} ({len(found)})")
        for one in found:
            yield from hung("  - ", f"{one.thing}: {one.text}")
    if answer.faulty:
        yield from heading("With mistakes, left out of all that (slotfit catalog lint)")
        yield from hung("  ", ", ".join(answer.faulty))
    if answer.is_clean:
        yield ""
        yield "Nothing to look at."


def placed(remark: Remark) -> Iterator[str]:
    """File, line and column first, so that editors find it; not wrapped."""
    path = f" {remark.path}:" if remark.path else ""
    yield f"  {remark.where}:{path} {remark.text}"


def gathered(unknown: Sequence[Remark]) -> list[list[Remark]]:
    """Remarks that say the same of several things, those that change most first."""
    alike: dict[tuple[str, str], list[Remark]] = {}
    for remark in unknown:
        alike.setdefault((remark.text, remark.rule), []).append(remark)
    return sorted(alike.values(), key=lambda same: -len(same[0].changes))


def gap(alike: Sequence[Remark]) -> Iterator[str]:
    """One fact, the things it is missing of with their lines, and how to find it out."""
    remark = alike[0]
    field = remark.path.rpartition(": ")[2]
    things = ", ".join(filter(None, map(thing, alike)))
    of = f" of {things}" if things else ""
    changes = ", ".join(remark.changes)
    yield from hung("  - ", f"{field}{of}: {remark.text} [{changes}; {remark.rule}]")
    yield from hung("    ", f"Find out: {remark.find_out}.")


def thing(remark: Remark) -> str:
    """`slot3 (line 31)`; empty where it is the whole file."""
    name = remark.path.rpartition(": ")[0]
    return f"{name} (line {remark.where.line})" if name and isinstance(remark.where, Span) else name


def questions(unknown: Sequence[Remark]) -> Iterator[str]:
    """The questions of the day that may be answered otherwise once more is known."""
    yield from heading("Questions whose answer may change")
    for command, question in QUESTIONS.items():
        count = sum(command in remark.changes for remark in unknown)
        if count:
            yield from hung(f"  {command:<9} ", f"{question} ({count})")


def summary(reports: Sequence[Report]) -> Iterator[str]:
    faulty = sum(not one.is_clean for one in reports)
    unknown = [(one, len(one.of("unknown"))) for one in reports]
    yield from fill(f"{len(reports)} files, {faulty or 'none'} with something to mend.")
    open_ = [f"{one.id} ({count})" for one, count in unknown if count]
    if open_:
        yield from hung("", f"Not known yet, with how many facts: {', '.join(open_)}.")
        yield from fill("What depends on them: slotfit catalog lint ID")
