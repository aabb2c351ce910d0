"""Which other part does the same job, and how unlike two parts are."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from slotfit.answers.catalog.plausible import implausible, implausible_board
from slotfit.load.catalog import Catalog, forms_in, text_in
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import Demand, PartSpec
from slotfit.model.units import all_milliwatts
from slotfit.standards.forms import WITHOUT_LANES

CLASS_LINE = re.compile(rb"^class:[ \t]*[\"']?([a-z-]+)", re.MULTILINE)


@dataclass(frozen=True)
class Shop:
    """The catalog, as a shop."""

    catalog: Catalog

    def parts(self, *classes: str) -> tuple[PartSpec, ...]:
        """Every part of these classes that can be read, by id; other files are not parsed."""
        names = [name for one in classes for name in self.by_class.get(one, ())]
        found = (self.catalog.look_up(name, PartSpec) for name in sorted(names))
        return tuple(one.entity for one in found if one.entity and self.is_likely(one.entity))

    @cached_property
    def likely(self) -> dict[str, bool]:
        """Id -> whether its figures can be, as far as anybody asked."""
        return {}

    def is_likely(self, thing: PartSpec | Board) -> bool:
        """Whether its figures can be: what lint takes for a slip of the pen is not proposed."""
        if thing.id not in self.likely:
            odd = (
                implausible(thing, "")
                if isinstance(thing, PartSpec)
                else implausible_board(thing, "")
            )
            self.likely[thing.id] = next(odd, None) is None
        return self.likely[thing.id]

    @cached_property
    def by_class(self) -> dict[str, list[str]]:
        """Class -> ids, from each file's own `class:` line."""
        found: dict[str, list[str]] = {}
        for name in self.catalog.ids(PartSpec):
            line = CLASS_LINE.search(text_in(self.catalog.path(name)))
            if line:
                found.setdefault(line.group(1).decode("ascii"), []).append(name)
        return found

    def boards(self, enough: Callable[[Counter[str]], bool]) -> Iterator[Board]:
        """Boards by id whose files name forms of receptacles `enough`; others are not parsed."""
        for name in self.catalog.ids(Board):
            if enough(forms_in(text_in(self.catalog.path(name)))):
                board = self.catalog.look_up(name, Board).entity
                if board and self.is_likely(board):
                    yield board

    @cached_property
    def chassis(self) -> tuple[Chassis, ...]:
        """Every chassis, by id."""
        return tuple(one.entity for one in self.catalog.every(Chassis) if one.entity)

    @cached_property
    def supplies(self) -> tuple[PowerSupply, ...]:
        """Every power supply, by id."""
        return tuple(one.entity for one in self.catalog.every(PowerSupply) if one.entity)


NEARLY = 0.1
"""Demands and watts this much apart, as a share, count as the same; common practice, no source."""

ALIKE_W = 0.25
"""Accelerators this much apart in watts may do the same work; common practice, no source."""


def close(one: float, other: float, share: float) -> bool:
    """Whether two figures are within a share of the greater."""
    return abs(one - other) <= share * max(one, other)


def ways(demand: Demand | None) -> tuple[float, float]:
    """Demand in and out, in GB/s; 0 where nobody has said."""
    return (demand.in_gb_s, demand.out_gb_s) if demand else (0.0, 0.0)


def same_demand(old: PartSpec, new: PartSpec) -> bool:
    """Moves as much, both ways."""
    pairs = zip(ways(old.demand), ways(new.demand), strict=True)
    return all(close(one, other, NEARLY) for one, other in pairs)


def sockets(part: PartSpec) -> Counter[tuple[str, str]]:
    """Its own receptacles for parts, by form and bus."""
    return Counter((one.form, one.bus) for one in part.receptacles if one.form not in WITHOUT_LANES)


def same_sockets(old: PartSpec, new: PartSpec) -> bool:
    """At least as many of each."""
    return sockets(new) >= sockets(old)


def same_work(old: PartSpec, new: PartSpec) -> bool:
    """About as many watts."""
    return close(all_milliwatts(old.power), all_milliwatts(new.power), ALIKE_W)


def as_much_air(old: PartSpec, new: PartSpec) -> bool:
    """Moves as much air, in LFM, or more."""
    return (new.gives_airflow_lfm or 0) >= (old.gives_airflow_lfm or 0)


Test = Callable[[PartSpec, PartSpec], bool]

JOBS: dict[str, tuple[Test, ...]] = {
    "network-card": (same_demand, same_sockets),
    "host-bus-adapter": (same_sockets,),
    "sas-expander": (same_sockets,),
    "carrier": (same_sockets,),
    "accelerator": (same_work,),
    "drive": (same_demand,),
    "air-mover": (as_much_air,),
}
"""Class -> what must be alike; of other classes a description does not tell what the job is."""


def does_same_job(old: PartSpec, new: PartSpec) -> bool:
    """Whether `new` can stand in for `old`, as far as their descriptions tell."""
    tests = JOBS.get(old.part_class)
    if tests is None or new.part_class != old.part_class or new.id == old.id:
        return False
    return all(test(old, new) for test in tests)


def plugged_otherwise(old: PartSpec, new: PartSpec) -> bool:
    """Into another form of receptacle."""
    return new.plug.form != old.plug.form


def layout(part: PartSpec) -> object:
    """Where its links begin, how wide they are, and whether it has a switch of its own."""
    return ([(link.at, link.lanes, link.bus) for link in part.links], part.wiring)


def distance(old: PartSpec, new: PartSpec) -> tuple[float, ...]:
    """How unlike two parts are: other form first, then size, demand and watts."""
    demands = zip(ways(old.demand), ways(new.demand), strict=True)
    return (
        float(plugged_otherwise(old, new)),
        float(sum((sockets(new) - sockets(old)).values())),
        sum(abs(one - other) for one, other in demands),
        float(abs(all_lanes(new) - all_lanes(old))),
        float(abs((new.generation or 0) - (old.generation or 0))),
        float(abs(all_milliwatts(old.power) - all_milliwatts(new.power))),
    )


def all_lanes(part: PartSpec) -> int:
    """Lanes of all its links."""
    return sum(link.lanes for link in part.links)


def make(part: PartSpec) -> object:
    """What tells kinds of part apart: of each make the nearest is enough to try."""
    aux = tuple(sorted(part.power.aux)) if part.power else ()
    plug = (part.plug.form, part.plug.width)
    return (plug, str(layout(part)), part.thickness, part.bracket, part.cooling, aux)
