"""From what to pull first to its view."""

from __future__ import annotations

from collections.abc import Iterator
from dataclasses import dataclass

from slotfit.answers.names import gb_s
from slotfit.answers.place.cautions import cautions_for
from slotfit.answers.sequence.answer import SettingChangeView
from slotfit.answers.sequence.names import change_view, link_name, place_name
from slotfit.answers.sequence.pull_first import Pull, PullFirst
from slotfit.answers.text_layout import bullet, fill, heading
from slotfit.listing import in_short, natural
from slotfit.model.problem import Problem
from slotfit.model.windows import Change, Layout

SCHEMA_VERSION = 1
"""Raised when a field changes its meaning or goes away; new fields do not raise it."""


@dataclass(frozen=True, slots=True)
class PullView:
    """What it means to pull some parts."""

    items: tuple[str, ...]
    riders: tuple[str, ...]
    frees: tuple[str, ...]
    """`SLOT 3: 16 GT/s x16`, `75 W`, `one pcie-8 plug`."""
    makes_room: bool
    goes_to: str
    """Where the part goes then; empty if it still has no room."""
    link: str
    rests_on: tuple[tuple[str, str], ...]
    """Facts nobody has proven on which the part's seat then rests, each with how to find it out."""
    changes: tuple[SettingChangeView, ...]
    stops: tuple[str, ...]
    risks: tuple[str, ...]
    elsewhere: tuple[tuple[str, str, str], ...]
    """Item, place where what came out could live, and its link there; none: nowhere."""
    stops_then: tuple[str, ...]
    """Services that stay down even so."""


@dataclass(frozen=True, slots=True)
class PullFirstView:
    """The whole answer to what to pull first."""

    schema_version: int
    build: str
    title: str
    part: str
    along: tuple[str, ...]
    headline: str
    fits_now: str
    """Where it goes without anything being pulled; empty if nowhere."""
    short_mb_s: int
    """MB/s of what it moves that do not get through its link there."""
    rests_on: tuple[tuple[str, str], ...]
    """Facts nobody has proven on which that rests, each with how to find it out."""
    moves: tuple[tuple[str, str, str], ...]
    """If moving parts is enough: item, from, to; else none."""
    pulls: tuple[PullView, ...]
    cautions: tuple[str, ...]
    complete: bool


def pull_view_of(answer: PullFirst) -> PullFirstView:
    """Everything that is shown."""
    problem = answer.problem
    goes = [problem.item[name] for name in (answer.part, *answer.along)]
    return PullFirstView(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        part=answer.part,
        along=answer.along,
        headline=headline(answer),
        fits_now=place_in(problem, answer.now, answer.part),
        short_mb_s=answer.short_mb_s,
        rests_on=rests_on(answer, answer.now),
        moves=tuple(moves(answer)) if answer.moved else (),
        pulls=tuple(pull_view(answer, pull) for pull in answer.pulls),
        cautions=cautions_for(
            [*goes, *(problem.item[i] for p in answer.pulls[:1] for i in out_of(p))]
        ),
        complete=answer.complete,
    )


def no_answer(problem: Problem, part: str) -> PullFirstView:
    """Time ran out before today's layout was understood."""
    return PullFirstView(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        part=part,
        along=(),
        headline="Time ran out before today's layout was understood",
        fits_now="",
        short_mb_s=0,
        rests_on=(),
        moves=(),
        pulls=(),
        cautions=(),
        complete=False,
    )


def out_of(pull: Pull) -> tuple[str, ...]:
    """Everything that comes out."""
    return (*pull.items, *pull.riders)


def headline(answer: PullFirst) -> str:
    """The answer in one sentence, without its full stop."""
    part = answer.part
    if answer.now:
        where = place_in(answer.problem, answer.now, part)
        link = link_name(answer.now.seat_of[part])
        return f"Nothing has to be pulled: {part} goes into {where}" + (f", {link}" if link else "")
    best = answer.pulls[0] if answer.pulls else None
    if best and best.layout:
        where = place_in(answer.problem, best.layout, part)
        return f"Pull {' and '.join(best.items)} first: then {part} goes into {where}"
    if answer.moved:
        return f"No single part need come out for good: {part} goes in once others have moved"
    searched = "no part, and no two parts," if answer.complete else "nothing that was tried"
    return f"Pulling {searched} makes room for {part}"


def place_in(problem: Problem, layout: Layout | None, item: str) -> str:
    """Where an item is in a layout; empty if there is none."""
    return place_name(problem, layout.places[item], machine=True) if layout else ""


def moves(answer: PullFirst) -> Iterator[tuple[str, str, str]]:
    """Parts that are elsewhere when everything is in."""
    problem, today, moved = answer.problem, answer.today, answer.moved
    for item in sorted(today.places, key=natural) if moved else ():
        before, after = today.places[item], moved.places.get(item) if moved else None
        if after not in (None, before) and problem.item[item].companion_of is None:
            names = [place_name(problem, one, machine=True) for one in (before, after)]
            yield item, names[0], names[1]


def pull_view(answer: PullFirst, pull: Pull) -> PullView:
    """One set of parts."""
    problem, layout = answer.problem, pull.layout
    later = pull.elsewhere
    return PullView(
        items=pull.items,
        riders=pull.riders,
        frees=tuple(frees(answer, pull)),
        makes_room=layout is not None,
        goes_to=place_in(problem, layout, answer.part),
        link=link_name(layout.seat_of[answer.part]) if layout else "",
        rests_on=rests_on(answer, layout),
        changes=tuple(changes(answer, layout)) if layout else (),
        stops=pull.stops,
        risks=tuple(risks(pull)),
        elsewhere=tuple(
            (item, place_in(problem, later, item), link_name(later.seat_of[item]))
            for item in pull.items
        )
        if later
        else (),
        stops_then=pull.stops_then if layout else (),
    )


def frees(answer: PullFirst, pull: Pull) -> Iterator[str]:
    """Receptacles, watts and plugs that the parts give back."""
    problem = answer.problem
    for item in pull.items:
        yield place_name(problem, answer.today.places[item], machine=True)
    parts = [problem.item[item].part for item in out_of(pull)]
    watts = sum(part.draw_w for part in parts)
    if watts:
        yield f"{watts:g} W"
    plugs = [plug for part in parts if part.power for plug in part.power.aux]
    yield from (f"{plugs.count(plug)} {plug} from the supply" for plug in dict.fromkeys(plugs))


def risks(pull: Pull) -> Iterator[str]:
    """What is at stake, for good or until what came out is in its other place."""
    until = "" if pull.elsewhere is None else "until it is in its other place, "
    for name in pull.bared:
        when = until if name not in pull.bared_then else ""
        yield f"{when}{name} has too few members left to be in service"
    yield from (f"{until}{name} lacks a member" for name in pull.weakened)
    for name in pull.uncopied:
        yield f"{until}the data of {name} is out of reach, and it is not copied yet"


def rests_on(answer: PullFirst, layout: Layout | None) -> tuple[tuple[str, str], ...]:
    """What the part's seat rests on."""
    facts = layout.seat_of[answer.part].facts if layout else ()
    return tuple((fact.statement, fact.find_out) for fact in facts)


def changes(answer: PullFirst, layout: Layout) -> Iterator[SettingChangeView]:
    """Settings that seats of the new layout need, and that are others today."""
    used = {seat.offer.group for seat in layout.seats if seat.arrangements}
    for group, way in layout.arrangements.items():
        before = answer.today.arrangements[group]
        if group in used and before != way:
            yield change_view(answer.problem, Change(group, before, way))


def as_text(view: PullFirstView) -> str:
    """The whole answer."""
    return "\n".join(line.rstrip() for line in lines(view)) + "\n"


def lines(view: PullFirstView) -> Iterator[str]:
    """The best first, then what does not help."""
    yield view.title
    yield from fill(view.headline + ".")
    yield from now(view)
    if view.along:
        yield from fill(f"With it go in: {in_short(view.along)}.")
    if view.moves:
        yield from heading("Or pull nothing for good, and move")
        for item, before, after in view.moves:
            yield from bullet(f"{item} from {before} to {after}")
    yield from ranking(view)
    if not view.complete:
        yield from heading("Time ran out: not everything was tried")
    if view.cautions:
        yield from heading("Before you open the case")
        for caution in view.cautions:
            yield from bullet(caution)


def now(view: PullFirstView) -> Iterator[str]:
    """What has to be known of the place where it goes at once."""
    if view.short_mb_s:
        lost = gb_s(view.short_mb_s)
        yield from fill(f"But there it gets {lost} GB/s less than it moves, in and out together.")
    if view.rests_on:
        yield from heading("That rests on (nobody has proven it; find out first)")
    for statement, find_out in view.rests_on:
        yield from bullet(f"{statement}")
        yield from fill(f"Find out: {find_out}.", "      ")


def ranking(view: PullFirstView) -> Iterator[str]:
    """What makes room, best first, and what does not."""
    useful = [pull for pull in view.pulls if pull.makes_room]
    if useful:
        better = f"{view.part} fares better if one of these comes out, the best first"
        yield from heading(better if view.fits_now else "What to pull, the best first")
        for number, pull in enumerate(useful, 1):
            yield from pull_lines(number, view.part, pull)
    others = [" and ".join(pull.items) for pull in view.pulls if not pull.makes_room]
    if others:
        yield from heading("These by themselves make no room")
        yield from fill(", ".join(others), "  ")


def pull_lines(number: int, part: str, pull: PullView) -> Iterator[str]:
    """One set of parts."""
    riders = f" (with {in_short(pull.riders)} on it)" if pull.riders else ""
    yield from fill(f"{number}. {' and '.join(pull.items)}{riders}", "  ")
    yield from more(f"frees {'; '.join(pull.frees)}")
    link = f", {pull.link}" if pull.link else ""
    yield from more(f"{part} goes into {pull.goes_to}{link}")
    for statement, _ in pull.rests_on:
        yield from more(f"rests on: {statement}")
    for change in pull.changes:
        yield from more(f"SET {change.after}  (now {change.before})")
    yield from more(f"stops meanwhile: {', '.join(pull.stops) or 'nothing'}")
    for risk in pull.risks:
        yield from more(f"AT RISK: {risk}")
    if pull.elsewhere:
        homes = "; ".join(
            f"{item} in {place}" + (f", {link}" if link else "")
            for item, place, link in pull.elsewhere
        )
        then = f"; {', '.join(pull.stops_then)} stays down even so" if pull.stops_then else ""
        yield from more(f"could live elsewhere: {homes}{then}")
    else:
        yield from more("could live elsewhere: no, not with all else where it is")


def more(text: str) -> list[str]:
    """A point below a number."""
    return [f"   {line}" for line in bullet(text)]
