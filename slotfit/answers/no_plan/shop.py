"""Which other part does the same job, and which would get around a given reason."""

from __future__ import annotations

import re
from collections import Counter
from collections.abc import Callable, Iterator
from dataclasses import dataclass
from functools import cached_property

from slotfit.load.catalog import Catalog, forms_in, text_in
from slotfit.model.board import Board
from slotfit.model.machine import Chassis, PowerSupply
from slotfit.model.part import Demand, PartSpec
from slotfit.model.units import all_milliwatts

CLASS_LINE = re.compile(rb"^class:[ \t]*[\"']?([a-z-]+)", re.MULTILINE)


@dataclass(frozen=True)
class Shop:
    """The catalog, as a shop."""

    catalog: Catalog

    def parts(self, *classes: str) -> tuple[PartSpec, ...]:
        """Every part of these classes that can be read, by id; other files are not parsed."""
        names = [name for one in classes for name in self.by_class.get(one, ())]
        found = (self.catalog.look_up(name, PartSpec) for name in sorted(names))
        return tuple(one.entity for one in found if one.entity)

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
                if board:
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
    return Counter(
        (one.form, one.bus)
        for one in part.receptacles
        if one.form not in ("cooling-mount", "opening")
    )


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


def less(new: float | None, old: float | None) -> bool:
    """Whether both figures are known and the new one is less: what nobody has said is no gain."""
    return new is not None and old is not None and new < old


def smaller_plug(old: PartSpec, new: PartSpec) -> bool:
    """A shorter edge connector, or another form."""
    return plugged_otherwise(old, new) or less(new.plug.width, old.plug.width)


def thinner(old: PartSpec, new: PartSpec) -> bool:
    """Covers fewer slots, or another form of receptacle."""
    return plugged_otherwise(old, new) or less(new.thickness, old.thickness)


def shorter(old: PartSpec, new: PartSpec) -> bool:
    """Known to be shorter."""
    return less(new.length_mm, old.length_mm)


def of_other_length(old: PartSpec, new: PartSpec) -> bool:
    """Of another length, as M.2 modules are."""
    return new.length_mm != old.length_mm


def lower(old: PartSpec, new: PartSpec) -> bool:
    """Known to be less high."""
    return less(new.height_mm, old.height_mm)


def other_bracket(old: PartSpec, new: PartSpec) -> bool:
    """With another bracket."""
    return new.bracket != old.bracket


def layout(part: PartSpec) -> object:
    """Where its links begin, how wide they are, and whether it has a switch of its own."""
    return ([(link.at, link.lanes, link.bus) for link in part.links], part.wiring)


def divided_otherwise(old: PartSpec, new: PartSpec) -> bool:
    """With other links, a switch of its own, or another form."""
    return plugged_otherwise(old, new) or layout(old) != layout(new)


def narrower(old: PartSpec, new: PartSpec) -> bool:
    """Content with fewer lanes."""
    return divided_otherwise(old, new) or (new.min_lanes or 0) < (old.min_lanes or 0)


def faster(old: PartSpec, new: PartSpec) -> bool:
    """Of a later generation, or content with an earlier one."""
    later = (new.generation or 0) > (old.generation or 0)
    return later or (new.min_generation or 0) < (old.min_generation or 0)


def less_from_slot(old: PartSpec, new: PartSpec) -> bool:
    """Fewer watts from the receptacle."""
    return less(slot_w(new), slot_w(old))


def slot_w(part: PartSpec) -> float | None:
    """Watts from its receptacle; None if nobody has said."""
    return part.power.slot_w if part.power else None


def less_power(old: PartSpec, new: PartSpec) -> bool:
    """Fewer watts in all; what the old part draws counts as far as anyone has said."""
    return less(total_w(new), old.draw_w)


def total_w(part: PartSpec) -> float | None:
    """Watts from its receptacle and through all its plugs; None if nobody has said."""
    power = part.power
    if power is None or power.slot_w is None or (power.aux and power.aux_w is None):
        return None
    return power.slot_w + (power.aux_w or 0)


def other_plugs(old: PartSpec, new: PartSpec) -> bool:
    """Fewer of some power plug."""
    here = Counter(old.power.aux if old.power else ())
    there = Counter(new.power.aux if new.power else ())
    return any(there[plug] < number for plug, number in here.items())


def less_air(old: PartSpec, new: PartSpec) -> bool:
    """Cools itself, or needs less air."""
    return new.cooling not in ("passive", None) or less(new.airflow_lfm, old.airflow_lfm)


def longer_cable(old: PartSpec, new: PartSpec) -> bool:
    """Reaches further."""
    return (new.reach_mm or 0) > (old.reach_mm or 0)


RELIEVES: dict[str, Test] = {
    "CAB001": longer_cable,
    "COOL002": less_air,
    "COOL003": shorter,
    "CPU001": plugged_otherwise,
    "FIT002": smaller_plug,
    "FIT003": plugged_otherwise,
    "FIT004": thinner,
    "FIT005": thinner,
    "FIT006": shorter,
    "FIT007": lower,
    "FIT008": other_bracket,
    "FIT009": smaller_plug,
    "FIT010": of_other_length,
    "FIT012": plugged_otherwise,
    "ISO002": divided_otherwise,
    "LANE001": divided_otherwise,
    "LANE002": divided_otherwise,
    "LANE003": narrower,
    "LANE004": faster,
    "LANE005": divided_otherwise,
    "POW001": less_from_slot,
    "POW002": less_from_slot,
    "POW003": less_power,
    "POW004": other_plugs,
    "POW005": plugged_otherwise,
    "WISH004": plugged_otherwise,
    "WISH007": plugged_otherwise,
}
"""Rule -> what another part must have for the rule's reason to be worth asking again."""


def relieves(rule: str, old: PartSpec, new: PartSpec) -> bool:
    """Whether another part may get around a reason of this rule."""
    test = RELIEVES.get(rule)
    return test is not None and test(old, new)


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
