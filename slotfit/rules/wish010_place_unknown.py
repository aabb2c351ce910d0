"""WISH010: place of parts that belong together or apart not known."""

from __future__ import annotations

from collections.abc import Iterator

from slotfit.model.build import Group
from slotfit.model.seat import Doubt, Fact, Verdict
from slotfit.rule import SeatRule, Trial, is_place_unknown


def judge(trial: Trial) -> Iterator[Verdict]:
    """A part of a group in a place of which nobody has said which processor or hub is above."""
    problem = trial.problem
    for word, groups in (("the same", problem.together), ("another", problem.apart)):
        for group in groups:
            if trial.item.id in group.parts and is_place_unknown(group.by, trial.offer):
                yield Doubt(RULE.id, unknown(trial, group, word))


def unknown(trial: Trial, group: Group, word: str) -> Fact:
    """The fact that it is where the build file asks for it."""
    root, by = trial.offer.root, group.by
    others = " and ".join(part for part in group.parts if part != trial.item.id)
    text = f"{root} is on {word} {by} {'as' if word == 'the same' else 'than'} {others}"
    return Fact(
        text,
        text,
        "the board's block diagram or slot table; on a running machine the numa_node file of a "
        "card in the slot, under /sys/bus/pci/devices",
        trial.problem.site[root].receptacle.span(),
    )


RULE = SeatRule(
    id="WISH010",
    title="place of parts that belong together or apart not known",
    why="Whether two parts share a processor or a hub is known only where someone has said whence "
    "the lanes come.",
    source="build file, `together` and `apart`; board file, `from`",
    judge=judge,
    severity="asks",
)
