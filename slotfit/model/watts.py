"""What a machine's supply gives and what hangs on it: at work, at start, for a millisecond."""

from __future__ import annotations

from collections.abc import Iterable, Mapping
from dataclasses import dataclass, replace
from typing import TYPE_CHECKING, Literal, get_args

from slotfit.model.part import PartSpec
from slotfit.standards.power import LOW_LINE_V, PEAK_TIMES, SPIN_UP_W

if TYPE_CHECKING:
    from slotfit.model.problem import Machine, Part, Problem

Moment = Literal["work", "start", "peak"]
"""Under full load; for seconds, while disks start; for a millisecond, while accelerators peak."""
MOMENTS: tuple[Moment, ...] = get_args(Moment)


def said_w(spec: PartSpec, moment: Moment) -> float | None:
    """The part's own figure for a moment; None if its description has none."""
    power = spec.power
    if power is None or moment == "work":
        return None
    return power.start_w if moment == "start" else power.peak_w


def drawn_w(spec: PartSpec, moment: Moment) -> float:
    """What it draws at that moment, as far as anyone has said."""
    said = said_w(spec, moment)
    return spec.draw_w if said is None else said


def is_silent(spec: PartSpec, moment: Moment) -> bool:
    """Whether it is a thing that draws more at that moment, and nobody has said how much."""
    if moment == "work" or said_w(spec, moment) is not None:
        return False
    if moment == "start":
        return spec.part_class == "drive" and spec.bay == "3.5"
    return spec.part_class == "accelerator" and bool(spec.power and spec.power.aux)


def most_w(spec: PartSpec, moment: Moment) -> float:
    """The same, with what is usual at most of its class where nobody has said."""
    if not is_silent(spec, moment):
        return drawn_w(spec, moment)
    return max(spec.draw_w, SPIN_UP_W) if moment == "start" else spec.draw_w * PEAK_TIMES


def is_low_line(machine: Machine) -> bool | None:
    """Whether the wall has 100 to 127 V; None if nobody has said."""
    volts = machine.entry.input_v
    return None if volts is None else volts <= LOW_LINE_V


def continuous_w(machine: Machine) -> float | None:
    """What the supplies that must carry the load give, as far as is said; None without a supply."""
    supply = machine.power_supply
    if supply is None:
        return None
    low = supply.low_line_w if is_low_line(machine) else None
    return (supply.watts if low is None else low) * needed(machine)


def needed(machine: Machine) -> int:
    """How many supplies carry the load."""
    return machine.entry.supplies.needed if machine.entry.supplies else 1


def limit_w(machine: Machine) -> float | None:
    """Of its continuous watts what a plan may use."""
    watts = continuous_w(machine)
    return None if watts is None else watts * machine.entry.supply_limit_percent / 100


def short_w(machine: Machine, moment: Moment) -> float | None:
    """What is said to be given for that short moment; None if nothing is."""
    supply = machine.power_supply
    if supply is None or is_low_line(machine):
        return None
    said = supply.start_w if moment == "start" else supply.peak_w
    return None if said is None else said * needed(machine)


@dataclass(frozen=True, slots=True)
class Load:
    """What hangs on one machine's supply."""

    base_mw: int
    """The machine without its parts; 0 where nobody has said."""
    is_known: bool
    """Somebody has said or measured it."""
    measured: frozenset[str]
    """Parts that were in when it was measured under load."""
    share: float
    """Of the figures of those what was left for them in the watts measured."""
    most_mw: Mapping[Moment, int]
    """With every part in it that may come to be there."""
    unrelieved_mw: int
    """What was measured, and every other part, if nothing is saved by what comes out; 0 where
    nothing was measured, or none of what was in can come out."""

    def part_mw(self, part: Part, moment: Moment = "work") -> int:
        """What one part adds."""
        return self.added_mw(part, drawn_w(part.spec, moment))

    def added_mw(self, part: Part, watts: float) -> int:
        """The same for a figure of it: what was measured is no more than was measured."""
        saved = part.spec.draw_w * (1 - self.share) if part.id in self.measured else 0.0
        return round((watts - saved) * 1000)


def load_of(problem: Problem, machine: Machine) -> Load:
    """Measured watts first, else `base_w`."""
    said, base, share = machine.entry.measured, machine.entry.base_w, 1.0
    load_w = said.load_w if said else None
    inside = frozenset(machine.inside if load_w is not None else ())
    if load_w is not None:
        figures = sum(spec.draw_w for spec in machine.inside.values())
        base = max(load_w - figures, least_base_w(machine))
        share = min(1.0, (load_w - base) / figures) if figures else 1.0
    bare = Load(round((base or 0) * 1000), base is not None, inside, share, {}, 0)
    there = [part for part in problem.parts if may_be_in(problem, part, machine)]
    most = {moment: bare.base_mw + sum(most_mw(bare, there, moment)) for moment in MOMENTS}
    others = [part for part in there if part.id not in inside]
    unrelieved = round((load_w or 0) * 1000) + sum(most_mw(bare, others, "work"))
    leaving = any(may_leave(problem, name, machine) for name in inside)
    return replace(bare, most_mw=most, unrelieved_mw=unrelieved if leaving else 0)


def most_mw(load: Load, parts: Iterable[Part], moment: Moment) -> list[int]:
    """What each of them adds at most."""
    return [load.added_mw(part, most_w(part.spec, moment)) for part in parts]


def idle_w(spec: PartSpec) -> float | None:
    """What it draws at rest; None if nobody has said, and it is not known to draw nothing."""
    if spec.only_wires or (spec.is_draw_said and not spec.draw_w):
        return 0.0
    return spec.power.idle_w if spec.power else None


def least_base_w(machine: Machine) -> float:
    """At work the machine draws no less than at rest, and at rest its parts no more than said."""
    said = machine.entry.measured
    rest = [idle_w(spec) for spec in machine.inside.values()]
    known = [watts for watts in rest if watts is not None]
    if said is None or said.idle_w is None or len(known) < len(rest):
        return 0.0
    return min(max(0.0, said.idle_w - sum(known)), said.load_w or said.idle_w)


def may_be_in(problem: Problem, part: Part, machine: Machine) -> bool:
    """Whether a plan, or a stretch on the way to it, may have the part in the machine."""
    if home_today(problem, part.id) == machine.id:
        return True
    if {part.id, part.body} & {*problem.retire}:
        return False
    pin = problem.receptacle.get(part.wish.pin or "")
    elsewhere = pin is not None and pin.on_board and pin.owner != machine.id
    return part.wish.machine in (None, machine.id) and not elsewhere


def may_leave(problem: Problem, name: str, machine: Machine) -> bool:
    """Whether a plan may have the part elsewhere than in the machine."""
    part = problem.part.get(name)
    if part is None or {part.id, part.body} & {*problem.retire}:
        return True
    only_here = len(problem.machines) == 1 or part.wish.machine == machine.id
    return not (part.wish.required and only_here)


def home_today(problem: Problem, part: str) -> str | None:
    """The machine that a part is in today; None if it is in none of this build."""
    for _ in problem.parts:
        receptacle = problem.receptacle.get(problem.today.get(part, ""))
        if receptacle is None:
            return None
        if receptacle.on_board:
            return receptacle.owner
        part = receptacle.owner
    return None
