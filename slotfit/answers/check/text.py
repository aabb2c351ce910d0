"""The answer of `check` for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from slotfit.answers.check.view import CheckView, EndpointView, UnprovenView, VerdictView
from slotfit.answers.names import gb_s
from slotfit.answers.text_layout import bullet, columns, fill, heading


def setting_sentence(alike: Sequence[VerdictView]) -> str:
    """What to choose, and what these receptacles then have."""
    first = alike[0]
    setting = first.setting or ""
    names = ", ".join(one.name for one in alike)
    verb = "have" if len(alike) > 1 else "has"
    return f"{setting[:1].upper()}{setting[1:]}: {names} then {verb} {first.gives}."


def unproven_sentences(
    word: str, facts: Iterable[UnprovenView], others: str = ""
) -> Iterator[tuple[str, str]]:
    """Facts, and how to find them out; those found out alike together."""
    alike: dict[str, list[str]] = {}
    for fact in facts:
        alike.setdefault(fact.find_out, []).append(fact.statement)
    for find_out, statements in alike.items():
        yield f"{word}{'; '.join(statements)}{others}.", f"Find out: {find_out}."


def is_told_apart(endpoints: Sequence[EndpointView]) -> bool:
    """Whether there is more to say than of one link."""
    return len(endpoints) > 1 or any(one.kind == "socket" for one in endpoints)


def doubts(one: VerdictView, others: str = "") -> Iterator[tuple[str, str]]:
    """Everything unproven, what decides first."""
    yield from unproven_sentences("Not known: ", one.unknown, others)
    open_ = "Open, though as many are seen either way: "
    yield from unproven_sentences(open_, one.open, others)
    yield from unproven_sentences("Provided that ", one.provided, others)


def sentences(one: VerdictView) -> Iterator[str]:
    """All of it but the reasons: what is seen, what to set, what stays dark, what it hangs on."""
    if one.summary:
        yield one.summary
    if one.setting:
        yield setting_sentence([one])
    for endpoint in one.endpoints if is_told_apart(one.endpoints) else ():
        if endpoint.dark:
            yield f"{endpoint.name} stays dark: {endpoint.dark}."
    for doubt, find_out in doubts(one):
        yield f"{doubt} {find_out}"
    yield from one.notes


BEFORE = (
    "Before you open the case: shut down, pull every power cord, mind static; the manuals of board "
    "and card come first."
)


def check_text(view: CheckView) -> str:
    """The whole answer; every line ends where the words end."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: CheckView) -> Iterator[str]:
    """Top down: what was asked, the answer, each receptacle, what would help."""
    yield from fill(titled(view.part, view.part_name))
    yield from drives(view)
    invented = " (invented)" if view.invented else ""
    yield from fill(f"on {titled(view.board, view.board_name)}{invented}")
    if view.around:
        yield from fill(f"around it: {', '.join(view.around)}")
    if view.today:
        yield from fill("as it is today: " + ", ".join(f"{a} in {b}" for a, b in view.today))
    yield ""
    yield from fill(view.headline)
    for note in view.notes:
        yield from fill(note)
    for alike in grouped(one for one in view.verdicts if one.summary):
        yield from block(alike)
    yield from refused(view)
    if view.advice:
        yield from heading("What would make it work")
        for advice in view.advice:
            yield from bullet(advice.text)
    if view.cautions:
        yield ""
        yield from fill(BEFORE)


def titled(name: str, title: str) -> str:
    """`id: name`, or the id alone."""
    return name if title == name else f"{name}: {title}"


def drives(view: CheckView) -> Iterator[str]:
    """What is in its sockets."""
    kinds = {kind for _, kind in view.drives}
    if len(kinds) == 1 and len(view.drives) > 1:
        yield from fill(f"with {kinds.pop()} in {', '.join(name for name, _ in view.drives)}")
    elif view.drives:
        yield from fill("with " + ", ".join(f"{kind} in {name}" for name, kind in view.drives))


def grouped(verdicts: Iterable[VerdictView]) -> list[list[VerdictView]]:
    """Receptacles of which the same is to be said, in the order of the first."""
    found: dict[object, list[VerdictView]] = {}
    for one in verdicts:
        found.setdefault(sameness(one), []).append(one)
    return [*found.values()]


def sameness(one: VerdictView) -> object:
    """All that is said of a receptacle but its own name, its setting, and its neighbours."""
    facts = [
        part
        for fact in (*one.unknown, *one.open, *one.provided)
        for part in (fact.statement, fact.find_out)
    ]
    texts = [*facts, *(reason.text for reason in one.reasons)]
    anonymous = tuple(nameless(one, text) for text in texts)
    return (
        one.word,
        one.summary,
        one.about,
        one.gives,
        bool(one.setting),
        one.endpoints,
        anonymous,
    )


def nameless(one: VerdictView, text: str) -> str:
    """A text without the receptacle's own name; the same letters within a word are none."""
    own = [name for name in (one.receptacle, one.label) if name in text]
    if not own:
        return text
    names = "|".join(map(re.escape, own))
    return re.sub(rf"(?<![\w.+-])({names})(?![\w+-])", "*", text)


def block(alike: list[VerdictView]) -> Iterator[str]:
    """One verdict, for all receptacles it holds for."""
    first = alike[0]
    names = ", ".join(one.label for one in alike)
    yield from heading(f"{names}: {first.word}; {first.summary}")
    yield from fill(("each: " if len(alike) > 1 else "") + first.about, "  ")
    yield from settings(alike)
    yield from endpoints(first.endpoints)
    others = " (likewise for the others)" if len(alike) > 1 else ""
    for doubt, find_out in doubts(first, others):
        yield from bullet(doubt)
        yield from fill(find_out, "    ")
    yield from notes(alike)


def notes(alike: list[VerdictView]) -> Iterator[str]:
    """What holds for all of them once; what differs for each."""
    everywhere = set.intersection(*({nameless(one, note) for note in one.notes} for one in alike))
    for note in alike[0].notes:
        if nameless(alike[0], note) in everywhere:
            yield from bullet(note)
    for one in alike:
        for note in one.notes:
            if nameless(one, note) not in everywhere:
                yield from bullet(f"{one.label}: {note}" if len(alike) > 1 else note)


def settings(alike: list[VerdictView]) -> Iterator[str]:
    """What to choose, and what arrives then."""
    by_setting: dict[str, list[VerdictView]] = {}
    for one in alike:
        if one.setting:
            by_setting.setdefault(one.setting, []).append(one)
    for same in by_setting.values():
        yield from bullet(setting_sentence(same))


def endpoints(rows: tuple[EndpointView, ...]) -> Iterator[str]:
    """A table, where there is more to see than one link."""
    if not is_told_apart(rows):
        return
    several = len({row.drive for row in rows if row.kind == "socket"}) > 1
    cells = [row_of(row, several) for row in rows]
    head = ("", "lanes", "trains at", "GB/s", "in it" if several else "")
    yield from columns(head, cells)


def row_of(row: EndpointView, several: bool) -> tuple[str, ...]:
    """One endpoint: what it trains at, or why it stays dark."""
    said = [row.drive] if several and row.drive else []
    if row.dark:
        said.append(row.dark)
    if row.kind == "upwards":
        said.append("shared by the sockets below")
    return (row.name, row.lanes_text, row.text, rate(row), ": ".join(said))


def rate(row: EndpointView) -> str:
    """What the link carries, and of how much if that is less."""
    if not row.lanes:
        return "-"
    if row.mb_s is None:
        return "?"
    short = row.moves_mb_s is not None and row.mb_s < row.moves_mb_s
    return gb_s(row.mb_s) + (f" of {gb_s(row.moves_mb_s or 0)}" if short else "")


def refused(view: CheckView) -> Iterator[str]:
    """Where it does not work, and every reason; receptacles of another form in one line."""
    against = [one for one in view.verdicts if not one.summary]
    other_form = [one for one in against if is_other_form(one)]
    told = [one for one in against if one not in other_form or len(view.verdicts) == 1]
    if told:
        yield from heading("Does not work")
    for alike in grouped(told):
        names = ", ".join(one.label for one in alike)
        why = "; and because ".join(reason.text for reason in alike[0].reasons)
        yield from bullet(f"{names} ({alike[0].about}): because {why}.")
        for note in alike[0].notes:
            yield from fill(note, "    ")
    if other_form and len(view.verdicts) > 1:
        names = ", ".join(one.label for one in other_form)
        yield ""
        yield from fill(f"Not made for this plug: {names}.")


def is_other_form(one: VerdictView) -> bool:
    """Whether its plug is of another form and no more is to be said of the two."""
    return bool(one.reasons) and all(reason.misfit for reason in one.reasons)
