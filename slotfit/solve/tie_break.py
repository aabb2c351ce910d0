"""One plan out of many equally good ones, always the same."""

from __future__ import annotations

from slotfit.model.clause import arrangement
from slotfit.natural_order import by_name
from slotfit.solve.engine import Term
from slotfit.solve.frame import Frame
from slotfit.solve.steps import Step, pack

COUNTS_TO = 10**8
"""How far one objective counts at most; a larger one has the solver compare too finely."""


def tie_break(frame: Frame) -> list[Step]:
    """What makes one plan of many equal ones, most important first."""
    sums = [fewest_settings(frame), *ranks(frame), *ways(frame)]
    return pack(frame.model, (("tie-break", terms) for terms in sums if terms), COUNTS_TO)


def fewest_settings(frame: Frame) -> list[Term]:
    """Arrangements other than the board's own first one, later ones dearer."""
    return [term for terms in ways(frame) for term in terms]


def ways(frame: Frame) -> list[list[Term]]:
    """Lane groups in the order of their names, each arranged as early in its list as can be."""
    groups = {
        f"{rig.id}/{group.id}": [str(way.id) for way in group.arrangements]
        for rig in frame.problem.rigs
        for group in rig.board.lane_groups
    }
    return [
        [(v, n) for n, way in enumerate(groups[name]) if n and (v := atom(frame, name, way))]
        for name in sorted(groups, key=by_name)
    ]


def atom(frame: Frame, group: str, way: str) -> int:
    """The variable of an arrangement."""
    return frame.x[arrangement(group, way)] or 0


def ranks(frame: Frame) -> list[list[Term]]:
    """Parts in the order of their names, each to the first receptacle it can have."""
    places: dict[str, dict[str, list[int]]] = {}
    for seat in frame.seats:
        places.setdefault(seat.item, {}).setdefault(seat.site, []).append(frame.var(seat))
    return [ranked(places[item]) for item in sorted(places, key=by_name)]


def ranked(sites: dict[str, list[int]]) -> list[Term]:
    """How far down the list of its receptacles a part sits; no seat is further than the last."""
    order = sorted(sites, key=by_name)
    return [
        (variable, number - len(order))
        for number, site in enumerate(order)
        for variable in sites[site]
    ]
