"""CAB007: run that a module or cable does not reach."""

from collections.abc import Iterator

from slotfit.model.ports import Port, PortEnd
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cages import CAGES


def judge(trial: Trial) -> Iterator[Verdict]:
    """Each port whose cable is said to run so far."""
    for name, end in trial.part.wish.ends.items():
        if end.run_m is not None:
            yield from run(trial, trial.part.spec.port.get(name, Port(id=name)), end, end.run_m)


def run(trial: Trial, port: Port, end: PortEnd, run_m: float) -> Iterator[Verdict]:
    """The run beside the reach of what is plugged in, or of the jack's own cable."""
    names = {**trial.named("part"), "port": port.id}
    facts = (Cited("end", f"{trial.part.id}/{port.id}", end, "run_m"),)
    if end.by is None:
        most = CAGES[port.cage].most_m if port.cage else None
        if most is not None and run_m > most:
            yield RULE.no("jack", names, facts, run=run_m, most=most)
    elif end.by.reach_m is None:
        reach = (Cited("module", end.by.id, end.by, "reach_m"),)
        yield RULE.doubt("reach", {"module": end.by.id}, reach, run=run_m)
    elif run_m > end.by.reach_m:
        told = {**names, "module": end.by.id}
        yield RULE.no("reach", told, facts, run=run_m, reach=end.by.reach_m)


RULE = SeatRule(
    id="CAB007",
    title="run that a module or cable does not reach",
    why="A passive copper cable is as long as it is; a module is made for so many metres of one "
    "kind of fibre, and a jack for 100 m of twisted pairs.",
    source="slotfit/standards/cages.py for jacks; files for modules",
    severity="darkens",
    says={
        "reach": Wording(
            "{module} in {port} of {part} reaches {reach:g} m and its cable runs {run:g} m"
        ),
        "jack": Wording("{port} of {part} reaches {most:g} m and its cable runs {run:g} m"),
    },
    looks={
        "reach": Look(
            "{module}: reaches {run:g} m",
            "{module} reaches {run:g} m over the cable that is there",
            "its label or data sheet gives metres for each kind of fibre; write `reach_m`",
        )
    },
    judge=judge,
)
