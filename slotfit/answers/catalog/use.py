"""Which parts of a catalog sit somewhere in machines made of it, and which machines take none."""

from __future__ import annotations

import json
from collections.abc import Collection, Iterator, Sequence
from dataclasses import dataclass, replace
from itertools import product

from slotfit.engine.seats import DEEPEST, seat_all
from slotfit.listing import natural
from slotfit.load.build_file import load_build_text
from slotfit.load.catalog import Catalog
from slotfit.model.board import Board
from slotfit.model.machine import Chassis
from slotfit.model.part import PartSpec
from slotfit.rulebook import SEAT_RULES, against_machine
from slotfit.solve.place import Progress
from slotfit.standards.cages import CAGES, goes_into
from slotfit.standards.forms import POWER_SOCKETS, plug_fits


@dataclass(frozen=True, slots=True)
class TrialMachine:
    """Where a part can sit: a machine, and what it sits on there, the board's part first."""

    board: str
    chassis: str
    under: tuple[str, ...] = ()


def machines(boards: Sequence[Board], chassis: Sequence[Chassis]) -> list[TrialMachine]:
    """Each chassis with each board of one of its sizes."""
    return [
        TrialMachine(board.id, case.id)
        for board, case in product(boards, chassis)
        if case.sizes is None or board.size is None or board.size in case.sizes
    ]


def seated(catalog: Catalog, home: TrialMachine, parts: Sequence[PartSpec]) -> set[str]:
    """Those of the parts that have a seat there, each held by itself, and room for the board."""
    machine = {"id": "m", "board": home.board, "chassis": home.chassis}
    names = dict(enumerate((*home.under, *(part.id for part in parts))))
    entries = [{"id": f"part-{number}", "part": name} for number, name in names.items()]
    text = json.dumps({"kind": "build", "id": "use", "machines": [machine], "parts": entries})
    problem = load_build_text(text, catalog)
    if any(against_machine(problem.machines[0])):
        return set()
    under = {f"part-{number}" for number in range(len(home.under))}
    there = tuple(one for one in problem.receptacles if one.on_board or one.owner in under)
    forms = {one.spec.form for one in there}
    fits = tuple(
        part
        for part in problem.parts
        if part.id in under or any(plug_fits(part.spec.plug.form, form) for form in forms)
    )
    by_part = seat_all(replace(problem, parts=fits, receptacles=there), SEAT_RULES).by_part
    bodies = (name for name in by_part if problem.part[name].body == name and name not in under)
    return {names[int(name.removeprefix("part-"))] for name in bodies}


def unused(
    catalog: Catalog,
    parts: Sequence[PartSpec],
    boards: Sequence[Board],
    chassis: Sequence[Chassis],
    progress: Progress,
) -> list[str]:
    """Parts that have a seat nowhere: on no board, nor on a part that has a seat itself."""
    cages = {port.cage for one in parts for port in one.port.values() if port.cage}
    left = {part.id: part for part in parts if not goes_into_some(part.plug.form, cages)}
    homes: dict[str, TrialMachine] = {}
    every = machines(boards, chassis)
    for number, home in enumerate(every):
        progress("parts on boards", number, len(every))
        for name in seated(catalog, home, [*left.values()]):
            homes[name] = home
            del left[name]
    by_id = {part.id: part for part in parts}
    holders = [*homes]
    for number, name in enumerate(holders):  # grows: what has found a seat may hold others
        progress("parts on parts", number, len(holders))
        holder, home = by_id[name], homes[name]
        on_it = [part for part in left.values() if may_hold(holder, part)]
        if not on_it or len(home.under) >= DEEPEST:
            continue
        below = replace(home, under=(*home.under, name))
        for found in sorted(seated(catalog, below, on_it)):
            homes[found] = below
            holders.append(found)
            del left[found]
    return sorted(left, key=natural)


def may_hold(holder: PartSpec, part: PartSpec) -> bool:
    """Whether the plug goes into some receptacle of the holder."""
    aux = holder.power.aux if holder.power else ()
    powered = (form for form in aux if form in POWER_SOCKETS)
    sockets = (*(one.form for one in holder.receptacles), *powered)
    return any(plug_fits(part.plug.form, form) for form in sockets)


def goes_into_some(plug: str, cages: Collection[str]) -> bool:
    """Whether it is the plug of a module or cable for one of these cages."""
    return plug in CAGES and any(goes_into(plug, cage) for cage in cages)


FIRST = 6
"""So many small cards are tried before all of them."""


def roomless(
    catalog: Catalog,
    parts: Sequence[PartSpec],
    boards: Sequence[Board],
    chassis: Sequence[Chassis],
    progress: Progress,
) -> Iterator[tuple[str, str]]:
    """Chassis with boards of their sizes, where no card has a seat, straight or on a riser."""
    slots = [board for board in boards if any(one.form == "cem" for one in board.receptacles)]
    cards = sorted((part for part in parts if part.is_card), key=bulk)
    risers = [part for part in parts if part.part_class == "riser"]
    every = machines(slots, chassis)
    for number, home in enumerate(every):
        progress("room in chassis", number, len(every))
        if not takes_a_card(catalog, home, cards, risers):
            yield home.chassis, home.board


def bulk(part: PartSpec) -> tuple[float, ...]:
    """Small cards first; of those of which nobody has said it, none is small."""
    sizes = (part.thickness, part.height_mm, part.length_mm)
    return tuple(float("inf") if size is None else size for size in sizes)


def takes_a_card(
    catalog: Catalog, home: TrialMachine, cards: Sequence[PartSpec], risers: Sequence[PartSpec]
) -> bool:
    """Whether some card has a seat in the machine, or on a riser that has one."""
    if seated(catalog, home, cards[:FIRST]):
        return True
    on = (replace(home, under=(name,)) for name in sorted(seated(catalog, home, risers)))
    return any(seated(catalog, one, cards[:FIRST]) for one in on) or bool(
        seated(catalog, home, cards[FIRST:])
    )
