"""FIT019: cooler higher than the chassis."""

from collections.abc import Iterator

from slotfit.hardware.coolers import coolers
from slotfit.model.problem import Machine
from slotfit.model.reason import Cited, Look, No, Verdict, Wording
from slotfit.rule import SeatRule, Trial


def judge(trial: Trial) -> Iterator[Verdict]:
    """The lid of the machine does not close, or may not."""
    chassis = trial.machine.chassis
    if not trial.receptacle.on_board or chassis is None:
        return
    yield from refused(trial.machine)
    for one in coolers(trial.machine):
        high = one.cooler.height_mm
        if high is not None and chassis.cooler_height_mm is None:
            names, facts = trial.named("machine"), trial.said("chassis.cooler_height_mm")
            yield RULE.doubt("room", names, facts, {"chassis": chassis.id}, high=high)


def refused(machine: Machine) -> Iterator[No]:
    """A cooler is higher than there is room."""
    chassis = machine.chassis
    room = chassis.cooler_height_mm if chassis else None
    for one in coolers(machine):
        high = one.cooler.height_mm
        if chassis and room is not None and high is not None and high > room:
            fact = Cited("chassis", chassis.id, chassis, "cooler_height_mm")
            facts = (one.of_cooler("height_mm"), fact)
            yield RULE.no(
                "high", {}, facts, machine=machine.id, socket=one.processor.id, high=high, room=room
            )


RULE = SeatRule(
    id="FIT019",
    title="cooler higher than the chassis",
    why="A lid that meets the cooler does not close.",
    source="the cooler's and the chassis' figures",
    says={
        "high": Wording(
            "the cooler on {socket} is {high:g} mm high and the chassis of {machine} has room for "
            "{room:g} mm"
        )
    },
    looks={
        "room": Look(
            "{machine}: room for a cooler {high:g} mm high",
            "{chassis} has room for a cooler {high:g} mm high",
            "the chassis' manual; or measure from the processor to the closed lid",
            decides=True,
        )
    },
    judge=judge,
    machine=refused,
)
