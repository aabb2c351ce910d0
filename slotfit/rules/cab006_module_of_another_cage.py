"""CAB006: module or cable that its port does not take."""

from collections.abc import Iterator

from slotfit.model.part import PartSpec
from slotfit.model.ports import Port
from slotfit.model.reason import Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial
from slotfit.standards.cages import CAGES, goes_into


def judge(trial: Trial) -> Iterator[Verdict]:
    """Each module or cable in a port of the part."""
    for name, end in trial.part.wish.ends.items():
        if end.by is not None:
            port = trial.part.spec.port.get(name, Port(id=name))
            yield from in_port(trial, port, end.by)


def in_port(trial: Trial, port: Port, module: PartSpec) -> Iterator[Verdict]:
    """Whether it can be pushed in, and then runs at a rate that both know."""
    names = {**trial.named("kind"), "module": module.id, "port": port.id}
    facts = trial.said("kind.ports")
    plug, cage = module.plug.form, port.cage
    if cage is None:
        yield RULE.doubt("cage", names, facts)
        return
    if not goes_into(plug, cage):
        told = {**trial.named("part"), "module": module.id, "port": port.id}
        yield RULE.no("form", told, facts, plug=plug, cage=CAGES[cage].title)
    elif port.gb_s and module.gb_s:
        if not set(port.gb_s) & set(module.gb_s):
            told = {**trial.named("part"), "module": module.id, "port": port.id}
            yield RULE.no("rate", told, facts, one=module.gb_s, other=port.gb_s)
    elif plug != cage:
        yield RULE.doubt("rate", names, facts)


def rates(gb_s: tuple[float, ...]) -> str:
    """`1.25 or 3.1 GB/s`."""
    return f"{' or '.join(f'{one:g}' for one in gb_s)} GB/s"


RULE = SeatRule(
    id="CAB006",
    title="module or cable that its port does not take",
    why="Cages of one family take each other's modules, at a rate that both must know; those of "
    "another family do not, whatever the rate.",
    source="slotfit/standards/cages.py, a source a row",
    severity="darkens",
    says={
        "form": Wording("{module} has a {plug} plug and {port} of {part} is a {cage}"),
        "rate": Wording(
            "{module} runs at {one} and {port} of {part} at {other}",
            words={"one": rates, "other": rates},
        ),
    },
    looks={
        "cage": Look(
            "{kind}: cage of {port}",
            "{port} of {kind} takes {module}",
            "the card's data sheet names its cages; list its `ports` with `cage`",
        ),
        "rate": Look(
            "{kind}: rate of {module} in {port}",
            "{module} and {port} of {kind} know a rate in common",
            "both data sheets list rates; write them as `gb_s`, 1.25 for 10 Gb/s",
        ),
    },
    judge=judge,
)
