"""The sentences that sum up what `check` found."""

from __future__ import annotations

from slotfit.check.answer import Answer, Endpoint, Outcome, Verdict, Word
from slotfit.render.names_of import short_name
from slotfit.render.words import gb_s, link_text

MOST_NAMED = 8


def headline(answer: Answer) -> str:
    """The answer in a sentence or two."""
    by_word: dict[Word, list[Verdict]] = {}
    for verdict in answer.verdicts:
        by_word.setdefault(verdict.word, []).append(verdict)
    works, once_set = by_word.get(Word.WORKS, []), by_word.get(Word.ONCE_SET, [])
    if works and once_set:
        said = f"Yes: it works in {named(works)}; once set, also in {named(once_set)}."
    elif works:
        said = f"Yes: it works in {named(works)}."
    elif once_set:
        said = f"Yes, once set: it works in {named(once_set)} after a setting is changed."
    else:
        return no_headline(answer, by_word)
    return said + slow(works + once_set)


def slow(verdicts: list[Verdict]) -> str:
    """Where its links carry less than it moves; empty if nowhere."""
    short = [one for one in verdicts if one.outcome and one.outcome.short_mb_s]
    if not short:
        return ""
    where = "there" if len(short) == len(verdicts) else f"in {named(short)}"
    return f" But {where} it gets less than it moves: see the GB/s."


def no_headline(answer: Answer, by_word: dict[Word, list[Verdict]]) -> str:
    """What to say where nothing works in full for certain."""
    unknown, partly = by_word.get(Word.NOT_KNOWN, []), by_word.get(Word.IN_PART, [])
    if not unknown and not partly:
        one = len(answer.verdicts) == 1
        where = f"in {named(answer.verdicts)}" if one else "in any receptacle"
        return f"No: it does not work {where}."
    sure = [(one, outcome) for one in answer.verdicts if (outcome := certain(one))]
    most = max((outcome.alive for _, outcome in sure), default=-1)
    better = [one for one in unknown if one.outcome and one.outcome.alive > most]
    said = []
    if better:
        said.append(f"Not known for {named(better)}: something has to be found out first.")
    if sure:
        said.append(certain_in(*max(sure, key=lambda pair: pair[1].alive)))
    said += perhaps(partly, most) if not better else []
    return " ".join(said)


def certain_in(verdict: Verdict, outcome: Outcome) -> str:
    """The most that nothing unproven stands behind."""
    setting = " once set" if outcome.change else ""
    return f"For certain only in part: in {short_name(verdict.site)}{setting} {seen(outcome)}."


def perhaps(partly: list[Verdict], most: int) -> list[str]:
    """Where more than that may be seen."""
    more = [(one, one.maybe) for one in partly if one.maybe and one.maybe.alive > most]
    if not more:
        return []
    verdict, outcome = max(more, key=lambda pair: pair[1].alive)
    return [f"Perhaps {seen(outcome)} in {short_name(verdict.site)}: see what to find out there."]


def certain(verdict: Verdict) -> Outcome | None:
    """The best of a receptacle that hangs on nothing unproven."""
    outcome = verdict.outcome
    return outcome if outcome and outcome.certain else verdict.certain


def summary(verdict: Verdict) -> str:
    """What is seen, or may be; empty if it does not work."""
    if verdict.outcome is None:
        return ""
    text = seen(verdict.outcome)
    return f"perhaps {text}" if verdict.word is Word.NOT_KNOWN else text


def named(verdicts: list[Verdict] | tuple[Verdict, ...]) -> str:
    """`SLOT1, SLOT2 and SLOT4`."""
    names = [short_name(verdict.site) for verdict in verdicts]
    if len(names) > MOST_NAMED:
        return ", ".join(names[:MOST_NAMED]) + f" and {len(names) - MOST_NAMED} more"
    *before, last = names
    return f"{', '.join(before)} and {last}" if before else last


def seen(outcome: Outcome) -> str:
    """What is seen of the part: `2 of 4 sockets are seen`, `8 GT/s x8`."""
    counted = outcome.counted
    if not counted:
        return "takes power and room, no lanes"
    kind = "socket" if any(one.kind == "socket" for one in counted) else "link"
    if len(counted) == 1 and kind == "link":
        return single(outcome)
    held = {one.part_class for one in counted if one.drive}
    thing = ("drive" if held == {"drive"} else "card") if held else kind
    thing += "" if outcome.total == 1 else "s"
    verb = "is" if 1 in (outcome.alive, outcome.total) else "are"
    return f"{outcome.alive} of {outcome.total} {thing} {verb} seen"


def single(outcome: Outcome) -> str:
    """The one link, and whether it is enough."""
    one = outcome.counted[0]
    return f"trains at {trained_text(one)}{enough(one)}" if one.trained else "its link stays dark"


def trained_text(one: Endpoint) -> str:
    """`8 GT/s x4`, or the most it can be where nobody has said how fast the lanes are."""
    link = one.trained
    if link is None:
        return "dark"
    text = link_text(link.bus, link.generation, link.lanes)
    return text if one.mb_s is not None or link.generation is None else f"{text} at most"


def enough(one: Endpoint) -> str:
    """What the link could be at its best, and what it carries of what is moved."""
    link = one.trained
    if link is None or one.mb_s is None:
        return ""
    best = link_text(link.bus, link.able_generation, link.able_lanes)
    same = (link.lanes, link.generation) == (link.able_lanes, link.able_generation)
    text = ("" if same else f" (it could do {best})") + f", {gb_s(one.mb_s)} GB/s"
    if one.moves_mb_s is None or one.mb_s >= one.moves_mb_s:
        return text
    return text + f" of the {gb_s(one.moves_mb_s)} it moves"
