"""POW011: short peak not known."""

from collections.abc import Iterator

from slotfit.model.problem import Machine
from slotfit.model.reason import Look, Verdict
from slotfit.model.watts import (
    Moment,
    continuous_w,
    drawn_w,
    is_silent,
    most_w,
    short_w,
)
from slotfit.rule import Gap, SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part of a short peak on a supply that, with all there may be, is not known to bear it."""
    machine, spec = trial.machine, trial.part.spec
    if machine.power_supply is None:
        return
    for moment in PEAKS:
        if most_w(spec, moment) <= spec.draw_w or is_excluded(machine, moment):
            continue
        known = short_w(machine, moment)
        borne = continuous_w(machine) if known is None else known
        most = trial.problem.load[machine.id].most_mw[moment]
        if most <= round((borne or 0) * 1000):
            continue
        if known is None or is_silent(spec, moment) or is_open(machine, moment):
            yield from doubts(trial, moment)


PEAKS: tuple[Moment, ...] = ("start", "peak")


def is_excluded(machine: Machine, moment: Moment) -> bool:
    """Whether that moment never comes."""
    return moment == "start" and machine.entry.staggered_start is True


def is_open(machine: Machine, moment: Moment) -> bool:
    """Whether nobody has said if that moment comes."""
    return moment == "start" and machine.entry.staggered_start is None


def doubts(trial: Trial, moment: Moment) -> Iterator[Verdict]:
    """What is asked of the machine, once for all of its parts."""
    facts = ("machine.staggered_start",) if moment == "start" else ("supply.peak_w",)
    yield RULE.doubt(moment, trial.named("machine", "supply"), trial.said(*facts))


RULE = SeatRule(
    id="POW011",
    title="short peak not known",
    why="Disks take two to three times their watts for some seconds while they spin up, and "
    "accelerators up to twice theirs for a millisecond; a supply that is loaded to its label may "
    "switch itself off.",
    source="disk data sheets, 2 to 2.2 A at 12 V and 0.6 to 0.8 A at 5 V, as quoted; ATX version 3 "
    "design guide 336521, power excursions, from memory",
    looks={
        "start": Look(
            "{machine}: disks start one after another",
            "the disks of {machine} start one after another, or {supply} gives for some seconds "
            "what all of them take at once",
            "the adapter's setup or the backplane's manual on staggered spin-up: write "
            "`staggered_start`; the supply's data sheet on peak output: write `start_w`",
        ),
        "peak": Look(
            "{supply}: millisecond peaks of accelerators",
            "{supply} bears for a millisecond what the accelerators of {machine} then draw",
            "its data sheet or label: one made to ATX version 3.0 or newer says so, mostly twice "
            "its watts; write `peak_w`",
        ),
    },
    gaps=(
        Gap(
            "part",
            "power.start_w",
            lambda part: is_silent(part, "start") and bool(drawn_w(part, "work")),
            "what it takes while it spins up is not said, so many of them on one supply are in "
            "doubt",
            "its data sheet: the most at 12 V and at 5 V, added",
        ),
    ),
    judge=judge,
    counts_all=True,
)
