"""What a supply has to carry: under load, while disks start, while accelerators peak."""

from __future__ import annotations

from collections.abc import Iterable, Iterator, Mapping
from math import inf
from typing import Any

from slotfit.model.machine import PowerSupply
from slotfit.model.part import PartSpec
from slotfit.model.problem import Machine, Part, Problem
from slotfit.standards.forms import POWER_SOCKETS
from slotfit.standards.power import PLUGS
from tests.oracle.alone import fits_socket

SHORT = ("start", "peak")
LOW_LINE_V = 127
"""A wall of 100 to 127 V, or one of 200 to 240 V (common practice, no source)."""
SPIN_UP_W = 30
"""A 3.5-inch disk at start: 2.2 A at 12 V, 0.8 A at 5 V (disk data sheets, as quoted)."""


def figure(spec: PartSpec, moment: str) -> float | None:
    """What its description says of a short moment."""
    return getattr(spec.power, f"{moment}_w", None) if moment in SHORT else None


def draws(spec: PartSpec, moment: str = "work") -> float:
    """Watts that somebody has said."""
    told = figure(spec, moment)
    if told is not None:
        return told
    return (spec.power.slot_w or 0) + (spec.power.aux_w or 0) if spec.power else 0


def is_open(spec: PartSpec, moment: str) -> bool:
    """A spinning disk or a large accelerator of which nobody has said what it takes then."""
    if moment == "work" or figure(spec, moment) is not None:
        return False
    if moment == "start":
        return (spec.part_class, spec.bay) == ("drive", "3.5")
    return spec.part_class == "accelerator" and spec.power is not None and spec.power.aux != ()


def at_most(spec: PartSpec, moment: str) -> float:
    """The same, with the usual most where it is open."""
    known = draws(spec, moment)
    if not is_open(spec, moment):
        return known
    return max(known, SPIN_UP_W) if moment == "start" else 2 * known


class Meter:
    """What one machine draws with some parts in it."""

    def __init__(self, machine: Machine) -> None:
        entry = machine.entry
        self.reading = entry.measured.load_w if entry.measured else None
        self.inside = machine.inside if self.reading is not None else {}
        figures = sum(draws(spec) for spec in self.inside.values())
        self.bare = (
            entry.base_w
            if self.reading is None
            else max(self.reading - figures, self.at_rest(machine))
        )
        # A part that was in takes its share of what was read, whatever its description says.
        self.share = 1.0
        if figures and self.reading is not None and self.bare is not None:
            self.share = min(1.0, (self.reading - self.bare) / figures)

    def at_rest(self, machine: Machine) -> float:
        """What the machine alone drew at rest, as far as that follows; it draws no less at work."""
        entry, at_rest = machine.entry, 0.0
        if not entry.measured or entry.measured.idle_w is None:
            return 0
        for spec in machine.inside.values():
            passes = any(one.form != "cooling-mount" for one in spec.receptacles)
            wires = spec.wiring == "passive" and (passes or spec.part_class == "cable")
            power = spec.power
            plugs_said = power is not None and (power.aux_w is not None or not power.aux)
            nothing = power is not None and power.slot_w is not None and plugs_said
            if wires or (nothing and not draws(spec)):
                continue
            if power is None or power.idle_w is None:
                return 0
            at_rest += power.idle_w
        return min(max(entry.measured.idle_w - at_rest, 0), entry.measured.load_w or inf)

    def mw(self, parts: Iterable[tuple[str, float, float]]) -> int:
        """With these: each name with its watts at work, and in the moment asked about."""
        total = round((self.bare or 0) * 1000)
        for name, work, moment in parts:
            unread = work * (1 - self.share) if name in self.inside else 0
            total += round((moment - unread) * 1000)
        return total


def given(machine: Machine) -> float | None:
    """Watts for long, of all supplies that are needed."""
    supply, volts = machine.power_supply, machine.entry.input_v
    if supply is None:
        return None
    one = supply.watts
    if volts is not None and volts <= LOW_LINE_V and supply.low_line_w is not None:
        one = supply.low_line_w
    return one * count(machine)


def count(machine: Machine) -> int:
    return machine.entry.supplies.needed if machine.entry.supplies else 1


def given_for(machine: Machine, moment: str) -> float | None:
    """Watts for a short moment, if anybody has said; those of the label are for 200 V and more."""
    volts = machine.entry.input_v
    one = getattr(machine.power_supply, f"{moment}_w", None)
    if one is None or (volts is not None and volts <= LOW_LINE_V):
        return None
    return float(one) * count(machine)


def today_in(problem: Problem, part: str) -> str | None:
    """The machine that it is in today."""
    seen: set[str] = set()
    while part not in seen:
        seen.add(part)
        here = problem.receptacle.get(problem.today.get(part, ""))
        if here is None:
            return None
        if here.on_board:
            return here.owner
        part = here.owner
    return None


def visitors(problem: Problem, machine: Machine) -> Iterator[Part]:
    """All that may be in the machine at some time."""
    for part in problem.parts:
        leaves = part.id in problem.retire or part.companion_of in problem.retire
        pin = problem.receptacle.get(part.wish.pin or "")
        away = part.wish.machine not in (None, machine.id) or (
            pin is not None and pin.on_board and pin.owner != machine.id
        )
        if today_in(problem, part.id) == machine.id or not (leaves or away):
            yield part


def at_worst_mw(problem: Problem, machine: Machine, moment: str) -> int:
    """With every part that may be there, each taking what its kind takes at most."""
    parts = visitors(problem, machine)
    return Meter(machine).mw((p.id, draws(p.spec), at_most(p.spec, moment)) for p in parts)


def unknown(part: Part, problem: Problem, machine: Machine) -> Iterator[tuple[object, ...]]:
    """What a part's watts hang on that nobody has said."""
    supply, limit, spec = machine.power_supply, given(machine), part.spec
    if supply is None or limit is None:
        return
    for moment in SHORT:
        if peak_is_open(part, problem, machine, moment):
            yield (moment, machine.id)
    yield from cables_open(part, problem, machine)
    if draws(spec):
        yield from volts_open(problem, machine, supply)
        yield from relief(problem, machine, limit * machine.entry.supply_limit_percent / 100)
    label = supply.rails_w
    if rail_watts(spec) and label != {}:
        most = sum(rail_watts(one.spec) for one in visitors(problem, machine))
        least = 100 if label is None else min(label.values())
        if most > least * count(machine) and label is None:
            yield ("label", machine.id, supply.id)
        elif most > least * count(machine) and rails_open(spec):
            yield ("rails", spec.id, supply.id)


def cables_open(part: Part, problem: Problem, machine: Machine) -> Iterator[tuple[object, ...]]:
    """Two plugs for cards on one cable, as far as anyone knows, and more than one of them bears."""
    supply = machine.power_supply
    if supply is None or supply.plugs is None or supply.cables is not None:
        return
    for plug in ("pcie-6", "pcie-8", "eps-8"):
        every = sum(through(one.spec, plug, supply.plugs) for one in visitors(problem, machine))
        if through(part.spec, plug, supply.plugs) and every > PLUGS[plug].power_w + 0.001:
            yield ("cables", machine.id)
            return


def through(spec: PartSpec, plug: str, have: Mapping[Any, int]) -> float:
    """Watts that may come through such plugs of a supply's own."""
    power = spec.power
    if power is None or not power.aux_w or spec.plug.form in POWER_SOCKETS or not have.get(plug):
        return 0
    most = sum(PLUGS[one].power_w for one in power.aux)
    mine = sum(PLUGS[one].power_w for one in power.aux if fits_socket(plug, one))
    return power.aux_w * mine / most


def volts_open(
    problem: Problem, machine: Machine, supply: PowerSupply
) -> Iterator[tuple[object, ...]]:
    """A supply of which nobody knows what it gives at this wall."""
    volts, low = machine.entry.input_v, supply.low_line_w
    if volts is not None and (volts > LOW_LINE_V or low is not None):
        return
    sure = min(supply.watts, 1000) if low is None else low
    relied = ["work", *(one for one in SHORT if given_for(machine, one) is not None)]
    if machine.entry.staggered_start is True and "start" in relied:
        relied.remove("start")
    worst = max(at_worst_mw(problem, machine, one) for one in relied) / 1000
    percent = machine.entry.supply_limit_percent / 100
    if sure < supply.watts and worst > sure * count(machine) * percent:
        yield ("volts" if volts is None else "watts at these volts", machine.id)


def peak_is_open(part: Part, problem: Problem, machine: Machine, moment: str) -> bool:
    """A part with a peak, where all peaks together may be more than the supply gives."""
    if at_most(part.spec, moment) <= draws(part.spec):
        return False
    staggered = machine.entry.staggered_start if moment == "start" else False
    if staggered is True:
        return False
    promised = given_for(machine, moment)
    enough = given(machine) if promised is None else promised
    if at_worst_mw(problem, machine, moment) <= round((enough or 0) * 1000):
        return False
    return promised is None or is_open(part.spec, moment) or staggered is None


def relief(problem: Problem, machine: Machine, limit: float) -> Iterator[tuple[object, ...]]:
    """Room that is only there because something comes out that was measured with."""
    meter = Meter(machine)
    if meter.reading is None or not any(may_go(problem, one, machine) for one in meter.inside):
        return
    new = [part for part in visitors(problem, machine) if part.id not in meter.inside]
    if round(meter.reading * 1000) + sum(round(draws(p.spec) * 1000) for p in new) > round(
        limit * 1000
    ):
        yield ("relief", machine.id)


def may_go(problem: Problem, name: str, machine: Machine) -> bool:
    """A part that was in may be elsewhere in the end."""
    part = next((one for one in problem.parts if one.id == name), None)
    if part is None or name in problem.retire or part.companion_of in problem.retire:
        return True
    bound = len(problem.machines) == 1 or part.wish.machine == machine.id
    return not part.wish.required or not bound


def rails_open(spec: PartSpec) -> bool:
    """Its plugs have 5 V, and nobody has said what it takes there."""
    power = spec.power
    if power is None or power.rails_w is not None or power.aux_w == 0:
        return False
    return "sata-power" in power.aux or "molex-4" in power.aux


def rail_watts(spec: PartSpec) -> float:
    """What it may take from smaller rails."""
    if spec.power is None:
        return 0
    if rails_open(spec):
        all_of_it = inf if spec.power.aux_w is None else spec.power.aux_w
        spins = (spec.part_class, spec.bay) == ("drive", "3.5")
        return min(4, all_of_it) if spins else all_of_it
    return sum((spec.power.rails_w or {}).values())


def overdrawn(parts: Iterable[Part], machine: Machine) -> Iterator[str]:
    """What the parts of a plan ask of the supply and do not get."""
    limit, there, meter = given(machine), list(parts), Meter(machine)
    if limit is None or machine.power_supply is None:
        return

    def drawn(moment: str) -> int:
        return meter.mw((p.id, draws(p.spec), draws(p.spec, moment)) for p in there)

    if drawn("work") > round(limit * machine.entry.supply_limit_percent * 10):
        yield "supply watts"
    for moment in SHORT:
        promised = given_for(machine, moment)
        comes = moment == "peak" or machine.entry.staggered_start is False
        if promised is not None and comes and drawn(moment) > round(promised * 1000):
            yield f"supply {moment}"
    for rail, watts in (machine.power_supply.rails_w or {}).items():
        rails = [(p.spec.power.rails_w if p.spec.power else None) or {} for p in there]
        taken = sum(w for told in rails for name, w in told.items() if name in rail.split("+"))
        if round(taken * 1000) > round(watts * count(machine) * 1000):
            yield "supply rails"
