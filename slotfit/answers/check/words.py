"""What else belongs to a verdict, a sentence each."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.answers.check.answer import Answer, Effect, Endpoint, Filled, Outcome, Verdict, Word
from slotfit.answers.names import gb_s, link_text, receptacle_named, segments_text, short_name
from slotfit.model.board import Arrangement
from slotfit.model.keys import HubKey
from slotfit.model.problem import Problem
from slotfit.model.units import mb_s
from slotfit.rule import gets
from slotfit.standards import pcie

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
    return (
        f"For certain only in part: in {short_name(verdict.receptacle)}{setting} {seen(outcome)}."
    )


def perhaps(partly: list[Verdict], most: int) -> list[str]:
    """Where more than that may be seen."""
    more = [(one, one.maybe) for one in partly if one.maybe and one.maybe.alive > most]
    if not more:
        return []
    verdict, outcome = max(more, key=lambda pair: pair[1].alive)
    return [
        f"Perhaps {seen(outcome)} in {short_name(verdict.receptacle)}: see what to find out there."
    ]


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
    names = [short_name(verdict.receptacle) for verdict in verdicts]
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


def notes(problem: Problem, verdict: Verdict, sat_in: str | None) -> Iterator[str]:
    """In the order in which people need them."""
    if sat_in == verdict.receptacle.id:
        yield "It sits here today."
    yield from otherwise(verdict)
    yield from steered(problem, verdict)
    yield from at_others_cost(problem, verdict)
    yield from shared(problem, verdict)
    for way in verdict.refuted if verdict.word.rank > Word.ONCE_SET.rank else ():
        yield f"{division(way)} is listed and known not to work."


def division(way: Arrangement) -> str:
    """What to call an arrangement: the menu's words, else how it divides."""
    return f'"{way.setting}"' if way.setting else f'"{gets(way)}"'


def setting_text(outcome: Outcome) -> str:
    """What to do so that the board arranges its lanes so."""
    way = outcome.way
    if way is None:
        return ""
    if way.proof is None:
        return f"find an entry like {division(way)} in firmware setup, if there is one"
    if way.chosen_by == "jumper":
        return f"set the jumper to {division(way)}"
    if way.chosen_by == "setting":
        return f"choose {division(way)} in firmware setup"
    return "set the lane split back to what the board does by itself"


def otherwise(verdict: Verdict) -> Iterator[str]:
    """What happens without the setting, and what more there might be."""
    if verdict.twin is not None and verdict.outcome is not None:
        dark = [one.name for one in verdict.twin.counted if not one.alive]
        which = f", {' and '.join(dark)} not" if dark and verdict.twin.alive else ""
        if dark != [one.name for one in verdict.outcome.counted if not one.alive]:
            yield f"If the lanes come in the other order, {seen(verdict.twin)}{which}."
    if verdict.unset is not None:
        yield f"If nothing is set, {seen(verdict.unset)}."
    if verdict.certain is not None and verdict.certain is not verdict.unset:
        yield f"For certain {seen(verdict.certain)}{by_setting(verdict.certain)}."
    if verdict.maybe is not None:
        facts = " and ".join(fact.statement for fact in verdict.maybe.decides)
        yield f"Perhaps {seen(verdict.maybe)}{by_setting(verdict.maybe)}, if {facts}."
    yield from others(verdict)


def others(verdict: Verdict) -> Iterator[str]:
    """What the settings come to that are not spoken of otherwise."""
    best = verdict.outcome
    if best is None or verdict.word not in (Word.IN_PART, Word.NOT_KNOWN):
        return
    told = [id(one) for one in (verdict.unset, verdict.certain, verdict.twin, verdict.maybe)]
    left = [one for one in verdict.others if one.way and id(one) not in told]
    no_better = [one for one in left if one.alive <= best.alive]
    if no_better:
        yield f"Other settings do no better: {', '.join(map(come_to, no_better))}."
    unproven = [one for one in left if one.alive > best.alive]
    if unproven:
        yield f"Not proven either: {', '.join(map(come_to, unproven))}."


def come_to(outcome: Outcome) -> str:
    """`"Slot 1: x8x8" 2 of 4`."""
    return f"{division(outcome.way) if outcome.way else ''} {outcome.alive} of {outcome.total}"


def by_setting(outcome: Outcome) -> str:
    """` with "Slot 1: x8x8" set`, where that needs setting."""
    if not outcome.change or outcome.way is None:
        return ""
    return f" with {division(outcome.way)} set"


def steered(problem: Problem, verdict: Verdict) -> Iterator[str]:
    """What has to stay empty, and what if it does not."""
    if verdict.outcome is None:
        return
    machine = verdict.outcome.seat.upstream.machine
    if verdict.keep_empty:
        names = listed(problem, machine, verdict.keep_empty, "or")
        yield f"This holds while nothing is in {names}."
    for other in verdict.filled:
        yield while_filled(problem, machine, other)


def while_filled(problem: Problem, machine: str, other: Filled) -> str:
    """How it fares while something is in another receptacle."""
    names = listed(problem, machine, other.receptacles, "and")
    way = other.outcome.way
    own = other.outcome.seat.upstream.root.rpartition("/")[2]
    gets = f" it has {segments_text(way.gives.get(own, ()))}:" if way else ""
    return f"With something in {names}{gets} {seen(other.outcome)}."


def listed(problem: Problem, machine: str, names: tuple[str, ...], word: str) -> str:
    """Receptacles as a sentence lists them."""
    *before, last = [receptacle_named(problem, machine, name) for name in names]
    return f"{', '.join(before)} {word} {last}" if before else last


def at_others_cost(problem: Problem, verdict: Verdict) -> Iterator[str]:
    """Who has less, or no room, once the part is in."""
    outcome = verdict.outcome
    if outcome is None:
        return
    alike: dict[tuple[object, object], list[Effect]] = {}
    for effect in verdict.effects:
        alike.setdefault((effect.before, effect.after), []).append(effect)
    for effects in alike.values():
        yield lost(problem, outcome, effects)
    for part, before, after in outcome.changes:
        now = link_text(before.bus, before.generation, before.lanes)
        then = link_text(after.bus, after.generation, after.lanes) if after.lanes else "dark"
        yield f"{part}, which is there today, goes from {now} to {then}."
    if verdict.covers:
        names = " and ".join(short_name(problem.receptacle[name]) for name in verdict.covers)
        yield f"Nothing else can go into {names} then: its body is in the way."


def lost(problem: Problem, outcome: Outcome, effects: list[Effect]) -> str:
    """Receptacles that have fewer lanes, and alike."""
    names = tuple(effect.receptacle for effect in effects)
    name = listed(problem, outcome.seat.upstream.machine, names, "and")
    before, after = effects[0].before, effects[0].after
    verb = "have" if len(names) > 1 else "has"
    now = segments_text(after) if after else "no lanes"
    return f"{name} then {verb} {now} instead of {segments_text(before)}."


def shared(problem: Problem, verdict: Verdict) -> Iterator[str]:
    """Links upwards that it shares with others on the board."""
    outcome = verdict.outcome
    for node in outcome.seat.upstream.hops if outcome and outcome.seat.links else ():
        if isinstance(node, HubKey):
            hub = problem.machine[node.machine].hubs[node.hub]
            room = pcie.usable_mb_s(hub.generation, hub.lanes) - mb_s(hub.background_gb_s)
            text = link_text("pcie", hub.generation, hub.lanes)
            yield (
                f"It hangs on {hub.label or hub.id}, whose link upwards ({text}, "
                f"{gb_s(max(room, 0))} GB/s left) it shares with all that hangs there."
            )
