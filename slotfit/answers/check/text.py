"""The answers of `check` and `carriers` for a terminal: 80 columns, no colour needed."""

from __future__ import annotations

import re
from collections.abc import Iterable, Iterator, Sequence

from slotfit.answers.check.answer import (
    CarrierKind,
    CarriersAnswer,
    CheckAnswer,
    Endpoint,
    ReceptacleVerdict,
    SlotCarriers,
)
from slotfit.answers.names import gb_s
from slotfit.answers.place.answer import UnprovenFact
from slotfit.answers.text_layout import bullet, bulleted, columns, fill, heading, joined, verdict
from slotfit.listing import follows, have, in_short


def setting_sentence(alike: Sequence[ReceptacleVerdict]) -> str:
    """What to choose, and what these receptacles then have."""
    first = alike[0]
    setting = first.setting or ""
    names = ", ".join(one.name for one in alike)
    return f"{sentence(setting)}: {names} then {have(alike)} {first.gives}."


def unproven_sentences(
    word: str, facts: Iterable[UnprovenFact], others: str = ""
) -> Iterator[tuple[str, str]]:
    """Facts, and how to find them out; those found out alike together."""
    alike: dict[str, list[str]] = {}
    for fact in facts:
        alike.setdefault(fact.find_out, []).append(fact.statement)
    for find_out, statements in alike.items():
        yield f"{word}{'; '.join(statements)}{others}.", f"Find out: {find_out}."


def is_told_apart(endpoints: Sequence[Endpoint]) -> bool:
    """Whether there is more to say than of one link."""
    return len(endpoints) > 1 or any(one.kind == "socket" for one in endpoints)


def doubts(one: ReceptacleVerdict, others: str = "") -> Iterator[tuple[str, str]]:
    """Everything unproven, what decides first."""
    yield from unproven_sentences("Not known: ", one.unknown, others)
    open_ = "Open, though as many are seen either way: "
    yield from unproven_sentences(open_, one.open, others)
    yield from unproven_sentences("Provided that ", one.provided, others)


def sentences(one: ReceptacleVerdict) -> Iterator[str]:
    """All of it but the reasons: what is seen, what to set, what stays dark, what it hangs on."""
    if one.summary:
        yield one.summary
    if one.setting:
        yield setting_sentence([one])
    for endpoint in one.endpoints if is_told_apart(one.endpoints) else ():
        if endpoint.dark:
            yield f"{endpoint.name} is not detected: {endpoint.dark}."
    for doubt, find_out in doubts(one):
        yield f"{doubt} {find_out}"
    yield from one.notes


BEFORE = (
    "Before you open the case: shut down, pull every power cord, mind static; the manuals of board "
    "and card come first."
)


ADVICE = 2
"""So many ways to make it work are told; all with `--all`."""

MORE = "More: --all every receptacle with its links, settings and reasons."


def check_text(answer: CheckAnswer, *, every: bool = False) -> str:
    """The answer, or with `every` all of it; every line ends where the words end."""
    return joined(lines(answer, every=every))


def lines(answer: CheckAnswer, *, every: bool) -> Iterator[str]:
    """Top down: what was asked, the answer, the best receptacles, what would help."""
    found = answer.plan.receptacles
    yield from asked(answer)
    yield from verdict(answer.verdict.word, answer.verdict.headline)
    for note in answer.watch.notes:
        yield from fill(note)
    groups = grouped(one for one in found if one.summary)
    shown = [*told_in_full(answer, groups, every=every)]
    for alike in shown:
        yield from block(alike, every=every)
    rest = [alike for alike in groups if alike not in shown]
    yield from bulleted("Elsewhere", elsewhere(rest))
    yield from refused(found, every=every)
    advice = [one.text for one in answer.do.advice]
    shown_of_it = advice if every else advice[:ADVICE]
    more = f" ({len(advice)} ways; the cheapest first)" if len(advice) > len(shown_of_it) else ""
    yield from bulleted(f"What would make it work{more}", shown_of_it)
    if answer.do.cautions:
        yield ""
        yield from fill(BEFORE)
    if not every and len(found) > 1:
        yield from fill(MORE)


def asked(answer: CheckAnswer) -> Iterator[str]:
    """The part, the board, and what was taken as given."""
    more = answer.more
    yield from fill(titled(answer.part, answer.part_name))
    yield from drives(more.drives)
    invented = " (invented)" if answer.invented else ""
    yield from fill(f"on {titled(answer.board, answer.board_name)}{invented}")
    if more.around:
        yield from fill(f"around it: {', '.join(more.around)}")
    if more.today:
        yield from fill("as it is today: " + ", ".join(f"{a} in {b}" for a, b in more.today))


def elsewhere(groups: Iterable[list[ReceptacleVerdict]]) -> Iterator[str]:
    """The other receptacles in short, those with one verdict together."""
    found: dict[str, list[ReceptacleVerdict]] = {}
    for alike in groups:
        found.setdefault(f"{alike[0].status}; {alike[0].summary}", []).extend(alike)
    yield from (f"{names_of(same)}: {said}" for said, same in found.items())


def told_in_full(
    answer: CheckAnswer, groups: list[list[ReceptacleVerdict]], *, every: bool
) -> Iterator[list[ReceptacleVerdict]]:
    """The best receptacles, and where nothing works for certain those that may."""
    for number, alike in enumerate(groups):
        first = alike[0]
        may = answer.verdict.word != "yes" and not answer.good and first.unknown
        if every or not number or may:
            yield alike


def titled(name: str, title: str) -> str:
    """`id: name`, or the id alone."""
    return name if title == name else f"{name}: {title}"


def drives(given: Sequence[tuple[str, str]]) -> Iterator[str]:
    """What is in its sockets."""
    kinds = {kind for _, kind in given}
    if len(kinds) == 1 and len(given) > 1:
        yield from fill(f"with {kinds.pop()} in {', '.join(name for name, _ in given)}")
    elif given:
        yield from fill("with " + ", ".join(f"{kind} in {name}" for name, kind in given))


def grouped(verdicts: Iterable[ReceptacleVerdict]) -> list[list[ReceptacleVerdict]]:
    """Receptacles of which the same is to be said, in the order of the first."""
    found: dict[object, list[ReceptacleVerdict]] = {}
    for one in verdicts:
        found.setdefault(sameness(one), []).append(one)
    return [*found.values()]


def sameness(one: ReceptacleVerdict) -> object:
    """All that is said of a receptacle but its own name, its setting, and its neighbours."""
    facts = [
        part
        for fact in (*one.unknown, *one.open, *one.provided)
        for part in (fact.statement, fact.find_out)
    ]
    texts = [*facts, *(reason.text for reason in one.reasons)]
    anonymous = tuple(nameless(one, text) for text in texts)
    return (
        one.status,
        one.summary,
        one.about,
        one.gives,
        bool(one.setting),
        one.endpoints,
        anonymous,
    )


def nameless(one: ReceptacleVerdict, text: str) -> str:
    """A text without the receptacle's own name; the same letters within a word are none."""
    own = [name for name in (one.receptacle, one.label) if name in text]
    if not own:
        return text
    names = "|".join(map(re.escape, own))
    return re.sub(rf"(?<![\w.+-])({names})(?![\w+-])", "*", text)


def names_of(alike: Iterable[ReceptacleVerdict], *, every: bool = False) -> str:
    """Receptacles as they are called; runs shortened, unless `every` one is asked for."""
    labels = [one.label for one in alike]
    return ", ".join(labels) if every else in_short(labels)


def block(alike: list[ReceptacleVerdict], *, every: bool) -> Iterator[str]:
    """One verdict, for all receptacles it holds for."""
    first = alike[0]
    yield from heading(f"{names_of(alike, every=every)}: {first.status}; {first.summary}")
    yield from fill(("each: " if len(alike) > 1 else "") + first.about, "  ")
    by_setting: dict[str, list[ReceptacleVerdict]] = {}
    for one in alike:
        if one.setting:
            by_setting.setdefault(one.setting, []).append(one)
    told = [*by_setting.values()]
    for same in told if every else told[:1]:
        likewise = names_of(one for other in told[1:] for one in other)
        more = f" The same for {likewise}, by the settings of their own." if likewise else ""
        yield from bullet(setting_sentence(same) + ("" if every else more))
    yield from endpoints(first.endpoints, every=every)
    others = " (likewise for the others)" if len(alike) > 1 else ""
    for doubt, find_out in doubts(first, others):
        yield from bullet(doubt)
        yield from fill(find_out, "    ")
    yield from notes(alike)


def notes(alike: list[ReceptacleVerdict]) -> Iterator[str]:
    """What holds for all of them once; what differs for each."""
    everywhere = set.intersection(*({nameless(one, note) for note in one.notes} for one in alike))
    for note in alike[0].notes:
        if nameless(alike[0], note) in everywhere:
            yield from bullet(note)
    for one in alike:
        for note in one.notes:
            if nameless(one, note) not in everywhere:
                yield from bullet(f"{one.label}: {note}" if len(alike) > 1 else note)


def endpoints(rows: tuple[Endpoint, ...], *, every: bool) -> Iterator[str]:
    """A table, where there is more to see than one link; those alike share a row."""
    if not is_told_apart(rows):
        return
    several = len({row.drive for row in rows if row.kind == "socket"}) > 1
    told: list[list[tuple[str, ...]]] = []
    for cells in (endpoint_row(row, several) for row in rows):
        last = told[-1][-1] if told and not every else None
        if last and last[2:] == cells[2:] and follows(last[0], cells[0]):
            told[-1].append(cells)
        else:
            told.append([cells])
    head = ("socket", "lanes", "trains at", "GB/s", "in it" if several else "")
    yield from columns(head, [folded(alike) for alike in told])


def folded(rows: Sequence[tuple[str, ...]]) -> tuple[str, ...]:
    """Rows that differ in name and lanes only, as one."""
    first, last = rows[0], rows[-1]
    lanes = first[1] if first[1] == last[1] else f"{first[1]} to {last[1]}"
    return (in_short(row[0] for row in rows), lanes, *first[2:])


def endpoint_row(row: Endpoint, several: bool) -> tuple[str, ...]:
    """What it trains at, what that carries, and of how much if that is less, or why it is dark."""
    said = [row.drive] if several and row.drive else []
    if row.dark:
        said.append(row.dark)
    if row.kind == "upwards":
        said.append("shared by the sockets below")
    rate = "?" if row.mb_s is None else gb_s(row.mb_s)
    if row.mb_s is not None and row.moves_mb_s is not None and row.mb_s < row.moves_mb_s:
        rate += f" of {gb_s(row.moves_mb_s)}"
    return (row.name, row.lanes_text, row.text, rate if row.lanes else "-", ": ".join(said))


def refused(found: Sequence[ReceptacleVerdict], *, every: bool) -> Iterator[str]:
    """Where it does not work, and why; receptacles of another form in one line."""
    against = [one for one in found if not one.summary]
    told = [one for one in against if not one.other_form or len(found) == 1]
    if told:
        yield from heading("Does not work")
    for alike in grouped(told):
        reasons = [reason.text for reason in alike[0].reasons]
        told_of = reasons if every or len(found) == 1 else reasons[:1]
        why = "; and because ".join(told_of)
        rest = f"; and {len(reasons) - len(told_of)} more" if len(reasons) > len(told_of) else ""
        yield from bullet(
            f"{names_of(alike, every=every)} ({alike[0].about}): because {why}{rest}."
        )
        for note in alike[0].notes:
            yield from fill(note, "    ")
    names = names_of((one for one in against if one.other_form), every=every)
    if names and len(found) > 1:
        yield ""
        yield from fill(f"Not made for this plug: {names}.")


def carriers_text(answer: CarriersAnswer, *, every: bool = False) -> str:
    """The answer, or with `every` all of it; every line ends where the words end."""
    return joined(carriers_lines(answer, every=every))


def carriers_lines(answer: CarriersAnswer, *, every: bool) -> Iterator[str]:
    """What to take in each receptacle, those with the same choice together."""
    invented = " (invented)" if answer.watch.invented else ""
    yield from fill(f"{answer.board}: {answer.title}{invented}")
    yield from verdict(answer.verdict.word, answer.verdict.headline)
    found: dict[object, list[SlotCarriers]] = {}
    for one in answer.plan.slots:
        rows = [
            (row.kind, row.seen, row.status, row.each_mb_s, bool(row.setting))
            for row in one.carriers
        ]
        found.setdefault((one.wiring, tuple(rows)), []).append(one)
    if found and not every:
        yield from recommendations([*found.values()])
    for alike in found.values() if every else ():
        yield from slots_block(alike)


def recommendations(groups: Sequence[list[SlotCarriers]]) -> Iterator[str]:
    """One carrier a receptacle: the plainest that shows most; more drives only with a switch."""
    rows, to_set = [], []
    for alike in groups:
        names, best = in_short(one.label for one in alike), alike[0].recommended
        seen, each, _, kind = carrier_row(best, [best.setting or ""])
        if best.setting:
            others = in_short(one.label for one in alike[1:])
            more = f"; the like for {others}" if others else ""
            to_set.append(f"{alike[0].label}: {best.setting}{more}")
        most = max(one.seen for one in alike[0].carriers)
        rows.append((names, seen, each, str(most) if most > best.seen else "-", kind))
    yield from heading("Recommended, the plainest that shows most")
    yield from columns(("slot", "drives", "GB/s each", "with a switch", "carrier"), rows)
    yield from (line for text in to_set for line in bullet(f"{text}."))
    yield from fill("More: --all every kind of carrier in every receptacle.")


def sentence(text: str) -> str:
    """With a capital."""
    return text[:1].upper() + text[1:]


def slots_block(alike: list[SlotCarriers]) -> Iterator[str]:
    """One table, for all receptacles it holds for."""
    first = alike[0]
    yield from heading(", ".join(one.label for one in alike))
    yield from fill(("each: " if len(alike) > 1 else "") + first.wiring, "  ")
    settings = list(dict.fromkeys(row.setting for row in first.carriers if row.setting))
    head = ("drives seen", "GB/s each", "set", "carrier")
    yield from columns(head, [carrier_row(row, settings) for row in first.carriers])
    for number, setting in enumerate(settings, 1):
        yield from bullet(f"({number}) {setting}" + (f" ({first.label})" if len(alike) > 1 else ""))


def carrier_row(row: CarrierKind, settings: list[str]) -> tuple[str, ...]:
    """One kind of carrier."""
    seen = f"{row.seen} of {row.total}"
    if row.status == "not known":
        seen = f"perhaps {seen}"
    each = "?" if row.each_mb_s is None else gb_s(row.each_mb_s)
    if row.together_mb_s:
        each += f", all {gb_s(row.together_mb_s)}"
    number = f"({settings.index(row.setting) + 1})" if row.setting else ""
    return (seen, each, number, row.kind)
