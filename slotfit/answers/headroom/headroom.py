"""What could still be added beside a plan, and at what price."""

from __future__ import annotations

from collections.abc import Container, Iterator, Sequence
from dataclasses import dataclass, replace
from pathlib import Path

from slotfit.answers.answer_word import AnswerWord, answered, on_condition
from slotfit.answers.headroom.answer import (
    SCHEMA_VERSION,
    AdditionRoom,
    HeadroomAnswer,
    HeadroomDo,
    HeadroomMore,
    HeadroomPlan,
    HeadroomVerdict,
    HeadroomWatch,
    NewSeat,
)
from slotfit.answers.headroom.usual import probes_asked
from slotfit.answers.names import (
    SHORT,
    gb_s,
    link_text,
    now_words,
    printed,
    setting_text,
)
from slotfit.answers.place.additions import (
    FuturesTaken,
    Probe,
    futures_taken,
    keeping,
    load_futures,
    with_added,
)
from slotfit.answers.place.causes import elsewhere, link_name, worst_first
from slotfit.answers.place.left_out import missing_beside, time_left
from slotfit.answers.place.of_plan import chosen_ways, told
from slotfit.answers.place.plan import best_plan, state_all
from slotfit.hardware.flow import short_by_link
from slotfit.listing import counted, listed
from slotfit.load.catalog import Catalog
from slotfit.model.keys import short_name
from slotfit.model.plan import Placed, Plan, Status
from slotfit.model.problem import Problem
from slotfit.model.seat import Seat
from slotfit.solve.engine import Clock, Stop
from slotfit.solve.place import Progress, silent


@dataclass(frozen=True, slots=True)
class Baseline:
    """A plan as today's layout, to which things are added."""

    placed: Placed
    """Of the build in which every part is to stay as good as it is."""
    plan: Plan

    @property
    def problem(self) -> Problem:
        """That build."""
        return self.placed.problem


def baseline_of(placed: Placed, seconds: float) -> Baseline | None:
    """The plan as what is there; None without one."""
    if placed.plan is None:
        return None
    again = best_plan(keeping(placed.problem, placed.plan), seconds)
    return Baseline(again, again.plan) if again.plan else None


def room_for(
    baseline: Baseline, probe: Probe, seconds: float
) -> tuple[AdditionRoom, Placed | None]:
    """
    As many of one addition as fit at once, found by doubling and halving.

    With the build that has them; None if not even one fits.
    """
    clock = Clock(seconds)
    tried = best_plan(with_added(baseline.problem, probe, 1), time_left(clock))
    too_many = min(probe.most, receptacles_for(baseline, probe, tried)) + 1
    best: Placed | None = None
    fits, count, step = 0, 1, 1
    while True:
        if tried.plan:
            best, fits, step = tried, count, step * 2
        else:
            too_many, step = count, max((count - fits) // 2, 1)
        if fits + 1 >= too_many:
            break
        count = min(fits + step, too_many - 1)
        tried = best_plan(with_added(baseline.problem, probe, count), time_left(clock))
    all_fit = fits == probe.most
    counted = all_fit or count != too_many or tried.status is not Status.UNKNOWN
    why = "" if all_fit or not counted else why_no_more(baseline, probe, fits, best)
    room = AdditionRoom(probe.name, probe.most, fits, counted, why, fits * probe.drives)
    return with_price(baseline, room, best), best


def receptacles_for(baseline: Baseline, probe: Probe, tried: Placed) -> int:
    """
    How many of it there are receptacles for.

    Parts that bring receptacles of their own kind may carry one another: nothing but what is asked
    for bounds those.
    """
    first, each = probe.parts[0]
    if any(one.form == first.plug.form for spec, _ in probe.parts for one in spec.receptacles):
        return probe.most
    name = next(part.id for part in tried.problem.parts if part.id not in baseline.problem.part)
    return len({seat.receptacle for seat in tried.seating.by_part.get(name, [])}) // each


def why_no_more(baseline: Baseline, probe: Probe, fits: int, best: Placed | None) -> str:
    """What stands in the way of one more, beside those that fit."""
    problem = with_added(baseline.problem, probe, fits + 1)
    seating, clauses = state_all(problem)
    stated = Placed(problem, seating, clauses, Status.IMPOSSIBLE)
    plan = best.plan if best and best.plan else baseline.plan
    seated = {seat.part for seat in plan.seats}
    out = [part.id for part in problem.parts if part.id not in seated]
    for missing in missing_beside(stated, plan, out).values():
        if missing.rule:
            return missing.why
    return "each of its parts would fit, but not all of them together"


def with_price(baseline: Baseline, room: AdditionRoom, placed: Placed | None) -> AdditionRoom:
    """The addition with where it goes, and what it costs against the plan it is added to."""
    plan = placed.plan if placed else None
    if placed is None or plan is None:
        return room
    known = {fact.id for fact in baseline.plan.facts}
    new = {seat.part for seat in plan.seats if seat.part not in baseline.problem.part}
    today = baseline.problem.today
    return replace(
        room,
        seats=tuple(new_seat(placed, seat, new) for seat in plan.seats if seat.part in new),
        moves=tuple(
            (seat.part, before, seat.receptacle)
            for seat in plan.seats
            if (before := today.get(seat.part)) is not None and before != seat.receptacle
        ),
        fewest_moves=all(one.proven for one in plan.stages if one.stage == "moves"),
        settings=tuple(settings_changed(baseline, placed, plan)),
        worse=tuple(losses(baseline, placed, plan)),
        facts=tuple(fact.statement for fact in plan.facts if fact.id not in known),
    )


def new_seat(placed: Placed, seat: Seat, new: Container[str]) -> NewSeat:
    """Where one added part would go."""
    receptacle, upstream = placed.problem.receptacle[seat.receptacle], seat.upstream
    hop = f" via {short_name(upstream.hops[0])}" if upstream.hops else ""
    return NewSeat(
        addition=seat.part,
        part=placed.problem.part[seat.part].spec.id,
        site=seat.receptacle,
        label=printed(receptacle.spec),
        link=links_text(seat),
        hangs_on=(upstream.processor or "") + hop if seat.links else "",
        inside=receptacle.owner in new,
    )


def links_text(seat: Seat) -> str:
    """The link in short; several alive ones counted."""
    alive = [link for link in seat.links if link.lanes]
    if not alive:
        return "power only"
    if len(seat.links) > 1:
        return f"{len(alive)} of {len(seat.links)} live"
    return link_text(alive[0].bus, alive[0].generation, alive[0].lanes)


def settings_changed(baseline: Baseline, placed: Placed, plan: Plan) -> Iterator[str]:
    """Lane groups in use that would be divided otherwise than now."""
    before = dict(chosen_ways(baseline.problem, baseline.plan))
    used = {seat.upstream.group for seat in plan.seats}
    for key, new in chosen_ways(placed.problem, plan):
        old = before.get(key, new)
        if old.id != new.id and key in used and new.chosen_by != "presence":
            machine = f"{key.machine}: " if len(placed.problem.machines) > 1 else ""
            yield f"{machine}{setting_text(new)} ({now_words(setting_text(old))})"


def losses(baseline: Baseline, placed: Placed, plan: Plan) -> Iterator[str]:
    """What is short with it and not without it; parts that lose the processor to be near to."""
    before = short_by_link(baseline.problem, baseline.plan.seats)
    for link, missing in worst_first(short_by_link(placed.problem, plan.seats)):
        more = missing - before.get(link, 0)
        if more > 0:
            beyond = " beyond what it is now" if link in before else ""
            name = link_name(link, several=len(placed.problem.machines) > 1)
            yield f"{name}: {gb_s(more)} {SHORT}{beyond}"
    near = {who for who, _, _ in elsewhere(baseline.placed, baseline.plan)}
    yield from (text for who, _, text in elsewhere(placed, plan) if who not in near)


NOTE = (
    "Each addition is tried on its own beside the plan. No part that is there gets fewer "
    "lanes, a lower generation or fewer endpoints for it; it may have to move."
)


@dataclass(frozen=True, slots=True)
class AdditionsWanted:
    """What may come."""

    expect: Sequence[str] = ()
    """Parts with how many of each, such as `nvme-2280-gen4=4`."""
    futures: Path | None = None
    """A file of futures; named without `expect`, they alone are tried."""


def headroom(
    problem: Problem,
    catalog: Catalog,
    wanted: AdditionsWanted | None = None,
    seconds: float = 60.0,
    progress: Progress = silent,
    stop: Stop | None = None,
) -> HeadroomAnswer:
    """
    What could still be added after the plan: what is wanted, or else what is usually added.

    At most so many `seconds` for the plan and for each addition. Once `stop` is asked for, the rest
    is said not to have been tried. Raises InputError.
    """
    wanted = wanted or AdditionsWanted()
    likely = load_futures(wanted.futures, catalog) if wanted.futures else ()
    probes = probes_asked(wanted.expect, catalog) if wanted.expect or not likely else []
    asked = bool(wanted.expect or wanted.futures)
    return headroom_answer(
        problem, (probes, likely), seconds, progress, stop or Stop(), asked=asked
    )


def headroom_answer(
    problem: Problem,
    tries: tuple[Sequence[Probe], Sequence[Probe]],
    seconds: float,
    progress: Progress,
    stop: Stop,
    *,
    asked: bool = False,
) -> HeadroomAnswer:
    """
    What could still be added; without a plan nothing is tried.

    `tries`: additions, and likely futures. `asked`: whether all of it fits is the question, not
    what of the usual things would.

    At most so many seconds for the plan and for each addition. Once `stop` is asked for, the rest
    is said not to have been tried.
    """
    probes, futures = tries
    every = [*probes, *futures]
    status: Status = Status.UNKNOWN
    plan: Plan | None = None
    rooms: list[AdditionRoom] = []
    try:
        placed = best_plan(problem, seconds, progress)
        status, plan = placed.status, placed.plan
        baseline = None if stop.asked else baseline_of(placed, seconds)
        for number, probe in enumerate(every):
            if baseline is None or stop.asked:
                break
            progress(probe.name, number, len(every))
            rooms.append(room_for(baseline, probe, seconds)[0])
    except KeyboardInterrupt:
        stop.asked = True
    word, status, said = told(problem, status, plan)
    untried = tuple(probe.name for probe in every[len(rooms) :]) if plan else ()
    if plan and (untried or any(not room.counted for room in rooms)):
        word, said = "out of time", answered("out of time", "not everything was tried")
    elif plan and asked:
        word, said = outcome(word, rooms)
    elif plan:
        word, said = usual_outcome(word, rooms, len(plan.facts))
    taken = futures_found(futures, rooms[len(probes) :]) if futures and plan else None
    return HeadroomAnswer(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        verdict=HeadroomVerdict(word, status.value, said),
        plan=HeadroomPlan(tuple(rooms)),
        do=HeadroomDo(untried),
        watch=HeadroomWatch((NOTE, *closed_notes(problem), *on_facts(plan))),
        more=HeadroomMore(taken),
    )


def closed_notes(problem: Problem) -> Iterator[str]:
    """Receptacles that are in use by what nobody has named."""
    closed = [part.wish.pin for part in problem.parts if part.wish.is_unknown and part.wish.pin]
    if closed:
        yield (
            f"In use by what nobody has named, so counted as closed: {listed(closed)}. Look, and "
            "write down what is there."
        )


def outcome(of_plan: AnswerWord, rooms: Sequence[AdditionRoom]) -> tuple[AnswerWord, str]:
    """Whether all that was asked about fits, each on its own."""
    short = [room.name for room in rooms if room.fits < room.asked]
    if short:
        return "no", answered("no", f"there is no room for {listed(short)}")
    facts = {fact for room in rooms for fact in room.facts}
    word = on_condition(of_plan, facts=bool(facts))
    return word, answered(word, "there is room for each of these, added alone", len(facts))


def usual_outcome(
    of_plan: AnswerWord, rooms: Sequence[AdditionRoom], facts: int
) -> tuple[AnswerWord, str]:
    """How many of the usual things fit; `facts`: unproven ones that the plan rests on."""
    fits = sum(bool(room.fits) for room in rooms)
    if not fits:
        return "no", answered("no", f"none of {len(rooms)} usual additions fits")
    text = f"{fits} of {len(rooms)} usual additions fit, each added alone"
    return of_plan, answered(of_plan, text, facts)


def on_facts(plan: Plan | None) -> Iterator[str]:
    """That the plan itself is not wholly proven."""
    if plan and plan.facts:
        facts = counted(len(plan.facts), "unproven fact")
        yield f"The plan that they are added to rests on {facts}: `slotfit place` names them."


def futures_found(futures: Sequence[Probe], rooms: Sequence[AdditionRoom]) -> FuturesTaken:
    """Which futures fit; what was not tried stays open."""
    fits: dict[str, bool | None] = {one.name: None for one in futures}
    for room in rooms:
        fits[room.name] = bool(room.fits) if room.fits or room.counted else None
    return futures_taken(futures, fits)
