"""A slot's connector, filled to the lanes that are wired, given and in use."""

from __future__ import annotations

from collections.abc import Iterator
from itertools import groupby

from slotfit.render.layout_view import ReceptacleView
from slotfit.render.palette import BODY, CARD, INK, LINE, PAPER, WARN
from slotfit.render.stands import Stand
from slotfit.render.svg import Pen
from slotfit.render.view import SeatView
from slotfit.standards.cem import CONNECTORS

BAR_MM = 8.0
"""Height of the drawn connector, a little more than life so that its lanes can be told."""
POWER_MM = 14.0
"""The contacts before the key, which bring power; about, from memory."""

Run = tuple[str, int, int]
"""State, first lane, lanes."""


def housing_mm(receptacle: ReceptacleView) -> float:
    """Length of the connector; of the widest one if nobody has said."""
    width = receptacle.width if receptacle.width in CONNECTORS else 16
    return CONNECTORS[width or 16].housing_mm


def lane_states(receptacle: ReceptacleView, seat: SeatView | None) -> list[str]:
    """For each lane of the connector: used | given | elsewhere | unwired | unknown."""
    width, wired = receptacle.width or 16, receptacle.wired
    given = {n for start, lanes, _ in receptacle.segments for n in range(start, start + lanes)}
    used = {
        n for link in (seat.links if seat else ()) for n in range(link.at, link.at + link.lanes)
    }
    states = []
    for lane in range(width):
        if lane in used:
            states.append("used")
        elif not receptacle.lanes_known:
            states.append("unknown")
        elif lane in given:
            states.append("given")
        else:
            states.append("elsewhere" if lane < (wired or 0) else "unwired")
    return states


def runs_of(receptacle: ReceptacleView, states: list[str]) -> Iterator[Run]:
    """Neighbouring lanes of one state, broken where a segment begins."""
    starts = {start for start, _, _ in receptacle.segments}

    def key(lane: int) -> tuple[str, int]:
        return states[lane], max((start for start in starts if start <= lane), default=-1)

    for (state, _), lanes in groupby(range(len(states)), key):
        every = list(lanes)
        yield state, every[0], len(every)


FILLS = {
    "used": INK.light,
    "given": CARD.light,
    "elsewhere": "url(#{}elsewhere)",
    "unwired": BODY.light,
    "unknown": "url(#{}unknown)",
}


def connector(
    stand: Stand,
    prefix: str,
    receptacle: ReceptacleView,
    seat: SeatView | None,
    at: tuple[float, float],
) -> Iterator[str]:
    """The connector with its middle at (along, across)."""
    along, middle = at
    across, length = middle - BAR_MM / 2, housing_mm(receptacle)
    states = lane_states(receptacle, seat)
    pitch = (length - POWER_MM) / len(states)
    yield stand.box(
        along, across, length, BAR_MM, fill=BODY.light, stroke=INK.light, stroke_width=0.7
    )
    powered = receptacle.state not in ("unpowered", "not known")
    yield stand.box(
        along + 1.2,
        across + 1.4,
        POWER_MM - 3.6,
        BAR_MM - 2.8,
        fill=(LINE.light if seat else CARD.light) if powered else "none",
        stroke=LINE.light if powered else WARN.light,
        stroke_width=0.6,
    )
    for state, first, lanes in runs_of(receptacle, states):
        start, deep = along + POWER_MM + first * pitch, lanes * pitch
        yield stand.box(
            start,
            across + 0.9,
            deep - 0.7,
            BAR_MM - 1.8,
            fill=FILLS[state].format(prefix),
            stroke=LINE.light if state == "unwired" else INK.light,
            stroke_width=0.5,
            stroke_dasharray="1 1" if state == "unwired" else None,
        )
        if state in ("used", "given") and deep >= 9:
            tone = PAPER if state == "used" else INK
            pen = Pen(5.6, tone, bold=True, anchor="middle")
            yield stand.write(start + deep / 2 - 0.3, middle + 2, f"x{lanes}", pen)
    if receptacle.open_end:
        yield stand.line(
            (along + length, across + 0.6),
            (along + length, across + BAR_MM - 0.6),
            stroke=PAPER.light,
            stroke_width=1.4,
        )
