"""LANE019: arrangement that needs another processor or firmware."""

from collections.abc import Iterator

from slotfit.model.board import Arrangement
from slotfit.model.fitted import by_class, by_firmware
from slotfit.model.reason import Cited, Look, Verdict, Wording
from slotfit.rule import SeatRule, Trial, arrangement_of, division


def judge(trial: Trial) -> Iterator[Verdict]:
    """A seat under an arrangement that is there only with some processors or firmware."""
    chosen = arrangement_of(trial)
    if chosen is None or chosen.needs is None or not trial.links or trial.upstream.absent:
        return
    yield from of_class(trial, chosen)
    yield from of_firmware(trial, chosen)


def of_class(trial: Trial, chosen: Arrangement) -> Iterator[Verdict]:
    """As far as it asks for a class of processor."""
    group = trial.machine.group_of[trial.receptacle.spec.id]
    classes = trial.machine.classes_above(group)
    found = by_class(chosen.needs, classes)
    if chosen.needs is None or found == "met":
        return
    facts = (
        Cited("arrangement", str(chosen.id), chosen, "needs"),
        *trial.said("machine.processors"),
    )
    socket, needed = trial.upstream.processor or "its processor", chosen.needs.processor or ()
    if found == "unmet":
        names = trial.named("part", "receptacle", "machine")
        way = division(chosen)
        yield RULE.no(
            "class", names, facts, division=way, socket=socket, fitted=classes, needed=needed
        )
    else:
        names = trial.named("machine")
        yield RULE.doubt("class", names, facts[1:], socket=socket, needed=needed)


def of_firmware(trial: Trial, chosen: Arrangement) -> Iterator[Verdict]:
    """As far as it asks for a version of the firmware."""
    shown = trial.machine.entry.firmware
    found = by_firmware(chosen.needs, shown)
    if chosen.needs is None or found == "met":
        return
    facts = (
        Cited("arrangement", str(chosen.id), chosen, "needs"),
        *trial.said("machine.firmware"),
    )
    needed = chosen.needs.firmware
    if found == "unmet":
        names = trial.named("part", "receptacle", "machine")
        way = division(chosen)
        yield RULE.no("firmware", names, facts, division=way, needed=needed, shown=shown)
    else:
        yield RULE.doubt("firmware", trial.named("machine"), facts[1:], needed=needed)


RULE = SeatRule(
    id="LANE019",
    title="arrangement that needs another processor or firmware",
    why="Which processor sits in the socket changes how many lanes a slot has and which sockets "
    "bring no link; some divisions came with a later firmware.",
    source="slot tables by class of processor in desktop manuals, and release notes of firmware: "
    "common practice, no source",
    says={
        "class": Wording(
            "{part} in {receptacle} needs {division}, which is there only with {needed} in "
            "{socket} of {machine}, and {fitted} is",
            words={"needed": " or ".join, "fitted": " or ".join},
        ),
        "firmware": Wording(
            "{part} in {receptacle} needs {division}, which is there from firmware {needed} on, "
            "and {machine} has {shown}"
        ),
    },
    looks={
        "class": Look(
            "{machine}: {needed} in {socket}",
            "{socket} of {machine} holds {needed}",
            "the processor's model on the first page of the setup screen, or `lscpu`; the board "
            "manual's slot table says which class that is",
            decides=True,
            words={"needed": " or ".join},
        ),
        "firmware": Look(
            "{machine}: firmware {needed} or later",
            "the firmware of {machine} is {needed} or later",
            "the first page of the setup screen, or `dmidecode -s bios-version`",
            decides=True,
        ),
    },
    judge=judge,
)
