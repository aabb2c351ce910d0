"""The whole question: the plan, each addition beside it, and the likely futures."""

from __future__ import annotations

from collections.abc import Iterator, Sequence

from slotfit import api
from slotfit.choose.futures import Outlook, outlook_of
from slotfit.choose.headroom import Tell, held, room_for
from slotfit.choose.probes import Probe
from slotfit.choose.room_view import room_view
from slotfit.choose.stop import Stop
from slotfit.model.placed import Placed
from slotfit.model.plan import Answer
from slotfit.model.problem import Problem
from slotfit.model.status import Status
from slotfit.render.compare.headroom_view import HeadroomView, RoomView
from slotfit.render.compare.view import OutlookView
from slotfit.render.stage_words import HEADLINES, headline
from slotfit.render.view import SCHEMA_VERSION


def headroom_of(
    problem: Problem,
    probes: Sequence[Probe],
    outlooks: Sequence[Outlook],
    seconds: float,
    tell: Tell,
    stop: Stop,
) -> HeadroomView:
    """
    What could still be added; without a plan nothing is tried.

    At most so many seconds for the plan and for each addition. Once `stop` is asked for, the rest
    is said not to have been tried.
    """
    every = [*probes, *(one.probe for one in outlooks)]
    answer = Answer(Status.UNKNOWN, None, 0.0)
    found: list[RoomView] = []
    try:
        placed = api.place(problem, seconds, tell)
        answer = placed.answer
        for room in rooms(placed, every, seconds, tell, stop):
            found.append(room)  # noqa: PERF402 - what came before an interrupt is kept
    except KeyboardInterrupt:
        stop.asked = True
    plan = answer.plan
    return HeadroomView(
        schema_version=SCHEMA_VERSION,
        build=problem.id,
        title=problem.name or problem.id,
        status=answer.status.value,
        headline=headline(answer.status, plan) if plan else HEADLINES[answer.status],
        rooms=tuple(found),
        outlook=futures(outlooks, found[len(probes) :]) if outlooks and plan else None,
        untried=tuple(probe.name for probe in every[len(found) :]) if plan else (),
    )


def rooms(
    placed: Placed, probes: Sequence[Probe], seconds: float, tell: Tell, stop: Stop
) -> Iterator[RoomView]:
    """Each addition on its own beside the plan, until there is no plan or no more is wanted."""
    there = None if stop.asked else held(placed, seconds)
    for number, probe in enumerate(probes):
        if there is None or stop.asked:
            return
        tell(probe.name, number, len(probes))
        yield room_view(there, room_for(there, probe, seconds))


def futures(outlooks: Sequence[Outlook], found: Sequence[RoomView]) -> OutlookView:
    """Which futures fit; what was not tried stays open."""
    fits: dict[str, bool | None] = {one.name: None for one in outlooks}
    for room in found:
        fits[room.name] = bool(room.fits) if room.fits or room.counted else None
    return outlook_of(outlooks, fits)
